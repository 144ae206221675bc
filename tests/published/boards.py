"""A printed grid in a real photo, put to our own adjustment: one block of its cells is the card, its border the opening.

Lengths are counted in cells; a cell is CELL of the adjustment's mm, so nothing rests on how large it was printed. The crossings
of the grid are observed (px); each line of the border and of the block is an edge with the crossings on it as its points. Shifts
of ends and sag, lens and focal length have the project's own priors.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.stats import chi2

from vision.gaussian import Gaussian
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly, assemble
from vision.geometry.camera import CameraPrior
from vision.geometry.cards import CardCandidate, CardFacts, CardSpec
from vision.geometry.edges import EdgePoints
from vision.geometry.look import CardLook, Look
from vision.geometry.measure import solve, widened_lens
from vision.geometry.opening import SIZES
from vision.geometry.seen import Demands, SeenCard, SeenPhoto
from vision.geometry.sizes import propagate, size_functions
from vision.geometry.start import view_of_rectangle
from vision.settings import CardKind, Settings

Array = NDArray[np.float64]
CELL = 100.0
"""mm of the adjustment that one cell counts"""
FLAT = 1.0
"""mm of the adjustment, a hundredth of a cell, so a quarter of a millimetre on these prints: how flat a sheet on a board is, and
how straight its lines (common practice, no source)"""
PRINTED = 0.0005
"""relative; how alike the cells of one print are (common practice, no source)"""
CORNERS = ([0, 0, -1, -1], [0, -1, -1, 0])
"""rows and columns of bottom-left, bottom-right, top-right, top-left"""
SIGNIFICANCE = 0.001


@dataclass(frozen=True)
class Block:
    """Cells from column `left` and row `bottom` (from 0, to the right and upward), `wide` by `high` of them."""

    left: int
    bottom: int
    wide: int
    high: int


@dataclass(frozen=True)
class Grid:
    """Observed crossings (rows, columns, 2) px of one picture, columns to the right, rows upward, and its camera's prior."""

    crossings: Array
    width: int
    height: int
    camera: CameraPrior

    @property
    def sd_px(self) -> float:
        """What crossings scatter about smooth curves (parabolas) along all rows and columns, px, over all of them."""
        squares, free = 0.0, 0
        for line in (*self.crossings, *self.crossings.transpose(1, 0, 2)):
            along = (line[-1] - line[0]) / np.linalg.norm(line[-1] - line[0])
            t, across = line @ along, line @ [-along[1], along[0]]
            t = (t - t.mean()) / np.ptp(t)
            squares += float(np.sum((across - np.polyval(np.polyfit(t, across, 2), t)) ** 2))
            free += len(line) - 3
        return math.sqrt(squares / free)


@dataclass(frozen=True)
class Predicted:
    """Sizes of the border in cells as one block gives them, what they are, and the adjustment behind them."""

    sizes: Gaussian
    true: Array
    solution: Solution

    @property
    def scores(self) -> Array:
        """Predicted less true, in stated standard deviations."""
        return np.asarray((self.sizes.mean - self.true) / self.sizes.sd)

    @property
    def distance_share(self) -> float:
        """Squared Mahalanobis distance from the truth over its 0.999 quantile (1: as far as one in a thousand)."""
        value, vector = np.linalg.eigh(self.sizes.covariance)
        kept = value > 1e-9 * value.max()
        along = vector[:, kept].T @ (self.sizes.mean - self.true)
        return float(np.sum(along**2 / value[kept]) / chi2.ppf(1 - SIGNIFICANCE, int(kept.sum())))

    @property
    def misfit_share(self) -> float:
        """The adjustment's cost over the 0.999 quantile of chi-square with as many degrees as rows less unknowns."""
        return self.solution.cost / float(chi2.ppf(1 - SIGNIFICANCE, len(self.solution.residuals) - self.solution.layout.size))


def upright(crossings: Array) -> Array:
    """The crossings (rows, columns, 2) px with rows upward as seen, whichever way they were found."""
    across, up = crossings[0, -1] - crossings[0, 0], crossings[-1, 0] - crossings[0, 0]
    return crossings[::-1] if across[0] * up[1] - across[1] * up[0] > 0 else crossings


def noticed(grid: Grid, block: Block) -> bool:
    """Whether a check with a phone's lens prior would see that this lens contradicts it (and let it give way)."""
    assembly = _assembled(grid, block)
    return widened_lens(solve(assembly), assembly.camera_priors, Settings().camera) != assembly.camera_priors


def predicted(grid: Grid, block: Block, *, lens: bool = True) -> Predicted:
    """The grid's border as one block of it predicts it; the lens prior gives way as in a check, or there is no lens term."""
    assembly = _assembled(grid, block)
    if lens:
        priors = widened_lens(solve(assembly), assembly.camera_priors, Settings().camera)
    else:
        priors = tuple(replace(p, k1_sd=1e-6, k2_sd=1e-6) for p in assembly.camera_priors)
    assembly = _assembled(grid, block, priors)
    solution = solve(assembly, 1e-9)
    high, wide = (n - 1 for n in grid.crossings.shape[:2])
    at = {"width_top": high * CELL, "width_middle": high * CELL / 2, "width_bottom": 0.0}
    sizes = propagate(solution, size_functions(at, True, high * CELL, False)).select(SIZES)
    cells = Gaussian(sizes.names, sizes.mean / CELL, {k: f / CELL for k, f in sizes.sources.items()})
    kinds = {"width": float(wide), "height": float(high), "diagonal": math.hypot(wide, high)}
    return Predicted(cells, np.array([kinds[n.split("_")[0]] for n in cells.names]), solution)


def _assembled(grid: Grid, block: Block, priors: tuple[CameraPrior, ...] | None = None) -> Assembly:
    s = Settings()
    flat = replace(
        s,
        edges=replace(s.edges, bow_sd_mm=FLAT),
        depth=replace(s.depth, arris_step_sd_mm=FLAT),
        cards=replace(s.cards, offset_own_sd_mm=FLAT),
    )
    sides = (block.wide * CELL, block.high * CELL)
    kind = CardKind("block", *sides, PRINTED * sides[0], PRINTED * sides[1], 0.0, 0.0, "cells of the same print")
    spec = CardSpec(kind, 1, 0.0, FLAT)
    demands = Demands(CardFacts((spec,), None), True, None, {}, (), 0.0)
    return assemble([_seen(grid, block, spec, s)], demands, flat, priors=priors)


def _seen(grid: Grid, block: Block, spec: CardSpec, settings: Settings) -> SeenPhoto:
    """The grid's border as an opening, the block as its only card."""
    whole, sd = grid.crossings, grid.sd_px
    part = whole[block.bottom : block.bottom + block.high + 1, block.left : block.left + block.wide + 1]

    def edge(points: Array) -> EdgePoints:
        n = len(points)
        bias = settings.edges.bias_sd_px
        return EdgePoints(points, np.full(n, sd), np.linspace(-1, 1, n), bias, 1.0, 0.2, 0.0, 1.0, np.zeros(3))

    bottom, right, top, left = (edge(p) for p in (part[0], part[:, -1], part[-1], part[:, 0]))
    outline = {"left": edge(whole[:, 0]), "right": edge(whole[:, -1]), "curb": edge(whole[0]), "head": edge(whole[-1])}
    scale = math.hypot(grid.width, grid.height) / settings.camera.reference_diagonal_px
    look = Look(1, "grid", grid.width, grid.height, scale, grid.camera, whole[CORNERS], {}, (), ())
    card = CardLook(CardCandidate(part[CORNERS], True, spec.kind, False), ())  # type: ignore[arg-type]  # no strips: points are given
    seen = SeenCard(1, 1, card, spec, part[CORNERS], (bottom, right, top, left), inside=True)
    view = view_of_rectangle(whole[CORNERS], grid.camera, has_head=True)
    return SeenPhoto(look, view, whole[CORNERS], outline, (), (seen,))
