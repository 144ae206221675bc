"""Is the stated covariance that of the estimates: one scene a layout, solved again and again with fresh noise.

Run by hand:  python -m tests.benchmarks.covariance [--linear 10000] [--nonlinear 500] [--layout NAME ...]

Of each layout one scene is drawn (edge_draws.py) and adjusted; its adjusted state is then the truth. Every observation, edge
points and priors alike, is drawn anew about what the truth makes of it, and the state is estimated again: by the linear equations
(least squares by orthogonal decomposition, 10 000 times) and by the whole adjustment, robust weights and all (500 times).

Columns
    J           largest difference of the Jacobian from central differences away from the minimum, over the column's largest entry
    nudge       least rise of the cost when one parameter alone is moved by a twentieth of its natural step (over 0)
    sd          smallest and largest ratio of a size's standard deviation over the draws to the stated one
    within      its limits: chi-square of one variance, at 0.001 over all quantities of all layouts
    mean        largest |mean error| in its own standard deviations, and its limit
    Mahalanobis mean squared whitened error over its dimension (8), and its limits at 0.001 over all layouts
    own         of each quantity whose mean is outside: that mean, and what its own function makes of the linear estimates of
                the same draws, both in stated sd. Where the two are alike the quantity bends (the plumb rectangle is the least of
                many widths, so on average it comes out too narrow), and the adjustment is not to blame
    curved      largest rms difference of the whole adjustment from the linear estimate of the same draw, in stated sd: how far
                the problem is from linear, without the scatter of the draws
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import stats

from tests.benchmarks.edge_draws import draw
from tests.benchmarks.edge_scenes import INDEPENDENT
from tests.benchmarks.edge_truth import LAYOUTS, SETTINGS, Array, Scene
from vision.geometry.adjustment import HUBER, Problem, Solution
from vision.geometry.assemble import Assembly, assemble
from vision.geometry.depth import at_door_line
from vision.geometry.model import State, world_points
from vision.geometry.sizes import jacobian_of, size_functions

SIGNIFICANCE = 0.001
"""of each kind of limit, over everything that is held against it"""
NUDGE = 0.05
"""natural steps; the step in one parameter that alone changes the weighted residuals by one"""
SETTLED = 1e-4
"""fall of the cost at which a whole adjustment is done: a hundredth of a standard deviation"""
AWAY = 3.0
"""natural steps (sd); how far from the minimum the Jacobian is looked at"""


@dataclass(frozen=True)
class Known:
    """A scene whose adjusted state is taken as the truth: problem, state, and the solution that the truth would have."""

    scene: Scene
    assembly: Assembly
    truth: Solution

    @property
    def problem(self) -> Problem:
        """Observations and priors as they were drawn."""
        return self.assembly.problem

    def functions(self) -> dict[str, Callable[[Array], float]]:
        """All quantities of the opening."""
        return size_functions(self.scene.at_mm, True, self.assembly.nominal.chord_mm, True)

    def residuals(self, state: State) -> tuple[Array, Array]:
        """Residuals and Jacobian of the scene's own observations."""
        return self.problem.evaluate(state, self.problem.vector(state, self.assembly.camera_priors))


def known(layout: str, seed: int) -> Known:
    """The scene of a layout that this seed draws."""
    scene = draw(layout, np.random.default_rng([seed, list(LAYOUTS).index(layout)]))
    assembly = assemble([scene.photo], scene.demands, SETTINGS)
    solution = assembly.problem.solve(assembly.start, assembly.camera_priors, settled=1e-20)
    state = solution.state
    r, J = assembly.problem.evaluate(state, assembly.problem.vector(state, assembly.camera_priors))
    return Known(scene, assembly, replace(solution, J=J, residuals=r))


def worst_derivative(of: Known, rng: np.random.Generator) -> float:
    """Largest difference of the Jacobian from central differences, over its column's largest entry, away from the minimum."""
    natural = natural_steps(of.truth)
    layout = of.truth.layout
    at = layout.stepped(of.truth.state, AWAY * rng.standard_normal(layout.size) * natural)
    J = of.residuals(at)[1]
    worst = 0.0
    for column, step in enumerate(np.diag(np.minimum(0.01 * natural, 1e-3))):
        up, down = (of.residuals(layout.stepped(at, sign * step))[0] for sign in (1, -1))
        difference = (up - down) / (2 * step[column])
        worst = max(worst, float(np.abs(J[:, column] - difference).max() / max(np.abs(difference).max(), 1e-9)))
    return worst


def natural_steps(solution: Solution) -> Array:
    """The step in each parameter that alone changes the weighted residuals by one."""
    return np.asarray(1 / np.sqrt(np.sum(solution.J**2, axis=0)))


def least_rise(of: Known) -> float:
    """The least that the cost rises when one parameter alone is nudged, either way."""
    layout, state, points = of.truth.layout, of.truth.state, of.problem.points

    def cost(at: State) -> float:
        """Huber's cost of the points and the squares of the priors, written again."""
        r = np.abs(of.residuals(at)[0])
        edge = np.where(r[:points] > HUBER, 2 * HUBER * r[:points] - HUBER**2, r[:points] ** 2)
        return float(edge.sum() + np.sum(r[points:] ** 2))

    lowest = cost(state)
    steps = np.diag(NUDGE * natural_steps(of.truth))
    return min(cost(layout.stepped(state, sign * step)) - lowest for step in steps for sign in (1, -1))


def noise(of: Known, draws: int, rng: np.random.Generator) -> Array:
    """Errors of all observations in their own sd, (draws, rows)."""
    return rng.standard_normal((draws, len(of.truth.residuals)))


def linear_steps(of: Known, drawn: Array) -> Array:
    """Errors (parameters, draws) of the state by the linear equations from these errors (draws, rows) of the observations."""
    scale = natural_steps(of.truth)
    return np.asarray(-np.linalg.lstsq(of.truth.J * scale, drawn.T, rcond=None)[0] * scale[:, None])


def linear(of: Known, drawn: Array) -> Array:
    """Errors (draws, quantities) of estimates by the linear equations from these errors (draws, rows) of the observations."""
    return np.asarray((jacobian_of(of.truth, of.functions())[2] @ linear_steps(of, drawn)).T)


def own_means(of: Known, drawn: Array) -> dict[str, float]:
    """Mean error in stated sd that each quantity's function, as it is, gives of linear estimates of the state."""
    names, true, jacobian = jacobian_of(of.truth, functions := of.functions())
    sd = np.sqrt(np.einsum("ij,jk,ik->i", jacobian, of.truth.inverse(), jacobian))
    o, at = of.truth.state.opening, of.truth.layout.opening
    found = np.array([[functions[n](at_door_line(o + step[at])) for n in names] for step in linear_steps(of, drawn).T])
    return dict(zip(names, (found - true).mean(axis=0) / sd, strict=True))


def nonlinear(of: Known, drawn: Array) -> Array:
    """Errors (draws, quantities) of whole adjustments from these errors (draws, rows) of the observations."""
    functions = of.functions()
    true = jacobian_of(of.truth, functions)[1]
    normals = _normals(of)
    return np.array([jacobian_of(_again(of, normals, one), functions)[1] - true for one in drawn])


def _normals(of: Known) -> list[Array]:
    """Unit normals (n, 2) at the foot points of every edge's points, as the residuals count them."""
    out = []
    state, layout = of.truth.state, of.truth.layout
    for i, observation in enumerate(of.problem.observations):
        camera = state.cameras[observation.photo]
        X, along, _ = world_points(observation.edge, state.foot[i], state, of.problem.nominal, layout)
        tangent = np.einsum("nij,nj->ni", camera.project_with_derivative(X)[1], along @ camera.R.T)
        out.append(np.stack([tangent[:, 1], -tangent[:, 0]], axis=1) / np.linalg.norm(tangent, axis=1)[:, None])
    return out


def _again(of: Known, normals: Sequence[Array], drawn: Array) -> Solution:
    """The adjustment of a problem whose residuals at the truth are these (rows,)."""
    shift = of.truth.residuals - drawn
    observations = []
    for observation, normal, rows in zip(of.problem.observations, normals, of.problem.rows, strict=True):
        points = observation.points
        moved = points.points_px + normal * (shift[rows] * points.sd_px)[:, None]
        observations.append(replace(observation, points=replace(points, points_px=moved)))
    own = shift[of.problem.points :]
    priors = [replace(p, target=p.target + s * p.sd) for p, s in zip(of.problem.priors, own, strict=True)]
    problem = Problem(of.problem.nominal, observations, priors, of.problem.layout, of.problem.held)
    return problem.solve(of.truth.state, of.assembly.camera_priors, settled=SETTLED)


@dataclass(frozen=True)
class Compared:
    """Errors of many estimates of one scene against their stated covariance."""

    ratios: Array
    """of standard deviations, by quantity"""
    means: Array
    """mean errors in their own standard deviations"""
    names: tuple[str, ...]
    mahalanobis: float
    draws: int

    def limits(self, layouts: int) -> tuple[tuple[float, float], float, tuple[float, float]]:
        """Of a ratio, of a mean, and of the Mahalanobis mean, at SIGNIFICANCE over all quantities of so many layouts."""
        one, n, d = SIGNIFICANCE / (len(self.ratios) * layouts), self.draws, len(INDEPENDENT) * self.draws
        low, high = (float(np.sqrt(stats.chi2.ppf(q, n) / n)) for q in (one / 2, 1 - one / 2))
        whole = SIGNIFICANCE / layouts
        least, most = (float(stats.chi2.ppf(q, d) / d) for q in (whole / 2, 1 - whole / 2))
        return (low, high), float(stats.norm.ppf(1 - one / 2)), (least, most)

    def holds(self, layouts: int) -> bool:
        """Whether all is within its limits."""
        (low, high), mean, (least, most) = self.limits(layouts)
        inside = np.all((self.ratios > low) & (self.ratios < high)) and np.all(np.abs(self.means) < mean)
        return bool(inside and least < self.mahalanobis < most)


def compared(of: Known, errors: Array) -> Compared:
    """Errors (draws, quantities) against the covariance that the solution at the truth states."""
    names, _, jacobian = jacobian_of(of.truth, of.functions())
    covariance = jacobian @ of.truth.inverse() @ jacobian.T
    sd = np.sqrt(np.diag(covariance))
    rows = [names.index(n) for n in INDEPENDENT]
    correlation = (covariance / np.outer(sd, sd))[np.ix_(rows, rows)]
    white = np.linalg.solve(np.linalg.cholesky(correlation), (errors / sd)[:, rows].T)
    draws = len(errors)
    ratios = np.sqrt(np.mean((errors / sd) ** 2, axis=0))
    return Compared(ratios, (errors / sd).mean(axis=0) * np.sqrt(draws), names, float(np.mean(white**2)), draws)


def curved(of: Known, whole: Array, straight: Array) -> float:
    """Largest rms difference of whole adjustments from linear estimates of the same draws, in stated sd."""
    jacobian = jacobian_of(of.truth, of.functions())[2]
    variance = np.einsum("ij,jk,ik->i", jacobian, of.truth.inverse(), jacobian)
    return float(np.sqrt(np.mean((whole - straight) ** 2, axis=0) / variance).max())


def line(kind: str, found: Compared, layouts: int) -> str:
    """One row of the table."""
    (low, high), mean, (least, most) = found.limits(layouts)
    return (
        f"    {kind:9} {found.draws:6d}: sd {found.ratios.min():.3f} to {found.ratios.max():.3f} ({low:.3f} to {high:.3f}), "
        f"mean {np.abs(found.means).max():.2f} ({mean:.2f}), Mahalanobis {found.mahalanobis:.3f} ({least:.3f} to {most:.3f})  "
        f"{'holds' if found.holds(layouts) else 'OUTSIDE'}"
    )


def print_own(found: Compared, own: Mapping[str, float], layouts: int) -> None:
    """A line for each quantity whose mean is outside its limit."""
    limit = found.limits(layouts)[1]
    for name, mean in zip(found.names, found.means, strict=True):
        if abs(mean) > limit:
            print(f"    own        {name}: {mean / np.sqrt(found.draws):+.2f} sd, by its own function {own[name]:+.2f} sd")


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--linear", type=int, default=10_000, help="linear estimates of each scene")
    parser.add_argument("--nonlinear", type=int, default=500, help="whole adjustments of each scene")
    parser.add_argument("--layout", action="append", choices=list(LAYOUTS), help="only this one; repeatable")
    parser.add_argument("--seed", type=int, default=1, help="of the scenes and the draws")
    arguments = parser.parse_args()
    started, layouts = time.monotonic(), arguments.layout or list(LAYOUTS)
    for layout in layouts:
        of, rng = known(layout, arguments.seed), np.random.default_rng([arguments.seed, 2])
        print(f"{layout}: J {worst_derivative(of, rng):.1e}, nudge {least_rise(of):.1e}", flush=True)
        print(line("linear", compared(of, linear(of, noise(of, arguments.linear, rng))), len(LAYOUTS)), flush=True)
        drawn = noise(of, arguments.nonlinear, rng)
        whole, straight = nonlinear(of, drawn), linear(of, drawn)
        print(line("nonlinear", found := compared(of, whole), len(LAYOUTS)))
        print_own(found, own_means(of, drawn), len(LAYOUTS))
        print(line("same draws", compared(of, straight), len(LAYOUTS)))
        print(f"    curved {curved(of, whole, straight):.3f}", flush=True)
    print(f"{time.monotonic() - started:.0f} s")


if __name__ == "__main__":
    main()
