"""A flat scene as a photo, painted without anything of ours: an opening with cards on the wall round it.

The picture is twice as fine as the photo before it is averaged down, and every fine pixel knows how much of it is covered. The
projection is a plain homography (no lens term), so truth is exact. (cv2.fillPoly would not do: it fills its border pixels too,
which makes a bank card a third of a pixel larger.)
"""

from __future__ import annotations

import io
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tests.geometry.painted import Colour, encoded, light
from tests.geometry.prints import Print, paste

Array = NDArray[np.float64]
FINE = 2
TAG_FOCAL_35MM, EXIF_IFD = 0xA405, 0x8769


@dataclass(frozen=True)
class Patch:
    """A card or the like on the wall: centre and sides in mm (x right, y up from the foot of the left wall), turned (deg)."""

    centre: tuple[float, float]
    sides_mm: tuple[float, float]
    colour: Colour = (246, 246, 243)
    turn_deg: float = 0.0
    radius_mm: float = 0.0

    def corners(self) -> Array:
        """Bottom-left, bottom-right, top-right, top-left, (4, 2) mm."""
        a, b = self.sides_mm
        c, s = math.cos(math.radians(self.turn_deg)), math.sin(math.radians(self.turn_deg))
        local = np.array([(-a, -b), (a, -b), (a, b), (-a, b)]) / 2
        return local @ np.array([[c, s], [-s, c]]) + self.centre

    def outline(self) -> Array:
        """The corners rounded, (n, 2) mm."""
        if self.radius_mm == 0:
            return self.corners()
        corners, out = self.corners(), []
        for k in range(4):
            p, before, after = corners[k], corners[k - 1], corners[(k + 1) % 4]
            u, v = ((q - p) / np.linalg.norm(q - p) for q in (before, after))
            centre = p + self.radius_mm * (u + v)
            for angle in np.linspace(0, np.pi / 2, 9):
                out.append(centre - self.radius_mm * (math.cos(angle) * v + math.sin(angle) * u))
        return np.array(out)


@dataclass(frozen=True)
class Wall:
    """What is painted: the opening's corners (mm), colours, cards, tiles of this size, a plumb line at this x."""

    width_mm: float = 1400.0
    height_mm: float = 1950.0
    lean_mm: tuple[float, float] = (0.0, 0.0)
    """x of the top of the left and of the right wall against its foot"""
    wall: Colour = (196, 192, 182)
    inside: Colour = (92, 98, 104)
    above: Colour | None = None
    """colour above the head, None for the wall's own; with no head the inside goes on"""
    head: bool = True
    patches: tuple[Patch, ...] = ()
    prints: tuple[Print, ...] = ()
    """our own printed frames, as another program renders the PDF"""
    covers: tuple[Patch, ...] = ()
    """what lies over everything else"""
    tiles_mm: float | None = None
    plumb_x_mm: float | None = None

    def corners(self) -> Array:
        """Bottom-left, bottom-right, top-right, top-left of the opening, (4, 2) mm."""
        w, h, (a, b) = self.width_mm, self.height_mm, self.lean_mm
        return np.array([(0, 0), (w, 0), (w + b, h), (a, h)], dtype=float)


@dataclass(frozen=True)
class Shot:
    """A camera straight or turned (deg) before the wall; sizes in px, `focal_35mm` also goes into the file unless None."""

    size: tuple[int, int] = (1320, 1760)
    focal_35mm: float | None = 26.0
    distance_mm: float = 2700.0
    turn_deg: tuple[float, float, float] = (1.5, -2.0, 0.4)
    aim: tuple[float, float] = (700.0, 960.0)
    blur_px: float = 0.6
    noise: float = 0.004
    seed: int = 1

    def homography(self) -> Array:
        """Wall mm (x, y, 1) to pixels, by OpenCV's rotation."""
        w, h = self.size
        f = (self.focal_35mm or 26.0) * math.hypot(w, h) / math.hypot(36, 24)
        R = cv2.Rodrigues(np.radians(self.turn_deg))[0] @ np.diag([1.0, -1.0, -1.0])
        t = -R @ (np.array([*self.aim, 0.0]) - self.distance_mm * R[2])
        K = np.array([[f, 0, (w - 1) / 2], [0, f, (h - 1) / 2], [0, 0, 1]])
        return np.asarray(K @ np.column_stack([R[:, 0], R[:, 1], t]))

    def to_px(self, mm: Array) -> Array:
        """Wall points (n, 2) mm in pixels."""
        q = np.column_stack([mm, np.ones(len(mm))]) @ self.homography().T
        return np.asarray(q[:, :2] / q[:, 2:])


def painted(wall: Wall, shot: Shot) -> NDArray[np.uint8]:
    """The photo's pixels. Patches and edges are drawn as polygons in the photo itself, so nothing is resampled."""
    w, h = shot.size
    fine = np.empty((h * FINE, w * FINE, 3), dtype=np.float32)
    fine[:] = light(wall.wall)
    reach = 3000.0
    outline = wall.corners()
    if not wall.head:
        outline = np.array(
            [outline[0], outline[1], outline[1] + (outline[2] - outline[1]) * 1.6, outline[0] + (outline[3] - outline[0]) * 1.6]
        )
    if wall.tiles_mm:
        for at in np.arange(-reach, reach, wall.tiles_mm):
            for line in ([(at - 2, -reach), (at + 2, -reach), (at + 2, reach), (at - 2, reach)],
                         [(-reach, at - 2), (-reach, at + 2), (reach, at + 2), (reach, at - 2)]):  # fmt: skip
                _fill(fine, shot, np.array(line), tuple(0.55 * np.array(wall.wall)))  # type: ignore[arg-type]
    _fill(fine, shot, outline, wall.inside)
    for patch in wall.patches:
        _fill(fine, shot, patch.outline(), patch.colour)
    for one in wall.prints:
        _fill(fine, shot, one.paper_mm(), (246, 246, 243))
        paste(fine, one, shot.homography(), FINE)
    for patch in wall.covers:
        _fill(fine, shot, patch.outline(), patch.colour)
    if wall.plumb_x_mm is not None:
        x, top = wall.plumb_x_mm, 0.97 * wall.height_mm
        _fill(fine, shot, np.array([(x - 0.9, 60), (x + 0.9, 60), (x + 0.9, top), (x - 0.9, top)]), (235, 232, 220))
    soft = cv2.GaussianBlur(fine, (0, 0), shot.blur_px * FINE)
    pixels = soft.reshape(h, FINE, w, FINE, 3).mean(axis=(1, 3))
    rng = np.random.default_rng(shot.seed)
    return encoded(
        pixels + rng.standard_normal(pixels.shape, dtype=np.float32) * np.float32(shot.noise) * np.sqrt(np.maximum(pixels, 0.02))
    )


def _fill(fine: NDArray[np.float32], shot: Shot, polygon_mm: Array, colour: Colour) -> None:
    """A convex polygon on the wall. Each fine pixel takes the share of it that is covered, by its distance to the sides."""
    px = (shot.to_px(polygon_mm) + 0.5) * FINE - 0.5
    low = np.clip(np.floor(px.min(axis=0)).astype(int) - 1, 0, [fine.shape[1], fine.shape[0]])
    high = np.clip(np.ceil(px.max(axis=0)).astype(int) + 2, 0, [fine.shape[1], fine.shape[0]])
    x, y = np.arange(low[0], high[0], dtype=np.float32), np.arange(low[1], high[1], dtype=np.float32)
    covered = np.ones((len(y), len(x)), dtype=np.float32)
    inner = px.mean(axis=0)
    for p, q in zip(px, np.roll(px, -1, axis=0), strict=True):
        n = np.array([q[1] - p[1], p[0] - q[0]]) / np.linalg.norm(q - p)
        n = n if n @ (inner - p) > 0 else -n
        distance = np.float32(n[0]) * x[None, :] + np.float32(n[1]) * y[:, None] - np.float32(n @ p)
        covered *= np.clip(distance + np.float32(0.5), 0, 1)
    part = fine[low[1] : high[1], low[0] : high[0]]
    part += covered[..., None] * (light(colour).astype(np.float32) - part)


def as_file(
    pixels: NDArray[np.uint8], focal_35mm: float | None, *, quality: int = 95, tags: Mapping[int, object] | None = None
) -> bytes:
    """A JPEG with the focal length (and further EXIF tags) in its metadata, as a phone would write it."""
    image, exif = Image.fromarray(pixels), Image.Exif()
    exif.get_ifd(EXIF_IFD).update(tags or {})
    if focal_35mm is not None:
        exif.get_ifd(EXIF_IFD)[TAG_FOCAL_35MM] = round(focal_35mm)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=quality, exif=exif)
    return out.getvalue()


@dataclass(frozen=True)
class Picture:
    """A painted photo with its truth."""

    wall: Wall
    shot: Shot
    pixels: NDArray[np.uint8] = field(repr=False)

    @property
    def data(self) -> bytes:
        """The file."""
        return as_file(self.pixels, self.shot.focal_35mm)

    def with_tags(self, tags: Mapping[int, object]) -> bytes:
        """The file with further EXIF tags."""
        return as_file(self.pixels, self.shot.focal_35mm, tags=tags)

    def corners_px(self, off_px: float = 0.0, seed: int = 0) -> tuple[tuple[float, float], ...]:
        """The opening's corners, moved by up to this much."""
        rng = np.random.default_rng(seed)
        at = self.shot.to_px(self.wall.corners()) + rng.uniform(-off_px, off_px, (4, 2))
        return tuple((float(x), float(y)) for x, y in at)

    def patch_px(self, index: int) -> tuple[tuple[float, float], ...]:
        """Corners of one patch."""
        return tuple((float(x), float(y)) for x, y in self.shot.to_px(self.wall.patches[index].corners()))


@cache
def picture(wall: Wall, shot: Shot = Shot()) -> Picture:
    return Picture(wall, shot, painted(wall, shot))


CARD_MM, LETTER_MM, A4_MM = (85.60, 53.98), (215.9, 279.4), (210.0, 297.0)


def bank_card(x: float, y: float, colour: Colour = (240, 240, 236), turn_deg: float = 0.0) -> Patch:
    return Patch((x, y), CARD_MM, colour, turn_deg, 3.18)


def four_cards(width: float = 1400.0, height: float = 1950.0) -> tuple[Patch, ...]:
    places: Sequence[tuple[float, float]] = ((-90, 100), (-90, height - 100), (width + 90, 100), (width + 90, height - 100))
    return tuple(bank_card(x, y, (62, 66, 80)) for x, y in places)
