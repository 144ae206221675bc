"""Further clues of a level line: does it stand out among its neighbours, is it a thin line, does the depth begin at its ends."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace_lines import View, sampled

Array = NDArray[np.float64]
FURTHER = (
    "stands out among its neighbours",
    "a thin line of another colour",
    "a line into the depth from both ends",
    "a line into the depth from the fainter end",
    "walls inside, joints left out",
    "walls beyond, joints left out",
)
"""each 0 to 1"""
REACH, STEP = 16.0, 0.5
"""px of the small picture to either side of a line that are looked at, and how finely"""
SAMPLES = 64
"""places along a line"""
BOX = 5
"""steps of STEP; the colour on either side of an edge is averaged over so much"""
AT, NEIGHBOUR = 1.6, 5.5
"""px; an edge within AT is the line's own, one beyond NEIGHBOUR another's"""
FLAT = 0.002
"""of full range; a colour step of this size is noise wherever it is"""
BESIDE = (2.5, 7.0)
"""px; what lies on either side of a thin line"""
HALF_STEP = 0.02
"""of full range; a step of this size along a line into the depth counts half"""
SEEN_PX = 8.0
"""px; a side wall seen narrower than this shows no line into the depth"""


def profile_of(view: View, x: Array, y: Array, normal: tuple[int, int]) -> tuple[Array, Array]:
    """Mean colours (n, offsets, 3) beside lines through places x, y (n, samples) along the normal, and the offsets (px)."""
    offsets = np.arange(-REACH, REACH + 0.01, STEP)
    shape = (*x.shape, len(offsets))
    xs, ys = (np.broadcast_to(p[..., None] + k * offsets, shape) for p, k in zip((x, y), normal, strict=True))
    return np.asarray(sampled(view.square, xs, ys).mean(axis=1)), offsets


def steps_of(profile: Array, offsets: Array) -> tuple[Array, Array]:
    """Sizes (n, m) of the colour steps across a profile (n, offsets, 3), and where (m,) they are (px)."""
    total = np.concatenate([np.zeros((len(profile), 1, 3)), np.cumsum(profile, axis=1)], axis=1)
    i = np.arange(BOX, len(offsets) - BOX + 1)
    step = (total[:, i + BOX] - 2 * total[:, i] + total[:, i - BOX]) / BOX
    return np.linalg.norm(step, axis=-1), (offsets[i - 1] + offsets[i]) / 2


def thin_line(profile: Array, offsets: Array) -> Array:
    """How much (0 to 1) of what is seen at lines (n,) is a thin line of another colour than both sides."""
    low, high = BESIDE
    inner, outer = (profile[:, (s * offsets >= low) & (s * offsets <= high)].mean(axis=1) for s in (1, -1))
    middle = profile[:, np.abs(offsets) <= 1.0].mean(axis=1)
    line, step = np.linalg.norm(middle - (inner + outer) / 2, axis=-1), np.linalg.norm(inner - outer, axis=-1)
    return np.asarray(line / (line + step + 0.005))


def further_clues(view: View, lines: Array, left: Array, right: Array) -> Array:
    """FURTHER (n, 4) of level lines (n, 2) between walls that they meet at x = left and right (n,)."""
    w = view.square.small.shape[1]
    t = (np.arange(SAMPLES) + 0.5) / SAMPLES
    x = left[:, None] + 3 + (right - left - 6)[:, None] * t
    profile, offsets = profile_of(view, x, lines[:, :1] + lines[:, 1:] * (x - w / 2), (0, 1))
    size, at = steps_of(profile, offsets)
    own = size[:, np.abs(at) <= AT].max(axis=1)
    other = size[:, np.abs(at) >= NEIGHBOUR].max(axis=1)
    return np.column_stack([own / (own + other + FLAT), thin_line(profile, offsets), *_into_depth(view, lines, left, right)])


def _into_depth(view: View, lines: Array, left: Array, right: Array) -> tuple[Array, Array]:
    """How clearly a line starts into the depth at both ends, on average by what is seen of each reveal, and at the fainter."""
    depth, w = view.square.depth, view.square.small.shape[1]
    clear, weight = [], []
    for x, side in ((left, 1), (right, -1)):
        corner = np.stack([x, lines[:, 0] + lines[:, 1] * (x - w / 2)], axis=1)
        step = np.max([_start(view, corner + np.array([0.0, shift])) for shift in (-1.0, 0.0, 1.0)], axis=0)
        clear.append(np.clip(step / (step + HALF_STEP), 0.0, 1.0))
        weight.append(np.where((depth[0] - x) * side > SEEN_PX, np.abs(depth[0] - x), 0.0))
    c, v = np.array(clear), np.array(weight)
    total = v.sum(axis=0)
    mean = np.where(total > 0, (v * c).sum(axis=0) / np.maximum(total, 1e-9), 0.5)
    faintest = np.where(total > 0, np.where(v > 0, c, 1.0).min(axis=0), 0.5)
    return mean, faintest


def _start(view: View, corner: Array) -> Array:
    """Colour step (n,) across the line from each corner to the depth, of the fainter half of its first 17 px."""
    d, o = np.arange(3.0, 20.0, 0.5), np.arange(1.0, 3.6, 0.5)[:, None, None, None]
    u = view.square.depth - corner
    u = (u / np.linalg.norm(u, axis=1, keepdims=True)).T
    along, aside = corner.T[..., None] + u[..., None] * d, np.stack([-u[1], u[0]])[..., None] * o
    a, b = (sampled(view.square, p[:, 0], p[:, 1]).mean(axis=0) for p in (along + aside, along - aside))
    halves = (a - b).reshape(len(corner), 2, len(d) // 2, 3).mean(axis=2)
    mean = halves.mean(axis=1)
    mean = mean / np.maximum(np.linalg.norm(mean, axis=-1, keepdims=True), 1e-9)
    return np.asarray(np.einsum("nhc,nc->nh", halves, mean).min(axis=1))
