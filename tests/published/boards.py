"""A printed grid in a real photo, put to our own adjustment: one block of its cells is the card, its border the opening.

Lengths are counted in cells; a cell is CELL of the adjustment's mm, so nothing rests on what the print measured. The crossings
of the grid are observed (px); each line of the border and of the block is an edge with the crossings on it as its points, with
the project's own shifts of ends and sag on top.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

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
"""mm of the adjustment, so a hundredth of a cell (a quarter of a millimetre on these prints): how flat a sheet on a board is, and
how straight its lines (common practice, no source)"""
PRINTED = 0.0005
"""relative; how alike the cells of one print are (common practice, no source)"""
CENTRE_SHARE = 0.05
"""of the diagonal; where the principal point of a camera of which nothing is known may be (common practice, no source)"""
KS = 0.3
CAMX = None
"""relative sd of the focal length, as the settings have it for a photo without metadata"""


@dataclass(frozen=True)
class Block:
    """Cells from column `left` and row `bottom` (counted from 0, upward), `wide` by `high`."""

    left: int
    bottom: int
    wide: int
    high: int


@dataclass(frozen=True)
class Predicted:
    """Sizes of the border in cells, as one block gives them, their truth, and the adjustment behind them."""

    sizes: Gaussian
    true: Array
    solution: Solution
    assembly: Assembly

    @property
    def off(self) -> Array:
        """Predicted less true, cells."""
        return self.sizes.mean - self.true

    @property
    def scores(self) -> Array:
        """In stated standard deviations."""
        return self.off / self.sizes.sd

    @property
    def distance(self) -> float:
        """Squared Mahalanobis distance over the independent directions of the stated covariance."""
        value, vector = np.linalg.eigh(self.sizes.covariance)
        kept = value > 1e-9 * value.max()
        return float(np.sum((vector[:, kept].T @ self.off) ** 2 / value[kept]))


def upright(grid: Array) -> Array:
    """The grid (rows, columns, 2) px with columns to the right and rows upward, whichever way it was found."""
    across, up = grid[0, -1] - grid[0, 0], grid[-1, 0] - grid[0, 0]
    if across[0] * up[1] - across[1] * up[0] > 0:
        grid = grid[::-1]
    return grid


def predicted(grid: Array, block: Block, *, sd_px: float, shape: tuple[int, int], lens: bool) -> Predicted:
    """The border of a grid (rows, columns, 2) px as one block of it predicts it.

    `shape` is the picture's height and width. With `lens` the lens term's prior gives way as it does in a check; without it
    there is no lens term.
    """
    settings = flat_settings()
    photo, demands = seen(grid, block, sd_px, shape, settings)
    assembly = assemble([photo], demands, settings)
    solution = solve(assembly)
    if lens:
        priors = tuple(replace(p, k1_sd=KS, k2_sd=KS) for p in assembly.camera_priors)
        assembly = assemble([photo], demands, settings, priors=priors, before=(solution.state, assembly))
    else:
        none = tuple(replace(p, k1_sd=1e-6, k2_sd=1e-6) for p in assembly.camera_priors)
        assembly = assemble([photo], demands, settings, priors=none, before=(solution.state, assembly))
    solution = solve(assembly, 1e-9)
    return predicted_by(assembly, solution, grid.shape[1] - 1, grid.shape[0] - 1)


def predicted_by(assembly: Assembly, solution: Solution, wide: int, high: int) -> Predicted:
    at = {"width_top": high * CELL, "width_middle": high * CELL / 2, "width_bottom": 0.0}
    sizes = propagate(solution, size_functions(at, True, high * CELL, False))
    cells = Gaussian(sizes.names, sizes.mean / CELL, {k: f / CELL for k, f in sizes.sources.items()}).select(SIZES)
    diagonal = math.hypot(wide, high)
    true = {**dict.fromkeys(SIZES, float(wide)), "height_left": high, "height_right": high}
    true |= {"diagonal_rising": diagonal, "diagonal_falling": diagonal}
    return Predicted(cells, np.array([true[n] for n in cells.names]), solution, assembly)


def flat_settings() -> Settings:
    """The project's settings for a flat print instead of walls."""
    s = Settings()
    return replace(
        s,
        edges=replace(s.edges, bow_sd_mm=FLAT),
        depth=replace(s.depth, arris_step_sd_mm=FLAT),
        cards=replace(s.cards, offset_common_sd_mm=FLAT, offset_own_sd_mm=FLAT),
    )


def seen(
    grid: Array, block: Block, sd_px: float, shape: tuple[int, int], settings: Settings
) -> tuple[SeenPhoto, Demands]:
    """The grid's border as an opening, the block as its only card."""
    height, width = shape
    diagonal, known = math.hypot(width, height), settings.camera
    f = known.default_focal_35mm * diagonal / math.hypot(36, 24)
    X = CAMX or (f, 0.25, (width-1)/2, (height-1)/2, 40.)
    prior = CameraPrior(
        *X,
        known.k1_sd, known.k2_sd, False,
    )  # fmt: skip

    def edge(points: Array) -> EdgePoints:
        n = len(points)
        return EdgePoints(
            points, np.full(n, sd_px), np.linspace(-1, 1, n), settings.edges.bias_sd_px, 1.0, 0.2, 0.0, 1.0, np.zeros(3)
        )

    def around(part: Array) -> tuple[Array, Array, Array, Array]:
        return part[0], part[:, -1], part[-1], part[:, 0]

    corners = grid[[0, 0, -1, -1], [0, -1, -1, 0]]
    outline = dict(zip(("curb", "right", "head", "left"), map(edge, around(grid)), strict=True))
    part = grid[block.bottom : block.bottom + block.high + 1, block.left : block.left + block.wide + 1]
    sides = (block.wide * CELL, block.high * CELL)
    kind = CardKind("block", *sides, PRINTED * sides[0], PRINTED * sides[1], 0.0, 0.0, "cells of one print")
    ends = part[[0, 0, -1, -1], [0, -1, -1, 0]]
    spec = CardSpec(kind, 1, 0.0, FLAT)
    look = Look(1, "grid", width, height, diagonal / known.reference_diagonal_px, prior, corners, {}, (), ())
    card = SeenCard(
        1, 1, CardLook(CardCandidate(ends, True, kind, False), ()), spec, ends, tuple(map(edge, around(part))), inside=True  # type: ignore[arg-type]  # fmt: skip
    )
    view = view_of_rectangle(corners, prior, has_head=True)
    demands = Demands(CardFacts((spec,), None), True, None, {}, (), 0.0)
    return SeenPhoto(look, view, corners, outline, (), (card,)), demands
