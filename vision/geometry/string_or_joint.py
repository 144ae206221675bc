"""Whether a followed plumb line may be a joint between tiles: one of a row of lines that look alike and stand at equal distances.

A string hangs alone. One photo does not tell it from a joint by itself, but joints come in rows: where lines of the same contrast
and colour run beside the one that was followed, in step with it, nothing says that it is a string. Of 107 strings in rendered
rooms 90 were followed, of which 3 were found in a row, and there it was a joint beside the string that had been followed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.geometry.edges import EdgePoints
from vision.geometry.strips import LINEAR

Array = NDArray[np.float64]
REACH_PX = 900.0
"""px at 12 MP; how far to either side other lines are looked for: two tiles of 30 cm or one of 60"""
BLOCKS = 24
"""along the line; within one the pixels are averaged"""
FAN = 0.06
"""px/px; how much lines beside it may run apart from it: a camera that looks up or down by ten degrees"""
LINE_PX, APART_PX = 2.0, 10.0
"""px at 12 MP; width of a line, and distance under which two are one"""
UNLIKE = 0.5
"""share of the line's own contrast by which another may differ in any colour and still look alike: joints of one wall do by up to
0.4 where light falls unevenly"""
ALONG, STRONG = 0.7, 0.4
"""share of a line's blocks in which it must show, with this share of the contrast at least"""
FAINTEST = 0.4
"""share of the line's contrast under which others are not looked at"""
MOST_LINES = 80
OFF_STEP, OFF_PX = 0.06, 3.0
"""share of a step, and px at 12 MP, by which a line may be off its place in the row"""
DARKEST = 0.01
"""linear light, against which contrasts are told at least"""


@dataclass(frozen=True)
class Beside:
    """What lies beside a rough upright line: mean linear light by block and distance, (BLOCKS, 2 reach + 1, 3).

    `rough` (2, 2) px are its ends, the upper one first; `there` (2 reach + 1,) says which distances lie within the picture.
    """

    rough: Array
    light: NDArray[np.float32]
    there: NDArray[np.bool_]
    scale: float


def look_beside(pixels: NDArray[np.uint8], line: Array, scale: float) -> Beside | None:
    """The surround of a line between two rough points (2, 2) px; None of one that does not run upright, or is short."""
    rough = np.array(sorted(line, key=lambda point: float(point[1])))
    rows = np.arange(max(int(rough[0, 1]), 0), min(int(rough[1, 1]) + 1, len(pixels)))
    slope = (rough[1, 0] - rough[0, 0]) / max(rough[1, 1] - rough[0, 1], 1e-9)
    if len(rows) < 2 * BLOCKS or abs(slope) > 1:
        return None
    reach = round(REACH_PX * scale)
    columns = np.round(rough[0, 0] + slope * (rows - rough[0, 1])).astype(np.int64)[:, None] + np.arange(-reach, reach + 1)
    there = ((columns >= 0) & (columns < pixels.shape[1])).all(axis=0)
    columns = np.clip(columns, 0, pixels.shape[1] - 1)
    parts = np.array_split(np.arange(len(rows)), BLOCKS)
    light = [LINEAR[pixels[rows[part][:, None], columns[part]]].mean(axis=0) for part in parts]
    return Beside(rough, np.array(light), there, scale)


def in_a_row(beside: Beside | None, points: EdgePoints) -> int:
    """How many lines look like the one followed through `points` and stand in step with it; 0 where it is one by itself."""
    if beside is None:
        return 0
    contrast = _contrast(beside.light, max(round(LINE_PX * beside.scale), 1))
    middles = beside.rough[0, 1] + (np.arange(BLOCKS) + 0.5) / BLOCKS * (beside.rough[1, 1] - beside.rough[0, 1])
    followed = np.polyval(np.polyfit(points.points_px[:, 1], points.points_px[:, 0], 1), middles)
    straight = np.interp(middles, beside.rough[:, 1], beside.rough[:, 0])
    off = followed - straight
    own = _along(contrast, off)
    look = np.median(own, axis=0)
    strength = float(np.linalg.norm(look))
    if strength <= 0 or not _steady(own, look):
        return 0
    others = _others(np.where(beside.there[:, None], contrast, 0.0), off, look, beside.scale)
    return len(_in_step(others, beside.scale))


def _contrast(light: NDArray[np.float32], width: int) -> Array:
    """Middle less the mean of both sides over that mean, where the middle stands out on both; shape as `light`."""
    n, gap = light.shape[1], 2 * width + 1
    summed = np.cumsum(np.pad(light.astype(np.float64), ((0, 0), (1, 0), (0, 0))), axis=1)
    at = np.arange(gap + width, n - gap - width)

    def mean(first: int, last: int) -> Array:
        return np.asarray((summed[:, at + last + 1] - summed[:, at + first]) / (last - first + 1))

    middle, left, right = mean(-(width // 2), width // 2), mean(-gap - width, -gap), mean(gap, gap + width)
    p, q = middle - left, middle - right
    both = np.minimum(np.abs(p), np.abs(q)) / np.maximum(np.maximum(np.abs(p), np.abs(q)), 1e-9)  # a step is no line
    out = np.zeros(light.shape)
    out[:, at] = 0.5 * (p + q) / np.maximum(0.5 * (left + right), DARKEST) * both * (p * q > 0)
    return out


def _along(contrast: Array, off: Array) -> Array:
    """The strongest contrast within a pixel of a course: `off` px from the rough line in each block; (BLOCKS, 3)."""
    reach = contrast.shape[1] // 2
    index = np.clip(np.round(reach + off).astype(np.int64)[:, None] + (-1, 0, 1), 0, 2 * reach)
    near = contrast[np.arange(BLOCKS)[:, None], index]
    return np.asarray(near[np.arange(BLOCKS), np.abs(near.mean(axis=2)).argmax(axis=1)])


def _steady(blocks: Array, look: Array) -> bool:
    """Whether a line shows in most of its blocks (BLOCKS, 3), as `look` (3,) does."""
    return bool(np.mean(blocks @ look > STRONG * float(look @ look)) >= ALONG)


def _others(contrast: Array, off: Array, look: Array, scale: float) -> list[float]:
    """Distances (px, in the middle of its length) from the followed course of lines that look like it."""
    reach = contrast.shape[1] // 2
    grey, t = contrast.mean(axis=2), (np.arange(BLOCKS) + 0.5) / BLOCKS - 0.5
    most = FAN * 2 * REACH_PX * scale
    turns = np.arange(-most, most + 1, 2.0)
    best, turn = np.full(2 * reach + 1, -1.0), np.zeros(2 * reach + 1)
    for one in turns:
        index = np.clip(np.arange(2 * reach + 1) + np.round(off + one * t).astype(np.int64)[:, None], 0, 2 * reach)
        mean = np.abs(np.take_along_axis(grey, index, axis=1).mean(axis=0))
        turn = np.where(mean > best, one, turn)
        best = np.maximum(best, mean)
    clear = round(APART_PX * scale)
    best[max(reach - clear, 0) : reach + clear + 1] = 0.0
    out = []
    for _ in range(MOST_LINES):
        at = int(np.argmax(best))
        if best[at] < FAINTEST * abs(float(look.mean())):
            break
        best[max(at - clear, 0) : at + clear + 1] = 0.0
        blocks = _along(contrast, at - reach + off + turn[at] * t)
        unlike = np.linalg.norm(np.median(blocks, axis=0) - look) / np.linalg.norm(look)
        if unlike < UNLIKE and _steady(blocks, look):
            out.append(float(at - reach))
    return out


def _in_step(places: Sequence[float], scale: float) -> set[float]:
    """Those of some places that stand in one row with 0: one step away and another one further, or as far on the other side."""
    found: set[float] = set()
    for step in places:
        near = [p for m in (2.0, -1.0) for p in places if abs(p - m * step) < max(OFF_STEP * abs(step), OFF_PX * scale)]
        found |= {step, *near} if near else set()
    return found
