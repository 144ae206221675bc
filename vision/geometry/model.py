"""The unknowns of the adjustment and the world points of every imaged edge, with derivatives.

World: opening plane z = 0, x right along the curb, y up, z toward the camera, mm; origin at the foot of the left wall. The curb
is the line y = 0, so the walls' slopes are against the curb's perpendicular and gravity is one more unknown.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.camera import CAMERA_PARAMETERS, Camera
from vision.geometry.line_model import LINE_PARAMETERS, LineModel, line_points
from vision.settings import CardKind

Array = NDArray[np.float64]
Edge = tuple[str, int, int]
"""("left" | "right" | "curb" | "head", 0, 0), ("card", card index, side), ("plumb", index, 0) or ("line", index, part).

Sides 0..3 are the bottom, right, top and left edge of a card's face; parts 0..2 of a level its long side and its two ends."""
OPENING_EDGES = ("left", "right", "curb", "head")
OPENING_PARAMETERS = (
    *("width", "left_slope", "left_bow", "right_slope", "right_bow", "height", "head_slope", "gravity"),
    *("arris_step", "door_depth", "left_flare", "right_flare", "curb_fall"),
)
"""The last five are what lies out of the plane: how much nearer to the camera the left arris stands than the right one (mm),
the door line's depth behind the arrises (mm), how much wider each side wall makes the opening and how much lower the curb is, per
mm of depth."""
W0, BL, CL, BR, CR, H0, SH, G, STEP, DEEP, FL, FR, FALL = range(13)
NUISANCES = 4
"""of every imaged edge: shifts of both ends, sag, and the bend that grows to one end and back at the other, px"""


@dataclass(frozen=True)
class CardModel:
    """What does not change of one card: kind, turned (height along the bottom edge), groups for shared errors, nominal offset."""

    kind: CardKind
    turned: bool
    size_group: int
    offset_group: int
    offset_mm: float
    offset_common_sd_mm: float
    side: float = 0.0
    """share of the step between the arrises by which the card stands nearer: 1/2 on the left wall's face, -1/2 on the right's"""


@dataclass(frozen=True)
class Nominal:
    """The fixed part of the problem: cards, whether there is a head, and the height over which bow is counted without one."""

    cards: tuple[CardModel, ...]
    size_groups: int
    offset_groups: int
    plumb_lines: int
    has_head: bool
    chord_mm: float
    gravity: bool
    lines: tuple[LineModel, ...] = ()


@dataclass(frozen=True)
class State:
    """Current values of all unknowns but the edge nuisances.

    `opening` (13,) as OPENING_PARAMETERS (mm, mm/mm); `cards` (c, 4): x, y (mm) of the centre, angle (rad), own offset (mm);
    `sizes` (g, 2): excess over the nominal sides (mm); `offsets` (o,): common offsets (mm); `plumb` (p, 2): x (mm) at y = 0
    and slope; `tape`: the shared tape variable (unit); `nuisance` (e, 4) px.
    """

    cameras: tuple[Camera, ...]
    opening: Array
    cards: Array
    sizes: Array
    offsets: Array
    plumb: Array
    tape: float
    nuisance: Array
    foot: dict[int, Array] = field(default_factory=dict)
    """curve parameter of each observed point, by edge number; a cache that each evaluation refines"""
    lines: Array = field(default_factory=lambda: np.zeros((0, len(LINE_PARAMETERS))))
    """(l, 5), levels and joints, as LINE_PARAMETERS"""


class Layout:
    """Where each unknown stands in the parameter vector."""

    def __init__(self, nominal: Nominal, photos: int, edges: int) -> None:
        n = len(CAMERA_PARAMETERS)
        self.cameras = [slice(i * n, (i + 1) * n) for i in range(photos)]
        at = photos * n
        self.opening = slice(at, at + len(OPENING_PARAMETERS))
        at = self.opening.stop
        self.cards = [slice(at + 4 * i, at + 4 * i + 4) for i in range(len(nominal.cards))]
        at += 4 * len(nominal.cards)
        self.sizes = [slice(at + 2 * i, at + 2 * i + 2) for i in range(nominal.size_groups)]
        at += 2 * nominal.size_groups
        self.offsets = [at + i for i in range(nominal.offset_groups)]
        at += nominal.offset_groups
        self.plumb = [slice(at + 2 * i, at + 2 * i + 2) for i in range(nominal.plumb_lines)]
        at += 2 * nominal.plumb_lines
        k = len(LINE_PARAMETERS)
        self.lines = [slice(at + k * i, at + k * i + k) for i in range(len(nominal.lines))]
        at += k * len(nominal.lines)
        self.tape = at
        at += 1
        self.nuisance = [slice(at + NUISANCES * i, at + NUISANCES * (i + 1)) for i in range(edges)]
        self.size = at + NUISANCES * edges

    def stepped(self, state: State, step: Array) -> State:
        """The state after a step in all parameters."""
        o = self.opening
        return replace(
            state,
            cameras=tuple(c.moved(step[s]) for c, s in zip(state.cameras, self.cameras, strict=True)),
            opening=state.opening + step[o],
            cards=state.cards + _rows(step, self.cards, state.cards.shape),
            sizes=state.sizes + _rows(step, self.sizes, state.sizes.shape),
            offsets=state.offsets + step[self.offsets[0] : self.offsets[0] + len(self.offsets)]
            if self.offsets
            else state.offsets,
            plumb=state.plumb + _rows(step, self.plumb, state.plumb.shape),
            lines=state.lines + _rows(step, self.lines, state.lines.shape),
            tape=state.tape + float(step[self.tape]),
            nuisance=state.nuisance + _rows(step, self.nuisance, state.nuisance.shape),
            foot=dict(state.foot),
        )


def _rows(step: Array, slices: list[slice], shape: tuple[int, ...]) -> Array:
    if not slices:
        return np.zeros(shape)
    return step[slices[0].start : slices[-1].stop].reshape(shape)


Derivatives = list[tuple[int, Array]]
"""Pairs of a parameter's column and the derivative of the world points by it, shape (n, 3), or (3,) where it is that of all"""
ACROSS, UP, OUTWARD = np.eye(3)


def world_points(edge: Edge, t: Array, state: State, nominal: Nominal, layout: Layout) -> tuple[Array, Array, Derivatives]:
    """World points (n, 3) at curve parameters t, their derivative by t, and by the unknowns."""
    if edge[0] == "card":
        return _card_points(edge, t, state, nominal, layout)
    if edge[0] == "plumb":
        return _plumb_points(edge[1], t, state, layout)
    if edge[0] == "line" and nominal.lines[edge[1]].back is not None:
        return _back_points(edge[1], t, state, nominal, layout)
    if edge[0] == "line":
        return line_points(edge[2], t, state.lines[edge[1]], nominal.lines[edge[1]].lying, layout.lines[edge[1]].start)
    o, base = state.opening, layout.opening.start
    n = len(t)
    if edge[0] == "curb":
        return _points(n, t, 0.0, 0.0), _points(n, 1.0, 0.0, 0.0), []
    if edge[0] == "head":
        X, dt = _points(n, t, o[H0] + o[SH] * t, 0.0), _points(n, 1.0, o[SH], 0.0)
        return X, dt, [(base + H0, UP), (base + SH, _points(n, 0.0, t, 0.0))]
    return _wall_points(edge[0] == "left", t, state, nominal, layout)


def _wall_points(left: bool, t: Array, state: State, nominal: Nominal, layout: Layout) -> tuple[Array, Array, Derivatives]:
    """A wall's arris: a parabola that stands before or behind the plane by half the step between the arrises."""
    o, base, n = state.opening, layout.opening.start, len(t)
    slope, bow = (BL, CL) if left else (BR, CR)
    half = 0.5 if left else -0.5
    chord = o[H0] if nominal.has_head else nominal.chord_mm
    tau = t / chord
    X = _points(n, o[slope] * t + o[bow] * 4 * tau * (1 - tau) + (0.0 if left else o[W0]), t, half * o[STEP])
    dt = _points(n, o[slope] + o[bow] * 4 * (1 - 2 * tau) / chord, 1.0, 0.0)
    derivatives = [
        (base + slope, _along_x(t)),
        (base + bow, _along_x(4 * tau * (1 - tau))),
        (base + STEP, half * OUTWARD),
    ]
    if not left:
        derivatives.append((base + W0, ACROSS))
    if nominal.has_head:
        derivatives.append((base + H0, _along_x(-o[bow] * 4 * (1 - 2 * tau) * tau / chord)))
    return X, dt, derivatives


def _back_points(index: int, t: Array, state: State, nominal: Nominal, layout: Layout) -> tuple[Array, Array, Derivatives]:
    """A joint on a side wall at depths t behind its arris: from this height on the arris straight back, with the wall's flare."""
    left = nominal.lines[index].back == "left"
    y, slope = state.lines[index, :2]
    flare, outward = (FL, -1.0) if left else (FR, 1.0)
    at, along, derivatives = _wall_points(left, np.full_like(t, y), state, nominal, layout)
    way = np.array([outward * state.opening[flare], slope, -1.0])
    base, zero = layout.lines[index].start, np.zeros_like(t)
    derivatives += [
        (base, along),
        (base + 1, np.stack([zero, t, zero], axis=1)),
        (layout.opening.start + flare, _along_x(outward * t)),
    ]
    return at + t[:, None] * way, np.tile(way, (len(t), 1)), derivatives


def bend(edge: Edge, state: State, nominal: Nominal) -> float:
    """Second derivative of x by the curve parameter (1/mm): a wall is a parabola, every other edge straight."""
    if edge[0] not in ("left", "right"):
        return 0.0
    chord = state.opening[H0] if nominal.has_head else nominal.chord_mm
    return float(-8 * state.opening[CL if edge[0] == "left" else CR] / chord**2)


def _along_x(values: Array) -> Array:
    out = np.zeros((len(values), 3))
    out[:, 0] = values
    return out


def card_size(card: CardModel, state: State) -> tuple[float, float]:
    """Sides along bottom and left edge with their current excess, mm."""
    w = card.kind.width_mm + float(state.sizes[card.size_group, 0])
    h = card.kind.height_mm + float(state.sizes[card.size_group, 1])
    return (h, w) if card.turned else (w, h)


def _card_points(edge: Edge, t: Array, state: State, nominal: Nominal, layout: Layout) -> tuple[Array, Array, Derivatives]:
    card = nominal.cards[edge[1]]
    x, y, angle, own = state.cards[edge[1]]
    a, b = card_size(card, state)
    c, s = np.cos(angle), np.sin(angle)
    side, n = edge[2], len(t)
    sign = 1.0 if side in (1, 2) else -1.0
    flat = side in (0, 2)
    lx, ly = (t * a / 2, sign * b / 2) if flat else (sign * a / 2, t * b / 2)
    dlx_da, dly_db = (t / 2, sign / 2) if flat else (sign / 2, t / 2)
    depth = card.side * state.opening[STEP] - (card.offset_mm + own + state.offsets[card.offset_group])
    X = _points(n, x + c * lx - s * ly, y + s * lx + c * ly, depth)
    dt = _points(n, *((c * a / 2, s * a / 2) if flat else (-s * b / 2, c * b / 2)), 0.0)
    at, size = layout.cards[edge[1]].start, layout.sizes[card.size_group].start
    first, second = (1, 0) if card.turned else (0, 1)
    return (
        X,
        dt,
        [
            (at, ACROSS),
            (at + 1, UP),
            (at + 2, _points(n, -s * lx - c * ly, c * lx - s * ly, 0.0)),
            (at + 3, -OUTWARD),
            (layout.offsets[card.offset_group], -OUTWARD),
            (layout.opening.start + STEP, card.side * OUTWARD),
            (size + first, _points(n, c * dlx_da, s * dlx_da, 0.0)),
            (size + second, _points(n, -s * dly_db, c * dly_db, 0.0)),
        ],
    )


def _points(n: int, x: Array | float, y: Array | float, z: Array | float) -> Array:
    """Points (n, 3) of coordinates (n,) or alike for all."""
    out = np.empty((n, 3))
    out[:, 0], out[:, 1], out[:, 2] = x, y, z
    return out


def _plumb_points(index: int, t: Array, state: State, layout: Layout) -> tuple[Array, Array, Derivatives]:
    x, slope = state.plumb[index]
    zero, one, at = np.zeros_like(t), np.ones_like(t), layout.plumb[index].start
    return (
        np.stack([x + slope * t, t, zero], axis=1),
        np.tile([slope, 1.0, 0.0], (len(t), 1)),
        [(at, _along_x(one)), (at + 1, _along_x(t))],
    )
