"""ONE joint least-squares adjustment of all edges of all photos and of everything known before them.

Minimises the sum of rho(n . (p - q(t)) - b(s) . nuisance, over sd) over edge points and of squared priors over sd. q is the
projected edge at the foot point t of p, n the normal there, b(s) = ((1 - s)/2, (1 + s)/2, 1 - s^2, 3 sqrt(3)/2 s (1 - s^2)) the
shifts of the two ends, the sag and the skew bend of one imaged edge. rho is Huber's; its weights are fixed at the solution. The
covariance N^-1 is kept by source: a source's rows J_k (already over sd) contribute N^-1 J_k' J_k N^-1, which adds up to N^-1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve, solve_triangular

from vision.errors import CannotMeasure
from vision.geometry.camera import Camera, CameraPrior, turn
from vision.geometry.model import NUISANCES, Layout, Nominal, State, bend, world_points
from vision.geometry.priors import EdgeObservation, Prior

Array = NDArray[np.float64]
HUBER = 2.5
"""standard deviations; beyond this an edge point counts linearly"""
MOST_ITERATIONS = 100
"""rounds; most scenes settle in 5 to 25, one small card alone may take 100 along a valley that its tilt bends"""


@dataclass(frozen=True)
class Solution:
    """The adjusted state with the weighted Jacobian (rows over sd and robust weight), the rows' sources and the cost."""

    state: State
    layout: Layout
    J: Array
    sources: tuple[str, ...]
    residuals: Array
    cost: float
    rows_by_edge: tuple[slice, ...]
    priors: tuple[Prior, ...]

    def inverse(self) -> Array:
        """N^-1, the covariance of all parameters, shape (n, n)."""
        scale, _, R = self._factored()
        half = solve_triangular(R, np.diag(scale), trans="T")
        return np.asarray(half.T @ half)

    def _factored(self) -> tuple[Array, Array, Array]:
        """Column scale, Q and R of the scaled Jacobian: better conditioned by half than N."""
        scale = 1 / np.sqrt(np.sum(self.J**2, axis=0))
        Q, R = np.linalg.qr(self.J * scale)
        return scale, Q, R

    def factors(self, jacobian: Array) -> dict[str, Array]:
        """Signed factor matrices by source of functions of the state with this jacobian (m, n); each has at most m columns.

        The tape's single shared variable keeps its sign: + means the tape reads long.
        """
        scale, Q, R = self._factored()
        response = solve_triangular(R, (jacobian * scale).T, trans="T").T @ Q.T
        labels = np.array(self.sources)
        out: dict[str, Array] = {}
        for source in dict.fromkeys(self.sources):
            part = response[:, labels == source]
            if source == "tape":
                out[source] = -part
            elif part.shape[1] > part.shape[0]:
                out[source] = np.asarray(np.linalg.qr(part.T)[1].T)
            else:
                out[source] = part
        return out


class _Seen:
    """All edges of one photo end to end: (edge number, slice), points (n, 2) px and their sd (n,)."""

    def __init__(self, photo: int, edges: Sequence[int], problem: Problem) -> None:
        points = [problem.observations[i].points for i in edges]
        starts = np.cumsum([0, *(len(p.sd_px) for p in points)])
        self.photo = photo
        self.edges = [(i, slice(int(a), int(b))) for i, (a, b) in zip(edges, pairwise(starts), strict=True)]
        self.points = np.concatenate([p.points_px for p in points])
        self.sd = np.concatenate([p.sd_px for p in points])


class Problem:
    """Observations and priors of one check, ready to be evaluated at any state."""

    def __init__(
        self,
        nominal: Nominal,
        observations: Sequence[EdgeObservation],
        priors: Sequence[Prior],
        layout: Layout,
        held: Sequence[Array] = (),
    ) -> None:
        """`held`: rotations of the cameras against which priors count a camera's turn; without them they see none."""
        self.held = tuple(held)
        self.nominal, self.observations, self.layout = nominal, tuple(observations), layout
        self.priors = tuple(priors)
        counts = [len(o.points.sd_px) for o in self.observations]
        starts = np.cumsum([0, *counts])
        self.rows = tuple(slice(int(a), int(b)) for a, b in pairwise(starts))
        self.points = int(starts[-1])
        self.sources = ("edge noise",) * self.points + tuple(p.source for p in self.priors)
        basis = [_shapes(o.points.along) for o in self.observations]
        self._basis = [-b / o.points.sd_px[:, None] for b, o in zip(basis, self.observations, strict=True)]
        matrix = np.zeros((len(self.priors), layout.size))
        for i, prior in enumerate(self.priors):
            matrix[i, list(prior.columns)] = prior.coefficients
        sd = np.array([p.sd for p in self.priors]).reshape(-1, 1)
        self._prior_rows = matrix / sd
        self._prior_normal = self._prior_rows.T @ self._prior_rows
        self._prior_target = np.array([p.target for p in self.priors]) / sd[:, 0]
        self._fixed = np.zeros((self.points + len(self.priors), layout.size))
        for rows, columns, b in zip(self.rows, layout.nuisance, self._basis, strict=True):
            self._fixed[rows, columns] = b
        self._fixed[self.points :] = self._prior_rows
        photos = sorted({o.photo for o in self.observations})
        self._photos = [_Seen(p, [i for i, o in enumerate(self.observations) if o.photo == p], self) for p in photos]

    def evaluate(self, state: State, vector: Array) -> tuple[Array, Array]:
        """Residuals over sd and their Jacobian at a state; `vector` holds the parameters as far as priors see them."""
        r, J = np.empty(len(self._fixed)), self._fixed.copy()
        for seen in self._photos:
            self._photo_rows(seen, state, r, J)
        r[self.points :] = self._prior_rows @ vector - self._prior_target
        return r, J

    def _photo_rows(self, seen: _Seen, state: State, r: Array, J: Array) -> None:
        """Fill the rows of all edges of one photo; refines the foot points kept in the state."""
        camera = state.cameras[seen.photo]
        t = self._foot_points(seen, state, camera)
        curves = [world_points(self.observations[i].edge, t[at], state, self.nominal, self.layout) for i, at in seen.edges]
        X, dt = np.concatenate([c[0] for c in curves]), np.concatenate([c[1] for c in curves])
        q, D, Xc = camera.project_with_derivative(X)
        tangent = np.einsum("nij,nj->ni", D, dt @ camera.R.T)
        weight = np.stack([tangent[:, 1], -tangent[:, 0]], axis=1) / (np.linalg.norm(tangent, axis=1) * seen.sd)[:, None]
        residuals = np.einsum("ni,ni->n", weight, q - seen.points)
        by_camera = np.einsum("ni,nij->nj", weight, camera.derivative_by_camera(X, D, Xc, q))
        world = np.einsum("ni,nij->nj", weight, D) @ camera.R
        for (i, at), curve in zip(seen.edges, curves, strict=True):
            rows = self.rows[i]
            state.foot[i] = t[at]
            r[rows] = residuals[at] + self._basis[i] @ state.nuisance[i]
            J[rows, self.layout.cameras[seen.photo]] = by_camera[at]
            for column, derivative in curve[2]:
                J[rows, column] += (
                    world[at] @ derivative if derivative.ndim == 1 else np.einsum("nj,nj->n", world[at], derivative)
                )

    def _foot_points(self, seen: _Seen, state: State, camera: Camera) -> Array:
        """Curve parameters of the points nearest to those observed, all edges of a photo at once.

        Edges are at most parabolas in their parameter, so a step along one is exact without asking for its points again.
        """
        rounds, starts = 2, []
        for i, _ in seen.edges:
            t = state.foot.get(i)
            if t is None:
                (a, b), rounds = self.observations[i].ends, 6
                t = a + (b - a) * (self.observations[i].points.along + 1) / 2
            starts.append(t)
        edges = [self.observations[i].edge for i, _ in seen.edges]
        curves = [world_points(e, t, state, self.nominal, self.layout)[:2] for e, t in zip(edges, starts, strict=True)]
        X, dt = np.concatenate([c[0] for c in curves]), np.concatenate([c[1] for c in curves])
        curved = np.concatenate([np.full(len(t), bend(e, state, self.nominal)) for e, t in zip(edges, starts, strict=True)])
        t = np.concatenate(starts)
        for _ in range(rounds):
            q, D, _unused = camera.project_with_derivative(X)
            tangent = np.einsum("nij,nj->ni", D, dt @ camera.R.T)
            along = np.einsum("ni,ni->n", seen.points - q, tangent)
            step = along / np.maximum(np.einsum("ni,ni->n", tangent, tangent), 1e-12)
            t = t + step
            X = X + dt * step[:, None]
            X[:, 0] += 0.5 * curved * step**2
            dt[:, 0] += curved * step
        return t

    def _normal_equations(self, r: Array, J: Array, root: Array) -> tuple[Array, Array]:
        """J' W J and J' W r; a nuisance parameter meets its own edge only, so their part is put together edge by edge."""
        g, n = self.layout.size - NUISANCES * len(self.observations), self.points
        Jw, rw = J[:n, :g] * root[:n, None], r[:n] * root[:n]
        A, gradient = self._prior_normal.copy(), self._prior_rows.T @ r[n:]
        A[:g, :g] += Jw.T @ Jw
        gradient[:g] += Jw.T @ rw
        for rows, columns, b in zip(self.rows, self.layout.nuisance, self._basis, strict=True):
            B = b * root[rows, None]
            A[columns, columns] += B.T @ B
            A[:g, columns] += Jw[rows].T @ B
            A[columns, :g] = A[:g, columns].T
            gradient[columns] += B.T @ rw[rows]
        return A, gradient

    def vector(self, state: State, priors: Sequence[CameraPrior]) -> Array:
        """The parameters as the priors see them: cameras against their prior, everything else as it is."""
        v = np.zeros(self.layout.size)
        for camera, prior, s in zip(state.cameras, priors, self.layout.cameras, strict=True):
            inner = np.log(camera.f / prior.f), camera.cx - prior.cx, camera.cy - prior.cy, camera.k1, camera.k2
            v[s] = [0.0] * 6 + [float(x) for x in inner]
        for s, camera, R in zip(self.layout.cameras, state.cameras, self.held, strict=False):
            v[s.start : s.start + 3] = turn(camera.R @ R.T)
        v[self.layout.opening] = state.opening
        for slices, rows in (
            (self.layout.cards, state.cards),
            (self.layout.sizes, state.sizes),
            (self.layout.plumb, state.plumb),
            (self.layout.lines, state.lines),
        ):
            for s, row in zip(slices, rows, strict=True):
                v[s] = row
        for at, value in zip(self.layout.offsets, state.offsets, strict=True):
            v[at] = value
        v[self.layout.tape] = state.tape
        for s, row in zip(self.layout.nuisance, state.nuisance, strict=True):
            v[s] = row
        return v

    def solve(self, state: State, priors: Sequence[CameraPrior], *, settled: float = 1e-3, bent_valley: bool = False) -> Solution:
        """Levenberg-Marquardt with robust weights until the cost falls by less than `settled`.

        `bent_valley`: damped by what each step brought, which takes half the rounds from a start far off along a valley. A
        check's own two adjustments do without: where the first one ends decides what is observed again.
        Raises CannotMeasure (cards-disagree) where it does not settle at all.
        """
        damping = 1e-3
        r, J = self.evaluate(state, self.vector(state, priors))
        cost = self._cost(r)
        for _round in range(MOST_ITERATIONS):
            root = self._root_weight(r)
            A, gradient = self._normal_equations(r, J, root)
            scale = 1 / np.sqrt(np.maximum(np.diag(A), 1e-30))
            A, gradient = A * scale * scale[:, None], gradient * scale
            if not np.all(np.isfinite(A)):
                cost = np.inf
                break
            growth = 2.0 if bent_valley else 8.0
            while True:
                step = _step(A, damping, gradient)
                candidate = self.layout.stepped(state, step * scale)
                with np.errstate(all="ignore"):
                    r_new, J_new = self.evaluate(candidate, self.vector(candidate, priors))
                    new = self._cost(r_new) if np.all(np.isfinite(r_new)) else np.inf
                if new <= cost * (1 + 1e-12) or damping > 1e8:
                    break
                damping, growth = damping * growth, 2 * growth if bent_valley else growth
            gain, promised = cost - new, float(damping * step @ step - step @ gradient)
            if not np.isfinite(new) or damping > 1e8:
                break
            state, r, J, cost = candidate, r_new, J_new, new
            damping = max(damping * (_eased(gain, promised) if bent_valley else 0.1), 1e-9)
            if gain < settled and damping < 1e-2:
                break
        if not np.isfinite(cost) or not np.all(np.isfinite(J)):
            raise CannotMeasure(
                "adjustment",
                "cards-disagree",
                found="edges and cards that fit no camera",
                needed="one opening seen by one camera",
                remedy="check the marked corners and the kinds of card, or take the photo again from the front",
            )
        root = self._root_weight(r)
        return Solution(state, self.layout, J * root[:, None], self.sources, r, cost, self.rows, self.priors)

    def _root_weight(self, r: Array) -> Array:
        """Square root of Huber's weights; priors have weight 1."""
        w = np.ones_like(r)
        size = np.abs(r[: self.points])
        w[: self.points] = np.where(size > HUBER, HUBER / np.maximum(size, 1e-12), 1.0)
        return np.asarray(np.sqrt(w))

    def _cost(self, r: Array) -> float:
        size = np.abs(r[: self.points])
        rho = np.where(size > HUBER, 2 * HUBER * size - HUBER**2, size**2)
        return float(rho.sum() + np.sum(r[self.points :] ** 2))


def _shapes(s: Array) -> Array:
    """What each nuisance of an edge shifts at places s (n,) along it, -1 to 1; (n, 4), each 1 at most."""
    return np.stack([(1 - s) / 2, (1 + s) / 2, 1 - s * s, 1.5 * 3**0.5 * s * (1 - s * s)], axis=1)


def _eased(gain: float, promised: float) -> float:
    """By how much the damping changes where the cost fell by `gain`: less where that is as much as a step `promised`.

    H. B. Nielsen, Damping parameter in Marquardt's method, IMM-REP-1999-05 (from memory).
    """
    return min(max(1 - (2 * gain / max(promised, 1e-30) - 1) ** 3, 0.1), 2.0)


def _step(A: Array, damping: float, gradient: Array) -> Array:
    """The damped step; none where the matrix is singular to rounding, so that the damping grows."""
    try:
        return np.asarray(-cho_solve(cho_factor(A + damping * np.eye(len(A))), gradient))
    except np.linalg.LinAlgError:
        return np.full(len(A), np.nan)
