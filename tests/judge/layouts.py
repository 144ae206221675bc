"""Covariances of the seven sizes as a photo would give them, from a small linear model of the joint adjustment.

Not the program's own adjustment: one pinhole camera with one lens term looks at straight edges of cards and opening; each
imaged edge carries a shift of either end and a sag; what is known beforehand enters as an observation. Derivatives are
differences. Each group of such observations is one source: F = S N^-1 J_k' P_k^(1/2).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from vision.gaussian import Array, Gaussian
from vision.settings import CARD_KINDS, Settings
from vision.tape.instrument import control_scale_sd
from vision.tape.readings import READING_NAMES

WIDTH, HEIGHT, DISTANCE, FOCAL_PX = 1420.0, 1990.0, 2400.0, 3028.7
NOISE_PX, POINTS = 0.025, 9
MARGIN = 25.0
SETTINGS = Settings()

Card = tuple[str, float, float]
"""kind, x and y of its centre from the centre of the opening, mm"""

X, Y = WIDTH / 2, HEIGHT / 2
LAYOUTS: dict[str, tuple[tuple[Card, ...], bool]] = {
    "1 bank card beside": ((("id-1", -X - 70, 0.0),), False),
    "1 A4 nominal beside": ((("a4", -X - 140, 0.0),), False),
    "1 A4 measured beside": ((("a4", -X - 140, 0.0),), True),
    "2 bank cards, corners": ((("id-1", -X - 70, Y - 100), ("id-1", X + 70, -Y + 100)), False),
    "4 bank cards": (tuple(("id-1", sx * (X + 70), sy * (Y - 100)) for sx in (-1, 1) for sy in (-1, 1)), False),
    "4 A4 measured": (tuple(("a4", sx * (X + 140), sy * (Y - 200)) for sx in (-1, 1) for sy in (-1, 1)), True),
}
"""name -> cards, and whether their lengths were measured with the tape that took the readings"""


@dataclass
class _Unknowns:
    names: list[str] = field(default_factory=list)
    sds: list[float] = field(default_factory=list)
    sources: list[str] = field(default_factory=list)

    def add(self, name: str, sd: float = math.inf, source: str = "") -> None:
        self.names.append(name)
        self.sds.append(sd)
        self.sources.append(source)


def photo_sizes(layout: str) -> Gaussian:
    """The seven sizes (mm) as a photo with this layout of cards gives them, mean at their true values."""
    cards, measured = LAYOUTS[layout]
    unknowns = _unknowns(cards, measured)
    x0 = np.zeros(len(unknowns.names))
    seen = _observations(cards, measured, unknowns)
    J = _differences(seen, x0)
    S = _differences(lambda x: _sizes(x, unknowns), x0)
    precision = 1.0 / np.array(unknowns.sds) ** 2
    N = J.T @ J / NOISE_PX**2 + np.diag(precision)
    scale = 1.0 / np.sqrt(np.diag(N))
    SN = (S * scale) @ np.linalg.inv(N * scale[:, None] * scale) * scale
    sources: dict[str, Array] = {"edge points": _compact(SN @ J.T / NOISE_PX)}
    for source in dict.fromkeys(filter(None, unknowns.sources)):
        columns = [i for i, name in enumerate(unknowns.sources) if name == source]
        sources[source] = _compact(SN[:, columns] * np.sqrt(precision[columns]))
    return Gaussian(READING_NAMES, _sizes(x0, unknowns), sources)


def _compact(factor: Array) -> Array:
    """A factor matrix of the same covariance with no more columns than rows."""
    if factor.shape[1] <= factor.shape[0]:
        return factor
    _, upper = np.linalg.qr(factor.T)
    return np.asarray(upper.T)


def _unknowns(cards: tuple[Card, ...], measured: bool) -> _Unknowns:
    unknowns = _Unknowns()
    for name in ("wx", "wy", "wz", "tx", "ty", "tz"):
        unknowns.add(name)
    unknowns.add("focal", SETTINGS.camera.focal_sd_with_metadata, "focal length")
    for name in ("cx", "cy"):
        unknowns.add(name, SETTINGS.camera.principal_point_sd_px, "principal point")
    unknowns.add("k1", SETTINGS.camera.k1_sd, "lens")
    unknowns.add("offset", SETTINGS.cards.offset_common_sd_mm, "card offset")
    if measured:
        unknowns.add("tape", 1.0, "tape")
    for kind in {kind for kind, _, _ in cards} if not measured else ():
        unknowns.add(f"{kind}w", CARD_KINDS[kind].width_sd_mm, "card size")
        unknowns.add(f"{kind}h", CARD_KINDS[kind].height_sd_mm, "card size")
    for i in range(len(cards)):
        unknowns.add(f"offset{i}", SETTINGS.cards.offset_own_sd_mm, "card offset")
        if measured:
            unknowns.add(f"w{i}", SETTINGS.cards.measured_sd_mm, "card size")
            unknowns.add(f"h{i}", SETTINGS.cards.measured_sd_mm, "card size")
        if i > 0:
            for name in ("x", "y", "t"):
                unknowns.add(f"{name}{i}")
    for name in ("left", "right", "curb", "head"):
        unknowns.add(f"{name}_at")
        unknowns.add(f"{name}_slope")
    for name in ("left", "right"):
        unknowns.add(f"{name}_bow", SETTINGS.edges.bow_sd_mm, "bow")
    for edge in range(4 * len(cards) + 4):
        for part in "abc":
            unknowns.add(f"edge{edge}{part}", SETTINGS.edges.bias_sd_px, "edges")
    return unknowns


def _observations(cards: tuple[Card, ...], measured: bool, unknowns: _Unknowns) -> Callable[[Array], Array]:
    """Offsets (px) of all edge points across their edges, as a function of the unknowns."""
    index = {name: i for i, name in enumerate(unknowns.names)}
    along = (np.arange(POINTS) + 0.5) / POINTS
    shapes = np.stack([1 - along, along, 4 * along * (1 - along)])
    biases = np.array([[index[f"edge{e}{p}"] for p in "abc"] for e in range(4 * len(cards) + 4)])

    def image(x: Array) -> Array:
        points = [_card_edges(i, card, x, index, along, measured) for i, card in enumerate(cards)]
        return _project(np.concatenate([*points, _opening_edges(x, index, along)]), x, index)

    at_rest = image(np.zeros(len(unknowns.names)))
    direction = np.gradient(at_rest, axis=1)
    direction /= np.linalg.norm(direction, axis=2, keepdims=True)
    normal = np.stack([-direction[..., 1], direction[..., 0]], axis=-1)
    return lambda x: np.asarray(((image(x) * normal).sum(axis=2) + x[biases] @ shapes).ravel())


def _card_edges(i: int, card: Card, x: Array, index: dict[str, int], along: Array, measured: bool) -> Array:
    """Points on the four edges of a card, shape (4, POINTS, 3)."""
    kind = CARD_KINDS[card[0]]
    share = 1.0 + (x[index["tape"]] * control_scale_sd("us") if measured else 0.0)
    suffix = str(i) if measured else ""
    w = kind.width_mm * share + x[index[f"w{i}" if measured else f"{card[0]}w"]]
    h = kind.height_mm * share + x[index[f"h{suffix}" if measured else f"{card[0]}h"]]
    sx, sy = (2 * along - 1) * (w / 2 - kind.corner_radius_mm), (2 * along - 1) * (h / 2 - kind.corner_radius_mm)
    one = np.ones_like(along)
    flat = np.array([[-w / 2 * one, sy], [w / 2 * one, sy], [sx, -h / 2 * one], [sx, h / 2 * one]]).transpose(0, 2, 1)
    centre = np.array(card[1:])
    if i > 0:
        turn = x[index[f"t{i}"]]
        flat = flat @ np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
        centre = centre + x[[index[f"x{i}"], index[f"y{i}"]]]
    depth = np.full((4, len(along), 1), -(x[index["offset"]] + x[index[f"offset{i}"]]))
    return np.concatenate([flat + centre, depth], axis=2)


def _opening_edges(x: Array, index: dict[str, int], along: Array) -> Array:
    """Points on left, right, curb and head, shape (4, POINTS, 3)."""
    sy, sx = (2 * along - 1) * (Y - 15), (2 * along - 1) * (X - 15)
    rows = [np.stack([_wall(x, index, side, sy), sy], 1) for side in ("left", "right")] + [
        np.stack([sx, _level(x, index, side, sx)], 1) for side in ("curb", "head")
    ]
    return np.concatenate([np.stack(rows), np.zeros((4, len(along), 1))], axis=2)


def _wall(x: Array, index: dict[str, int], side: str, y: Array) -> Array:
    sign = -1.0 if side == "left" else 1.0
    bow = -sign * x[index[f"{side}_bow"]] * (1 - (y / Y) ** 2)
    return np.asarray(sign * X + x[index[f"{side}_at"]] + x[index[f"{side}_slope"]] * y + bow)


def _level(x: Array, index: dict[str, int], side: str, at_x: Array) -> Array:
    sign = -1.0 if side == "curb" else 1.0
    return np.asarray(sign * Y + x[index[f"{side}_at"]] + x[index[f"{side}_slope"]] * at_x)


def _project(points: Array, x: Array, index: dict[str, int]) -> Array:
    """Pixels, shape (edges, POINTS, 2), of a camera that is tipped a little."""
    turn = _rotation(x[:3]) @ _rotation(np.radians([3.0, -4.0, 0.7]))
    seen = (points - x[3:6]) @ turn.T + [0.0, 0.0, -DISTANCE]
    flat = seen[..., :2] / -seen[..., 2:]
    flat = flat * (1 + x[index["k1"]] * (flat**2).sum(axis=-1, keepdims=True))
    return np.asarray(FOCAL_PX * (1 + x[index["focal"]]) * flat + [x[index["cx"]], x[index["cy"]]])


def _rotation(angles: Array) -> Array:
    cosine, sine = np.cos(angles), np.sin(angles)
    rx = np.array([[1, 0, 0], [0, cosine[0], -sine[0]], [0, sine[0], cosine[0]]])
    ry = np.array([[cosine[1], 0, sine[1]], [0, 1, 0], [-sine[1], 0, cosine[1]]])
    rz = np.array([[cosine[2], -sine[2], 0], [sine[2], cosine[2], 0], [0, 0, 1]])
    return np.asarray(rx @ ry @ rz)


def _sizes(x: Array, unknowns: _Unknowns) -> Array:
    """Widths along x at three heights, heights along the walls, diagonals between the corners (slopes are small)."""
    index = {name: i for i, name in enumerate(unknowns.names)}
    corners = {}
    for side in ("left", "right"):
        for end in ("curb", "head"):
            at_x = -X if side == "left" else X
            for _ in range(3):
                at_y = float(_level(x, index, end, np.array(at_x)))
                at_x = float(_wall(x, index, side, np.array(at_y)))
            corners[side, end] = np.array([at_x, at_y])
    tilt = float(x[index["curb_slope"]])
    widths = []
    for y in (Y - MARGIN, 0.0, -Y + MARGIN):
        left, right = (float(_wall(x, index, side, np.array(y + tilt * sign * X))) for side, sign in (("left", -1), ("right", 1)))
        shift = float(x[index["curb_at"]])
        slope = float(x[index["right_slope"]] - x[index["left_slope"]])
        widths.append((right - left + slope * shift) * math.hypot(1.0, tilt))
    heights = [float(np.linalg.norm(corners[side, "head"] - corners[side, "curb"])) for side in ("left", "right")]
    rising = float(np.linalg.norm(corners["right", "head"] - corners["left", "curb"]))
    falling = float(np.linalg.norm(corners["left", "head"] - corners["right", "curb"]))
    return np.array([*widths, *heights, rising, falling])


def _differences(function: Callable[[Array], Array], x0: Array) -> Array:
    """Derivatives by central differences; steps of 1e-4 suit millimetres, pixels and small angles alike here."""
    columns = []
    for i in range(len(x0)):
        step = np.zeros(len(x0))
        step[i] = 1e-4
        columns.append((function(x0 + step) - function(x0 - step)) / 2e-4)
    return np.column_stack(columns)
