"""Are the stated uncertainties honest: scenes at the level of edge observations, drawn from the very priors of settings.

Run by hand:  python -m tests.benchmarks.edge_scenes [--scenes 200] [--layout NAME]

The scenes are those of edge_truth.py and edge_draws.py.

Columns, for each quantity of a layout:
    u          mean stated standard deviation (mm or mm/m)
    rms        root mean square error
    u/rms      within 0.8 to 1.5, or outside: said of each, and counted at the end
    bias/rms   mean error over rms; its own sd is 1 over the root of the scenes
    95 %       share of scenes whose 95 % interval holds the truth
and for each layout the mean of the squared whitened error over the number of quantities (1 where the covariance is right).
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import cv2
import numpy as np

from tests.benchmarks.edge_draws import draw
from tests.benchmarks.edge_truth import LAYOUTS, SETTINGS, Array, Scene
from vision.errors import CannotMeasure
from vision.gaussian import Gaussian
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly, assemble
from vision.geometry.camera import Camera
from vision.geometry.card_doubts import card_doubts
from vision.geometry.consistency import require_one_tilt
from vision.geometry.model import State
from vision.geometry.sizes import propagate, size_functions

INDEPENDENT = ("width_top", "width_middle", "width_bottom", "height_left", "height_right", "rack", "bow_left", "curb_level")
"""as many quantities as the opening has unknowns; the others follow from them"""
HONEST = (0.8, 1.5)
"""mean stated u over rms error that every layout and quantity must keep"""
NORMAL_95 = 1.959963984540054
"""half width of a 95 % interval in standard deviations"""


@dataclass(frozen=True)
class Outcome:
    """One scene adjusted: stated record, errors (stated less true) in its order, and whether the adjustment was refused later."""

    stated: Gaussian
    error: Array
    odd_card: bool
    two_tilts: bool
    bound: Array
    """standard deviations by the covariance at the true state, robust weights off: the least that any estimate could have"""

    def whitened_errors(self) -> Array:
        """Errors of INDEPENDENT, whitened with their stated covariance: independent and of variance one if it is right."""
        rows = [self.stated.index(n) for n in INDEPENDENT]
        scale = 1 / self.stated.sd[rows]
        correlation = self.stated.covariance[np.ix_(rows, rows)] * np.outer(scale, scale)
        return np.asarray(np.linalg.solve(np.linalg.cholesky(correlation), self.error[rows] * scale))

    def whitened(self) -> float:
        """Their squared length (Mahalanobis)."""
        return float(np.sum(self.whitened_errors() ** 2))


def adjust(scene: Scene, *, with_checks: bool = False) -> Outcome:
    """Ours: assemble, adjust, propagate; and by the way what the checks of consistency would have said."""
    assembly = assemble([scene.photo], scene.demands, SETTINGS)
    solution = assembly.problem.solve(assembly.start, assembly.camera_priors)
    functions = size_functions(scene.at_mm, True, assembly.nominal.chord_mm, True)
    stated = propagate(solution, functions)
    true = scene.opening.quantities(scene.at_mm)
    error = stated.mean - np.array([true[n] for n in stated.names])
    odd, tilts = _checks(scene, assembly, solution) if with_checks else (False, False)
    at_truth = true_state(scene, solution, assembly)
    r, J = assembly.problem.evaluate(at_truth, assembly.problem.vector(at_truth, assembly.camera_priors))
    bound = propagate(replace(solution, state=at_truth, J=J, residuals=r), functions)
    return Outcome(stated, error, odd, tilts, bound.sd)


def true_state(scene: Scene, solution: Solution, assembly: Assembly) -> State:
    """The truth as a state of ours (the plumb line, which hangs anywhere, and the shared tape stay as adjusted)."""
    opening, true = scene.opening, scene.camera
    R = np.asarray(cv2.Rodrigues(true.rvec)[0])
    K, (k1, k2) = true.K, true.distortion[:2]
    cards, sizes = solution.state.cards.copy(), solution.state.sizes.copy()
    for number, card in enumerate(scene.cards, 1):
        k = assembly.models[number]
        model = assembly.nominal.cards[k]
        cards[k] = *card.centre, card.angle, card.depth_mm + model.side * opening.step - model.offset_mm
        sizes[model.size_group] = np.array(card.sides_mm) - (card.kind.width_mm, card.kind.height_mm)
    return replace(
        solution.state,
        cameras=(Camera(R, true.tvec, K[0, 0], K[0, 2], K[1, 2], k1, k2),),
        opening=np.array([*vars(opening).values(), *np.zeros(len(solution.state.opening) - len(vars(opening)))]),
        cards=cards,
        sizes=sizes,
        offsets=np.zeros_like(solution.state.offsets),
        nuisance=np.zeros_like(solution.state.nuisance),
        foot={},
    )


def _checks(scene: Scene, assembly: Assembly, solution: Solution) -> tuple[bool, bool]:
    odd = any(abs(doubt.score) >= SETTINGS.doubts.odd_card_sd for doubt in card_doubts(solution, assembly))
    try:
        require_one_tilt([scene.photo], assembly, solution)
    except CannotMeasure:
        return odd, True
    return odd, False


@dataclass(frozen=True)
class Row:
    """One quantity of one layout over all scenes."""

    name: str
    u: float
    rms: float
    bias: float
    coverage: float

    @property
    def honest(self) -> bool:
        """Mean stated u over rms within the limits."""
        return HONEST[0] <= self.u / self.rms <= HONEST[1]

    def __str__(self) -> str:
        return (
            f"  {self.name:24s} {self.u:8.4f} {self.rms:8.4f} {self.u / self.rms:7.2f} {self.bias / self.rms:9.2f} "
            f"{100 * self.coverage:7.1f}   {'within' if self.honest else 'OUTSIDE'}"
        )


@dataclass(frozen=True)
class Table:
    """All scenes of one layout."""

    layout: str
    outcomes: tuple[Outcome, ...]
    failed: int = 0
    rows: tuple[Row, ...] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "rows", tuple(self._rows()))

    def _rows(self) -> Iterator[Row]:
        errors = np.array([o.error for o in self.outcomes])
        sd = np.array([o.stated.sd for o in self.outcomes])
        for k, name in enumerate(self.outcomes[0].stated.names):
            e, u = errors[:, k], sd[:, k]
            inside = float(np.mean(np.abs(e) <= NORMAL_95 * u))
            yield Row(name, float(u.mean()), float(np.sqrt(np.mean(e**2))), float(e.mean()), inside)

    @property
    def whitened(self) -> Array:
        """Squared whitened errors, one a scene."""
        return np.array([o.whitened() for o in self.outcomes])

    def __str__(self) -> str:
        head = f"{self.layout}: {len(self.outcomes)} scenes, {self.failed} not adjusted; "
        head += f"mean squared whitened error / {len(INDEPENDENT)} = "
        odd, tilts = (sum(getattr(o, k) for o in self.outcomes) for k in ("odd_card", "two_tilts"))
        head += f"{self.whitened.mean() / len(INDEPENDENT):.2f}; called odd {odd}, two tilts {tilts}"
        limits = f"u/rms {HONEST[0]} to {HONEST[1]}"
        titles = f"  {'quantity':24s} {'u':>8s} {'rms':>8s} {'u/rms':>7s} {'bias/rms':>9s} {'95 %':>7s}   {limits}"
        return "\n".join([head, titles, *map(str, self.rows)])


def simulate(layout: str, scenes: int, *, seed: int = 1, with_checks: bool = False) -> Table:
    """Draw and adjust this many scenes."""
    rng = np.random.default_rng([seed, list(LAYOUTS).index(layout)])
    outcomes, failed = [], 0
    for _ in range(scenes):
        scene = draw(layout, rng)
        try:
            outcomes.append(adjust(scene, with_checks=with_checks))
        except CannotMeasure:
            failed += 1
    return Table(layout, tuple(outcomes), failed)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--scenes", type=int, default=200, help="scenes of each layout")
    parser.add_argument("--layout", choices=sorted(LAYOUTS), help="only this one")
    parser.add_argument("--seed", type=int, default=1, help="of the draws")
    arguments = parser.parse_args()
    started, rows = time.monotonic(), []
    for layout in [arguments.layout] if arguments.layout else LAYOUTS:
        table = simulate(layout, arguments.scenes, seed=arguments.seed, with_checks=True)
        rows += table.rows
        print(table, flush=True)
    print(f"{sum(r.honest for r in rows)} of {len(rows)} layouts and quantities within {HONEST[0]} to {HONEST[1]}")
    print(f"{time.monotonic() - started:.0f} s")


if __name__ == "__main__":
    main()
