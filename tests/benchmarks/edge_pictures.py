"""Small pictures of one kind of edge each, with exact truth: an upright or level strip of an opening, or a card on a wall.

Written for the table of edge kinds; nothing of ours is used. Truth, by kind (the photo sees the arris of the wall face):
    opening    the arris, where the flat of the wall face ends. A bead is flush with the face, so its outer corner is the arris
               and the bead lies on the wall's side; a joint at the arris belongs to the side wall and lies on the opening's side;
               of a rounded arris it is the line where the rounding begins, on the wall's side
    card       the border of its face (the flank is seen outside of it, or hidden), in the plane in front of the wall
    print      the outer border of the black frame
Light on and beside a card: an even part, of which an upright border of height T takes (1 - x / sqrt(x^2 + T^2)) / 2 at a distance
x (the form factor of a long strip on a plane, textbook), and a lamp's part with a half-shadow.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from tests.benchmarks.phone import Phone, as_stored, developed, on_sensor

Array = NDArray[np.float64]
Rng = np.random.Generator
FINE = 4
"""sub-pixels along each side of a pixel; borders are drawn by coverage, so truth does not depend on it"""
ROWS, COLUMNS, FIRST_X, SECOND_X = 360, 230, 65.0, 165.0
FOCAL_PX, DISTANCE_MM = 3030.0, (2200.0, 2900.0)
"""a 12 megapixel phone of 26 mm; where people stand"""
PX_PER_MM = 1.2
MARGIN_PX = 40.0
"""px; wall that is seen round a card"""


def cover(distance: Array) -> Array:
    """Share of a fine pixel on the positive side of a border at this distance (px of the photo)."""
    return np.asarray(np.clip(distance * FINE + 0.5, 0, 1))


def between(distance: Array, low: float, high: float) -> Array:
    """Share of a fine pixel in the band from `low` to `high`."""
    return cover(distance - low) * cover(high - distance)


def grid(rows: int, columns: int) -> tuple[Array, Array]:
    """Photo coordinates of the fine pixels, as a row and a column."""
    x = (np.arange(columns * FINE) + 0.5) / FINE - 0.5
    y = (np.arange(rows * FINE) + 0.5) / FINE - 0.5
    return x[None, :], y[:, None]


def grain_of_surface(shape: tuple[int, int], amount: float, rng: Rng) -> NDArray[np.float32]:
    """A surface's own unevenness: blotches of some pixels, relative sd `amount`."""
    small = rng.standard_normal((shape[0] // 8 + 2, shape[1] // 8 + 2)).astype(np.float32)
    field = np.asarray(cv2.resize(small, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC))
    return np.asarray(1 + amount * field, dtype=np.float32)


@dataclass(frozen=True)
class Arris:
    """What meets at the opening's edge, linear RGB: `face` of the wall, `inside`; bands between two distances (px, + inside).

    `round_px`: radius of a rounded arris of the inside's material, `turned` how bright that is where it still faces the room;
    `shade`: depth and reach (px) of a darkening of the inside toward the arris; `joint_px`: pitch of the inside's level joints.
    """

    face: Array
    inside: Array
    bands: tuple[tuple[float, float, Array], ...] = ()
    round_px: float = 0.0
    turned: Array | None = None
    shade: tuple[float, float] = (0.0, 1.0)
    joint_px: float = 0.0
    joint: Array | None = None


@dataclass(frozen=True)
class Strip:
    """A picture (h, w, 3) with the edge that is meant, and a plain one opposite, as points at their ends, (2, 2) px each."""

    pixels: NDArray[np.uint8]
    edge: Array
    opposite: Array
    level: bool


def opening_strip(arris: Arris, phone: Phone, rng: Rng) -> Strip:
    """Wall, opening, wall: the kind of edge on one side and a plain one on the other, nearly upright or nearly level."""
    x, y = grid(ROWS, COLUMNS)
    slopes, at = rng.normal(0, 0.01, 2), np.array([FIRST_X, SECOND_X]) + rng.uniform(-3, 3, 2)
    middle = (ROWS - 1) / 2
    d, e = ((x - a - s * (y - middle)) / math.hypot(1, s) for a, s in zip(at, slopes, strict=True))
    e = -e
    shaded = 1 - arris.shade[0] * np.exp(-np.maximum(d, 0) / arris.shade[1])
    inside = arris.inside * shaded[..., None]
    if arris.joint_px and arris.joint is not None:
        along = (y - rng.uniform(0, arris.joint_px)) % arris.joint_px
        inside = _mixed(inside, arris.joint, np.broadcast_to(between(along, 0.0, 2.5), d.shape))
    if arris.round_px and arris.turned is not None:
        share = np.clip(d / arris.round_px, 0, 1)
        facing = np.sqrt(1 - share**2)[..., None]
        turning = np.clip(facing * arris.turned + share[..., None] * arris.inside, 0, 1)
        inside = np.where((d < arris.round_px)[..., None], turning, inside)
    picture = _mixed(np.broadcast_to(arris.face, (*d.shape, 3)), inside, cover(d) * cover(e))
    for low, high, colour in arris.bands:
        picture = _mixed(picture, colour, between(d, low, high))
    uneven = grain_of_surface(d.shape, rng.uniform(0.003, 0.012), rng)
    pixels = _stored(picture.astype(np.float32) * uneven[..., None], phone, rng)
    y_ends = np.array([12.0, ROWS - 13.0])
    edge, opposite = (np.stack([a + s * (y_ends - middle), y_ends], axis=1) for a, s in zip(at, slopes, strict=True))
    if rng.random() < 0.5:
        return Strip(pixels, edge, opposite, False)
    return Strip(np.ascontiguousarray(pixels.transpose(1, 0, 2)), edge[:, ::-1], opposite[:, ::-1], True)


def _mixed(under: Array, colour: Array, share: Array) -> Array:
    return np.asarray(under + share[..., None] * (colour - under))


def _stored(fine: NDArray[np.float32], phone: Phone, rng: Rng) -> NDArray[np.uint8]:
    return as_stored(developed(on_sensor(fine, FINE, phone.blur_px), phone, rng), phone.quality)


@dataclass(frozen=True)
class Light:
    """Share of light that comes from everywhere, where the lamp stands (tangents of its angles, right and up), its half width."""

    even: float
    lamp: tuple[float, float]
    wide: float


@dataclass(frozen=True)
class OnWall:
    """A flat thing on a wall: sides, thickness, air behind it and corner radius (mm), colours, linear RGB.

    A print has a `ring` of this thickness round its frame, whose sides `sides_mm` are, and a rim of paper outside of that.
    """

    sides_mm: tuple[float, float]
    thick_mm: float
    face: Array
    flank: Array
    wall: Array
    gap_mm: float = 0.0
    radius_mm: float = 0.0
    tile_mm: float = 0.0
    joint: Array | None = None
    ring_mm: float = 0.0
    rim_mm: float = 0.0
    ring: Array = field(default_factory=lambda: np.full(3, 0.03))


@dataclass(frozen=True)
class Sight:
    """A camera before the wall: R (3, 3) world to camera (x right, y up, z to the room), t mm, f, where the axis is."""

    R: Array
    t: Array
    f: float
    axis: tuple[float, float]

    def project(self, points: Array) -> Array:
        """World points (n, 3) mm as pixels (n, 2)."""
        c = points @ self.R.T + self.t
        return np.asarray(self.f * c[:, :2] / c[:, 2:] + self.axis)

    def on_plane(self, z: float, x: Array, y: Array) -> tuple[Array, Array]:
        """Where on the plane at this height above the wall pixels (a row x, a column y) look: world x and y (mm)."""
        u, v = (x - self.axis[0]) / self.f, (y - self.axis[1]) / self.f
        d = [self.R[0, k] * u + self.R[1, k] * v + self.R[2, k] for k in range(3)]
        centre = -self.R.T @ self.t
        s = (z - centre[2]) / d[2]
        return centre[0] + s * d[0], centre[1] + s * d[1]


@dataclass(frozen=True)
class CardPicture:
    """A picture (h, w, 3) of a card, its true face corners (4, 2) px from bottom-left on, and the camera that saw it."""

    pixels: NDArray[np.uint8]
    corners: Array
    sight: Sight


def card_picture(thing: OnWall, light: Light, phone: Phone, rng: Rng) -> CardPicture:
    """One card somewhere round an opening, its face `thick_mm + gap_mm` in front of the wall (which is z = 0)."""
    distance = float(rng.uniform(*DISTANCE_MM))
    centre = np.array([rng.choice([-1, 1]) * rng.uniform(650, 950), rng.uniform(-950, 950)])
    turn = float(np.radians(rng.normal(0, 1.5)))
    tilt = np.radians(rng.normal(0, [3.0, 4.0, 1.0]))
    R = np.asarray(cv2.Rodrigues(tilt)[0]) @ np.diag([1.0, -1.0, -1.0])
    top = thing.thick_mm + thing.gap_mm
    half = np.array(thing.sides_mm) / 2
    c, s = math.cos(turn), math.sin(turn)
    local = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * half @ np.array([[c, s], [-s, c]]) + centre
    whole = Sight(R, -R @ np.array([0.0, 0.0, distance]), FOCAL_PX, (0.0, 0.0))
    at = whole.project(np.column_stack([local, np.full(4, top)]))
    shift = MARGIN_PX - at.min(axis=0) + rng.uniform(0, 1, 2)
    sight = Sight(R, whole.t, FOCAL_PX, (float(shift[0]), float(shift[1])))
    corners = at + shift
    columns, rows = (int(2 * math.ceil(v / 2)) for v in corners.max(axis=0) + MARGIN_PX)
    x, y = grid(rows, columns)

    def flat(z: float) -> tuple[Array, Array]:
        X, Y = sight.on_plane(z, x, y)
        return c * (X - centre[0]) + s * (Y - centre[1]), -s * (X - centre[0]) + c * (Y - centre[1])

    unit = float(np.linalg.norm(corners[1] - corners[0])) / thing.sides_mm[0]
    lamp = np.array([[c, s], [-s, c]]) @ light.lamp
    picture = _wall(thing, light, lamp, flat(0.0), rng)
    picture = _mixed(picture, _flank(thing, light, lamp, flat(thing.gap_mm)), cover(-_outside(thing, *flat(thing.gap_mm)) * unit))
    u, v = flat(top)
    picture = _mixed(picture, thing.face, cover(-_outside(thing, u, v) * unit))
    if thing.ring_mm:
        from_frame = -_outside(thing, u, v) - thing.rim_mm
        picture = _mixed(picture, thing.ring, between(from_frame * unit, 0.0, thing.ring_mm * unit))
    uneven = grain_of_surface(picture.shape[:2], rng.uniform(0.003, 0.012), rng)
    return CardPicture(_stored(picture.astype(np.float32) * uneven[..., None], phone, rng), corners, sight)


def _outside(thing: OnWall, u: Array, v: Array) -> Array:
    """Distance (mm) outside the thing's rounded rectangle, negative inside, at its own coordinates."""
    p, q = (np.abs(w) - side / 2 - thing.rim_mm + thing.radius_mm for w, side in zip((u, v), thing.sides_mm, strict=True))
    return np.asarray(np.hypot(np.maximum(p, 0), np.maximum(q, 0)) + np.minimum(np.maximum(p, q), 0) - thing.radius_mm)


def _side_toward(thing: OnWall, u: Array, v: Array, lamp: Array) -> Array:
    """How far the nearest side faces the lamp: tangent of the lamp's angle along its outward normal."""
    across = np.abs(u) - thing.sides_mm[0] / 2 > np.abs(v) - thing.sides_mm[1] / 2
    return np.where(across, np.sign(u) * lamp[0], np.sign(v) * lamp[1])


def _wall(thing: OnWall, light: Light, lamp: Array, at: tuple[Array, Array], rng: Rng) -> Array:
    """The wall with its joints and the thing's shadow, linear RGB."""
    u, v = at
    wall = np.broadcast_to(thing.wall, (*u.shape, 3))
    if thing.tile_mm and thing.joint is not None:
        for w in (u, v):
            wall = _mixed(wall, thing.joint, between((w - rng.uniform(0, thing.tile_mm)) % thing.tile_mm * PX_PER_MM, 0.0, 2.5))
    shade = wall_light(
        _outside(thing, u, v), _side_toward(thing, u, v, lamp), thing.thick_mm + thing.gap_mm, float(np.mean(thing.flank)), light
    )
    return np.asarray(wall * shade[..., None])


def wall_light(outside: Array, toward: Array, height: float, flank: float, light: Light) -> Array:
    """Share of its light that a wall gets at distances `outside` (mm) from a border of this height (mm) and lightness.

    `toward`: tangent of the lamp's angle along the border's outward normal; where it is negative the border stands in its way.
    """
    x = np.maximum(outside, 0) / max(height, 1e-3)
    hidden = 0.5 * (1 - x / np.sqrt(1 + x * x)) * (1 - 0.5 * flank)
    reach = np.maximum(-toward, 0)
    lamp_seen = np.where(reach > 0, ndtr((x - reach) / light.wide), 1.0)
    return np.asarray(light.even * (1 - hidden) + (1 - light.even) * lamp_seen)


def _flank(thing: OnWall, light: Light, lamp: Array, at: tuple[Array, Array]) -> Array:
    return flank_light(thing.flank, _side_toward(thing, *at, lamp), float(np.mean(thing.wall)), light)


def flank_light(flank: Array, toward: Array, wall: float, light: Light) -> Array:
    """Linear RGB of an upright border: half the even light and what the wall sends back, and the lamp's where it faces it."""
    lit = light.even * 0.5 * (1 + wall) + (1 - light.even) * np.maximum(toward, 0)
    return np.asarray(np.clip(flank * lit[..., None], 0, 1))
