"""Scenes at the level of edge observations: the true opening, camera and cards, and their layouts.

Written here again and projected with cv2.projectPoints; of ours it uses the settings and the records that carry observations.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Protocol

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.cards import CardSpec
from vision.geometry.seen import Demands, SeenPhoto
from vision.settings import CardKind, Settings

Array = NDArray[np.float64]
SETTINGS = Settings()
WIDTH_PX, HEIGHT_PX = 3024, 4032


class Draws(Protocol):
    """What the scenes ask of a random generator."""

    def normal(self, loc: float = 0.0, scale: Any = 1.0, size: Any = None) -> Any: ...
    def standard_normal(self, size: Any = None) -> Any: ...
    def uniform(self, low: float = 0.0, high: float = 1.0, size: Any = None) -> Any: ...


class Nothing:
    """Draws the middle every time: a scene without noise, bias or any departure from what is known beforehand."""

    def normal(self, loc: float = 0.0, scale: Any = 1.0, size: Any = None) -> Any:
        return loc + np.zeros(np.shape(scale) if size is None else size)

    def standard_normal(self, size: Any = None) -> Any:
        return np.zeros(() if size is None else size)

    def uniform(self, low: float = 0.0, high: float = 1.0, size: Any = None) -> Any:
        return (low + high) / 2 + np.zeros(() if size is None else size)


@dataclass(frozen=True)
class Place:
    """Where a card is put, before jitter: at the left (-1) or right (1) wall, at this share of the height."""

    kind: str
    side: int
    height_share: float
    measured: bool = False


LAYOUTS: dict[str, tuple[Place, ...]] = {
    "1 id-1 beside": (Place("id-1", -1, 0.5),),
    "1 letter measured beside": (Place("letter", -1, 0.5, True),),
    "2 id-1 opposite corners": (Place("id-1", -1, 0.95), Place("id-1", 1, 0.05)),
    "2 letters measured opposite": (Place("letter", -1, 0.92, True), Place("letter", 1, 0.08, True)),
    "4 id-1": tuple(Place("id-1", side, share) for side in (-1, 1) for share in (0.05, 0.95)),
    "2 id-1 one side": (Place("id-1", -1, 0.08), Place("id-1", -1, 0.92)),
    "our sheet measured beside": (Place("sheet", -1, 0.5, True),),
    "our quarters measured": tuple(Place("quarter", side, share, True) for side in (-1, 1) for share in (0.05, 0.95)),
}
"""The order counts: a layout's place is part of the seed of its scenes."""


@dataclass(frozen=True)
class TrueOpening:
    """The opening in the frame of its curb (x along it, y up, mm); slopes in mm/mm, bows as x excess at half height."""

    width: float
    left_slope: float
    left_bow: float
    right_slope: float
    right_bow: float
    height: float
    head_slope: float
    gravity: float
    step: float = 0.0
    """mm; how much nearer to the camera the left wall's face stands than the right one's"""

    def wall(self, side: str, y: Array) -> Array:
        """Points (n, 3) of a wall at these heights."""
        foot, slope, bow = (
            (0.0, self.left_slope, self.left_bow) if side == "left" else (self.width, self.right_slope, self.right_bow)
        )
        tau = y / self.height
        out = flat(foot + slope * y + 4 * bow * tau * (1 - tau), y)
        out[:, 2] = self.step / 2 if side == "left" else -self.step / 2
        return out

    def top(self, side: str) -> Array:
        """Where a wall meets the head, (3,)."""
        y = self.height
        for _ in range(8):
            y = self.height + self.head_slope * float(self.wall(side, np.array([y]))[0, 0])
        return np.asarray([*self.wall(side, np.array([y]))[0, :2], 0.0])

    def line(self, name: str, share: Array) -> Array:
        """Points (n, 3) at shares 0 to 1 of an edge of the outline."""
        if name in ("left", "right"):
            return self.wall(name, share * self.top(name)[1])
        if name == "curb":
            return flat(share * self.width, 0 * share)
        a, b = self.top("left"), self.top("right")
        return np.asarray(a + share[:, None] * (b - a))

    def quantities(self, at_mm: dict[str, float]) -> dict[str, float]:
        """Everything that the adjustment may state, by the definitions of the contract."""
        tl, tr, bl, br = self.top("left"), self.top("right"), np.zeros(3), np.array([self.width, 0, 0])
        out = {n: float((self.wall("right", np.array([y])) - self.wall("left", np.array([y])))[0, 0]) for n, y in at_mm.items()}
        pairs = {"height_left": (bl, tl), "height_right": (br, tr), "diagonal_rising": (bl, tr), "diagonal_falling": (br, tl)}
        out |= {n: math.dist(p, q) for n, (p, q) in pairs.items()}
        out["width_over_height"] = 2 * out["width_middle"] / (out["height_left"] + out["height_right"])
        out["top_over_bottom_width"] = out["width_top"] / out["width_bottom"]
        out["left_over_right_height"] = out["height_left"] / out["height_right"]
        out |= {"bow_left": self.left_bow, "bow_right": -self.right_bow, "curb_level": 1000 * self.gravity}
        out["lean_left"] = 1000 * (self.left_slope - self.gravity)
        out["lean_right"] = -1000 * (self.right_slope - self.gravity)
        out["taper"] = 1000 * (self.right_slope - self.left_slope)
        out["rack"] = 500 * (self.right_slope + self.left_slope)
        out["curb_against_head"] = 1000 * self.head_slope
        y = np.linspace(0, self.height, 2001)
        free = [self.wall(s, y)[:, 0] - self.gravity * y for s in ("left", "right")]
        out["plumb_rectangle"] = float(free[1].min() - free[0].max()) / math.hypot(1, self.gravity)
        return out


def flat(x: Array, y: Array) -> Array:
    """Points (n, 3) in the opening plane."""
    return np.stack([x, y, np.zeros_like(x)], axis=1)


@dataclass(frozen=True)
class TrueCamera:
    """OpenCV's camera: rotation vector, translation (mm), K, and the two radial terms."""

    rvec: Array
    tvec: Array
    K: Array
    distortion: Array

    def project(self, X: Array) -> Array:
        """World points (n, 3) mm to pixels (n, 2), by OpenCV."""
        return np.asarray(cv2.projectPoints(np.ascontiguousarray(X), self.rvec, self.tvec, self.K, self.distortion)[0][:, 0, :])


@dataclass(frozen=True)
class TrueCard:
    """One card: centre (mm), angle (rad), true sides along its bottom and left edge, depth behind the plane, what is stated.

    A card may lie: its top or its right stands off the wall by an angle (rad), or its middle bulges off it (mm).
    """

    kind: CardKind
    centre: tuple[float, float]
    angle: float
    sides_mm: tuple[float, float]
    depth_mm: float
    spec: CardSpec
    top_off: float = 0.0
    right_off: float = 0.0
    bulge_mm: float = 0.0

    def corners(self) -> Array:
        """Bottom-left, bottom-right, top-right, top-left, (4, 3)."""
        return self.points(np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) / 1.0)

    def points(self, at: Array) -> Array:
        """Points (n, 3) of the face, at (n, 2) from -1 to 1 along the bottom and the left edge."""
        a, b = self.sides_mm
        u, v = at.T * np.array([[a], [b]]) / 2
        off = self.bulge_mm * (1 - at[:, 0] ** 2) + (u + a / 2) * math.sin(self.right_off) + (v + b / 2) * math.sin(self.top_off)
        shorter = 1 - 8 / 3 * (self.bulge_mm / a) ** 2  # chord of a flat arc, to second order
        xy = np.stack([u * shorter * math.cos(self.right_off), v * math.cos(self.top_off)], axis=1)
        c, s = math.cos(self.angle), math.sin(self.angle)
        return np.column_stack([xy @ np.array([[c, s], [-s, c]]) + self.centre, off - self.depth_mm])


@dataclass(frozen=True)
class Scene:
    """The truth, what is seen of it, and what is stated beside it."""

    opening: TrueOpening
    camera: TrueCamera
    cards: tuple[TrueCard, ...]
    photo: SeenPhoto
    demands: Demands

    @property
    def at_mm(self) -> dict[str, float]:
        """Heights of the widths: the usual places, at the true height."""
        margin, height = SETTINGS.top_margin_mm, self.opening.height
        return {"width_top": height - margin, "width_middle": height / 2, "width_bottom": margin}
