"""Whole photos of an opening with references round it, painted by projection in flat light; no ray is traced.

Geometry is a scene of `edge_draws.py` (opening, camera with its lens, cards, all drawn from the priors); each pixel is followed
back through the lens to the planes of the scene, so truth is exact. Borders are blurred by the lens as they are drawn: the share
that a surface has of a pixel is Phi(distance / s). Round a card the picture is made several times too fine and averaged instead,
since light there changes within a pixel (`edge_pictures.py` says how). Nothing of ours paints here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from tests.benchmarks.edge_kind_list import light, phone, surface
from tests.benchmarks.edge_pictures import Light, flank_light, grain_of_surface, wall_light
from tests.benchmarks.edge_truth import Scene, TrueCard
from tests.benchmarks.phone import Phone, as_file, developed

Array = NDArray[np.float64]
Rng = np.random.Generator
DEEP_MM, FLOOR_MM, JOINT_MM, STRING_MM = 900.0, -120.0, 2.5, 1.8
RIM_MM, MARGIN_PX, FINE, CHUNK = 8.0, 14.0, 3, 128
MODULES = 7
NUMBERS = {"quarter": (1, 2, 3, 4), "sheet": (0,)}
"""numbers of our prints' targets"""


@dataclass(frozen=True)
class Look:
    """How a room looks: linear RGB of its surfaces, what the arrises are finished with, tiles, light."""

    face: Array
    side: Array
    back: Array
    level: Array
    curb: Array
    tile_mm: float
    joint: Array
    finish: str
    band_mm: tuple[float, float]
    band: Array
    string: Array
    cards: tuple[Array, Array]
    light: Light
    phone: Phone
    eased_mm: tuple[float, float] = (0.0, 0.0)
    """how far inside the opening's own line the border is seen, of walls and head, and of the curb: arrises are eased and rounded
    by what no light shows (drawn as it is stated, `EdgeSettings.eased_px`)"""


def drawn_look(rng: Rng, kinds: set[str]) -> Look:
    """A room at random: most arrises plain, some with a bead or with a dark joint behind them."""
    dark = rng.random() < 0.4
    face, inner = surface(rng, 0.3, 0.62), surface(rng, 0.06, 0.22, 0.15)
    if dark:
        face, inner = surface(rng, 0.12, 0.22), surface(rng, 0.45, 0.7)
    finish = str(rng.choice(["plain", "plain", "plain", "plain", "bead", "joint"]))
    band = {"bead": surface(rng, 0.3, 0.8, 0.03), "joint": surface(rng, 0.02, 0.06), "plain": face}[finish]
    width = {"bead": (-float(rng.uniform(2, 4)), 0.0), "joint": (0.0, float(rng.uniform(0.4, 1.6))), "plain": (0.0, 0.0)}[finish]
    white = rng.random() < 0.6 or "id-1" not in kinds
    card = surface(rng, 0.7, 0.85, 0.02) if white else surface(rng, 0.02, 0.1)
    return Look(
        face=face,
        side=inner,
        back=inner * rng.uniform(0.8, 1.2),
        level=inner * rng.uniform(0.6, 0.95),
        curb=surface(rng, 0.3, 0.6) if face.mean() < 0.25 else surface(rng, 0.25, 0.75),
        tile_mm=float(rng.uniform(80, 300)) if rng.random() < 0.3 else 0.0,
        joint=np.full(3, 0.25),
        finish=finish,
        band_mm=width,
        band=band,
        string=np.full(3, 0.03 if inner.mean() > 0.3 else 0.8),
        cards=(card, card if rng.random() < 0.7 or white else surface(rng, 0.6, 0.8)),
        light=light(rng),
        phone=phone(rng),
    )


class Rays:
    """Pixels of a scene's camera followed back into the room. `factor`: the photo's width over the scene camera's."""

    def __init__(self, scene: Scene, factor: float) -> None:
        self.scene, self.factor = scene, factor
        self.R = np.asarray(cv2.Rodrigues(scene.camera.rvec)[0])
        self.centre = -self.R.T @ np.asarray(scene.camera.tvec).ravel()

    def to_photo(self, points: Array) -> Array:
        """Room points (n, 3) mm as pixels of the photo."""
        return np.asarray((self.scene.camera.project(points) + 0.5) * self.factor - 0.5)

    def rays(self, x: Array, y: Array) -> Array:
        """Directions (h, w, 3) in the room of a row of x and a column of y, photo pixels; the lens undone by iteration."""
        K, (k1, k2) = self.scene.camera.K, self.scene.camera.distortion[:2]
        u = ((x + 0.5) / self.factor - 0.5 - K[0, 2]) / K[0, 0]
        v = ((y + 0.5) / self.factor - 0.5 - K[1, 2]) / K[1, 1]
        u, v = np.broadcast_arrays(u, v)
        p, q = u, v
        for _ in range(6):
            r2 = p * p + q * q
            g = 1 + r2 * (k1 + k2 * r2)
            p, q = u / g, v / g
        return np.stack([p, q, np.ones_like(p)], axis=-1) @ self.R

    def on_plane(self, rays: Array, z: float) -> tuple[Array, Array, Array]:
        """Room x and y (mm) of rays at this depth, and the photo's pixels for a millimetre there."""
        s = (z - self.centre[2]) / rays[..., 2]
        scale = self.factor * self.scene.camera.K[0, 0] / np.abs(s)
        return self.centre[0] + s * rays[..., 0], self.centre[1] + s * rays[..., 1], scale


def room_light(at: Rays, look: Look, rays: Array, s: float) -> Array:
    """Linear RGB (h, w, 3) of the room without its cards, borders blurred with sd `s` (px)."""
    o = at.scene.opening
    tops = [o.top("left"), o.top("right")]
    slope = (tops[1][1] - tops[0][1]) / (tops[1][0] - tops[0][0])
    xl, yl, px = at.on_plane(rays, o.step / 2)
    xr, yr, _ = at.on_plane(rays, -o.step / 2)
    x0, y0, _ = at.on_plane(rays, 0.0)
    arris, below = look.eased_mm
    left = (xl - _wall(at, "left", yl) - arris) * px
    right = (_wall(at, "right", yr) - arris - xr) * px
    foot, head = (y0 - below) * px, (tops[0][1] + slope * (x0 - tops[0][0]) - arris - y0) * px
    wide, high = ndtr(left / s) * ndtr(right / s), ndtr(head / s)
    inside, above = _inside(at, look, rays, s), _tiled(look.face, look, x0, y0, px, s)
    opening, curb = wide * ndtr(foot / s) * high, wide * ndtr(-foot / s) * ndtr((y0 - FLOOR_MM) * px / s)
    picture = above * (1 - opening - curb)[..., None] + inside * opening[..., None] + look.curb * curb[..., None]
    if look.finish != "plain":
        low, up = look.band_mm
        rows = ndtr(foot / s) * high
        for d in (left, right):  # what lies there gives way to the band: on the wall's side the face, on the other the inside
            under = above if low < 0 else inside
            share = (ndtr((d - low * px) / s) - ndtr((d - up * px) / s)) * rows
            picture = picture + (look.band - under) * share[..., None]
    return np.asarray(picture)


def _wall(at: Rays, side: str, y: Array) -> Array:
    return np.asarray(at.scene.opening.wall(side, y.ravel())[:, 0].reshape(y.shape))


def _inside(at: Rays, look: Look, rays: Array, s: float) -> Array:
    """Back, side walls, soffit and floor of the alcove, by which of them a ray meets."""
    o = at.scene.opening
    x, y, px = at.on_plane(rays, -DEEP_MM)
    across = ndtr(x * px / s) * ndtr((o.width - x) * px / s)
    up = ndtr((y + 60.0) * px / s) * ndtr((o.height - y) * px / s)
    back = _tiled(look.back, look, x, y, px, s, always=True)
    flat = look.level * (1 - up)[..., None] + look.side * up[..., None]
    return np.asarray(flat * (1 - across * up)[..., None] + back * (across * up)[..., None])


def _tiled(colour: Array, look: Look, x: Array, y: Array, px: Array, s: float, *, always: bool = False) -> Array:
    pitch = look.tile_mm or (150.0 if always else 0.0)
    out = np.broadcast_to(colour, (*x.shape, 3))
    if pitch:
        joint = np.zeros(x.shape)
        for w in (x, y):
            d = (w + 0.31 * pitch) % pitch - pitch / 2
            joint = np.maximum(joint, ndtr((d + JOINT_MM / 2) * px / s) - ndtr((d - JOINT_MM / 2) * px / s))
        out = out + joint[..., None] * (look.joint - out)
    return np.asarray(out)


def painted(scene: Scene, look: Look, size: tuple[int, int], string_mm: tuple[float, float], rng: Rng) -> NDArray[np.uint8]:
    """The photo's pixels, `size` = (width, height); the plumb line at x = string_mm[0] + string_mm[1] y in the opening plane."""
    w, h = size
    at = Rays(scene, w / 3024)
    s = math.hypot(look.phone.blur_px, 1 / math.sqrt(12))
    out = np.empty((h, w, 3), np.float32)
    for top in range(0, h, CHUNK):
        y = np.arange(top, min(top + CHUNK, h), dtype=np.float64)
        rays = at.rays(np.arange(w, dtype=np.float64)[None, :], y[:, None])
        light = room_light(at, look, rays, s)
        X, Y, px = at.on_plane(rays, 0.0)
        d = X - string_mm[0] - string_mm[1] * Y
        share = (ndtr((d + STRING_MM / 2) * px / s) - ndtr((d - STRING_MM / 2) * px / s)) * _hanging(scene, Y)
        out[top : top + len(y)] = light + share[..., None] * (look.string - light)
    for number, card in enumerate(scene.cards):
        _put_card(out, at, look, card, number)
    out *= grain_of_surface((h, w), 0.006, rng)[..., None]
    return developed(out, look.phone, rng)


def _hanging(scene: Scene, y: Array) -> Array:
    return ((y > 0.06 * scene.opening.height) & (y < 0.95 * scene.opening.height)).astype(np.float64)


def _put_card(picture: NDArray[np.float32], at: Rays, look: Look, card: TrueCard, number: int) -> None:
    """The part of the picture round a card, made FINE times as fine, blurred and averaged."""
    rim = RIM_MM if card.kind.target else 0.0
    corners = at.to_photo(card.corners())
    centre = corners.mean(axis=0)
    reach = np.abs(corners - centre).max(axis=0) * (1 + 2 * rim / min(card.sides_mm)) + MARGIN_PX
    (x0, y0), (x1, y1) = np.floor(centre - reach).astype(int), np.ceil(centre + reach).astype(int)
    x0, y0, x1, y1 = max(x0, 0), max(y0, 0), min(x1, picture.shape[1]), min(y1, picture.shape[0])
    x = x0 + (np.arange((x1 - x0) * FINE) + 0.5) / FINE - 0.5
    y = y0 + (np.arange((y1 - y0) * FINE) + 0.5) / FINE - 0.5
    rays = at.rays(x[None, :], y[:, None])
    fine = _card_light(at, look, card, number, rays).astype(np.float32)
    soft = np.asarray(cv2.GaussianBlur(fine, (0, 0), look.phone.blur_px * FINE, borderType=cv2.BORDER_REPLICATE))
    small = soft.reshape(y1 - y0, FINE, x1 - x0, FINE, 3).mean(axis=(1, 3))
    keep = math.ceil(3 * look.phone.blur_px)
    picture[y0 + keep : y1 - keep, x0 + keep : x1 - keep] = small[keep:-keep, keep:-keep]


def _card_light(at: Rays, look: Look, card: TrueCard, number: int, rays: Array) -> Array:
    """Linear RGB of a card and what is round it, at fine pixels; a print has its frame and its target."""
    kind, thick = card.kind, card.kind.thickness_mm
    rim = RIM_MM if kind.target else 0.0
    half = np.array(card.sides_mm) / 2 + rim
    base = room_light(at, look, rays, 0.3 / FINE)
    c, s = math.cos(card.angle), math.sin(card.angle)
    lamp = np.array([[c, s], [-s, c]]) @ look.light.lamp

    def local(z: float) -> tuple[Array, Array, Array]:
        X, Y, px = at.on_plane(rays, z)
        return c * (X - card.centre[0]) + s * (Y - card.centre[1]), -s * (X - card.centre[0]) + c * (Y - card.centre[1]), px

    def outside(u: Array, v: Array) -> Array:
        p, q = np.abs(u) - half[0] + kind.corner_radius_mm, np.abs(v) - half[1] + kind.corner_radius_mm
        return np.asarray(np.hypot(np.maximum(p, 0), np.maximum(q, 0)) + np.minimum(np.maximum(p, q), 0) - kind.corner_radius_mm)

    def facing(u: Array, v: Array) -> Array:
        return np.where(np.abs(u) - half[0] > np.abs(v) - half[1], np.sign(u) * lamp[0], np.sign(v) * lamp[1])

    white = np.full(3, 0.8) if kind.target or kind.name != "id-1" else look.cards[0]
    flank = white if kind.name != "id-1" else look.cards[1]
    u, v, px = local(-card.depth_mm - thick)
    d = outside(u, v)
    picture = base * wall_light(d, facing(u, v), thick, float(flank.mean()), look.light)[..., None]
    side = flank_light(flank, facing(u, v), float(look.face.mean()), look.light)
    picture = picture + _cover(-d * px)[..., None] * (side - picture)
    u, v, px = local(-card.depth_mm)
    picture = picture + _cover(-outside(u, v) * px)[..., None] * (white - picture)
    if kind.target is None:
        return np.asarray(picture)
    scale = np.array(card.sides_mm) / (kind.width_mm, kind.height_mm)
    p, q = (np.abs(w) - side / 2 for w, side in zip((u, v), card.sides_mm, strict=True))
    ring = _cover(-np.maximum(p, q) * px) * _cover((np.maximum(p / scale[0], q / scale[1]) + kind.target.ring_mm) * px)
    book = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_50)
    bits = cv2.aruco.generateImageMarker(book, NUMBERS[kind.name][number], MODULES)
    side_mm = kind.target.side_mm
    column, row = (np.floor((w / k / side_mm + 0.5) * MODULES).astype(int) for w, k in zip((u, -v), scale, strict=True))
    inside = (column >= 0) & (column < MODULES) & (row >= 0) & (row < MODULES)
    black = inside & (np.asarray(bits)[np.clip(row, 0, MODULES - 1), np.clip(column, 0, MODULES - 1)] == 0)
    ink = np.maximum(ring, black)
    return np.asarray(picture + ink[..., None] * (0.03 - picture))


def _cover(distance_px: Array) -> Array:
    return np.asarray(np.clip(distance_px * FINE + 0.5, 0, 1))


def photo_bytes(pixels: NDArray[np.uint8], look: Look) -> bytes:
    """The file as the phone stores it, its focal length beside it."""
    return as_file(pixels, look.phone.quality, 26.0)
