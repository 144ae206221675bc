"""The reasons of a screening: measured values against limits, from the file, the picture, its references and its outline."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from vision.errors import SCREEN_CODES
from vision.geometry.cards import CardCandidate
from vision.geometry.cut import BORDER_PX
from vision.geometry.edges import EdgePoints
from vision.geometry.rough_outline import OUTLINE_CORNERS
from vision.geometry.seen import SeenPhoto
from vision.photo.bars import Bars
from vision.photo.intake import Photo, Reduced
from vision.photo.provenance import Provenance
from vision.photo.quality import FULL_SCALE, REFERENCE_DIAGONAL_PX, Quality
from vision.settings import Settings
from vision.settings_screen import LIMITS

Array = NDArray[np.float64]
Facts = Iterator[tuple[str, float]]
GLARE_REACH_PX = 12
"""px at 12 MP; to either side of an edge that is looked at for glare"""
GLARE_POINTS = 200
"""of an edge; every half per cent of it"""

SIDE_POINTS, SIDE_STEPS_PX = 24, (4.0, 6.0, 8.0)
"""places along a reference's side, and px at 12 MP to either side of it, where its face and the wall are looked at"""
OWN_BLUR_PX = 0.7
"""px of the file; what making a sharp photo smaller and saving it may leave (0.4 to 0.5 seen): in a small file much at 12 MP"""
BRIGHT_WALL = 190
"""code of the wall's brightest channel; half of full scale in linear light (IEC 61966-2-1): with a face of twice full scale
under half of the step is left"""

ONE_SD = "(one standard deviation)"
SAYS: Mapping[str, str] = MappingProxyType(
    {
        "too-small": "the long side has {v:.0f} px; needed at least {l:.0f} px",
        "resized": "{v:.2f} times smaller than the file says it was taken; needed at most {l:.2f} times",
        "cropped": "the ratio of its sides is {v:.1%} off what the file says; needed at most {l:.0%}",
        "edited": "the file says that it was changed after it was taken",
        "compressed": "JPEG quality {v:.0f} %; needed at least {l:.0f} %",
        "no-metadata": "the file does not say with which focal length it was taken",
        "no-edge": "nothing sharp can be seen: no edge stands out anywhere in the picture, so there is nothing to judge",
        "blur": f"the picture's sharpest edges are blurred by {{v:.1f}} px at 12 MP {ONE_SD}; needed at most {{l:.1f}} px",
        "too-dark": "the brightest twentieth begins at {v:.0f} of 255; needed at least {l:.0f}",
        "noise": f"noise of {{v:.1f}} of 255 steps {ONE_SD}; needed at most {{l:.1f}}",
        "burnt-out": "{v:.0%} of the picture is burnt out; needed at most {l:.0%}",
        "glare": "{v:.0%} of an edge of the opening is burnt out; needed at most {l:.0%}",
        "wide-lens": "a lens of {v:.0f} mm (35 mm equivalent); needed at least {l:.0f} mm",
        "oblique": "taken {v:.0f} degrees off straight on; needed at most {l:.0f}",
        "opening-cut": "{v:.0f} of the 4 corners of the opening at the picture's border or beyond it",
        "edge-hidden": "{v:.0%} of an edge of the opening is in sight; needed at least {l:.0%}",
        "card-missing": "no reference found",
        "card-small": "the shorter side of the largest reference has {v:.0f} px at 12 MP; needed at least {l:.0f} px",
        "card-cut": "every reference found is cut off by the picture's border",
        "card-bent": "a side of a reference sags by {v:.1%} of its length; needed at most {l:.1%}",
        "card-burnt": "{v:.0%} of a reference's sides are burnt out beside a bright wall; needed at most {l:.0%}",
        "card-plane": "no reference lies in the plane of the opening",
        "uncertain": f"this photo tells its least certain width to {{v:.2f}} mm {ONE_SD}; needed {{l:.2f}} mm or better",
        "not-consistent": "something in the photo contradicts the rest",
    }
)
"""what is said where a value v is beyond its limit l; conditions that hold or do not are said without numbers"""


@dataclass(frozen=True)
class Reason:
    """A value beyond its limit: `level` "rough" (good for a rough quote only) or "again"; `text` says it with unit and source."""

    code: str
    level: str
    value: float | None
    limit: float | None
    unit: str
    source: str
    text: str

    def __post_init__(self) -> None:
        if self.code not in SCREEN_CODES:
            raise ValueError(f"unknown code {self.code!r}")


def judged_facts(facts: Mapping[str, float], settings: Settings) -> tuple[Reason, ...]:
    """The facts that are beyond their limits, in the order of the limits."""
    out = []
    for code, limit in settings.screen.limits.items():
        level = limit.level(facts[code]) if code in facts else None
        if level is not None:
            bound = limit.rough if level == "rough" or limit.again is None else limit.again
            text = f"{SAYS[code].format(v=facts[code], l=bound)} ({limit.source})"
            out.append(Reason(code, level, facts[code], bound, limit.unit, limit.source, text))
    return tuple(out)


def file_facts(origin: Provenance) -> Facts:
    """What the file says of itself."""
    yield "too-small", float(max(origin.size_px))
    if origin.metadata.cropped:
        yield "cropped", origin.ratio_change
    else:
        yield "resized", origin.times_smaller
    yield "edited", float(len(origin.traces))
    if origin.quality is not None:
        yield "compressed", origin.quality
    focal = origin.metadata.focal_35mm
    yield "no-metadata", float(focal is None)
    if focal is not None:
        yield "wide-lens", focal


def edited(bars: Bars) -> Reason:
    """A picture with bars: what its file says of the lens is not true of it, and nobody knows what else was done."""
    text = f"{bars.words}, as in a screenshot or an edited picture; needed the photo alone"
    return Reason("edited", "again", None, None, "", "the check's own condition", text)


def picture_facts(quality: Quality, size_px: tuple[int, int]) -> Facts:
    """What is measured on the pixels of a picture of this width and height; no blur where making it smaller may have done it."""
    yield "no-edge", float(quality.blur_px is None)
    if quality.blur_px is not None:
        ours = quality.blur_px * math.hypot(*size_px) / REFERENCE_DIAGONAL_PX
        if ours >= OWN_BLUR_PX or LIMITS["blur"].level(quality.blur_px) is None:
            yield "blur", quality.blur_px
    yield "too-dark", quality.light
    yield "noise", quality.noise
    yield "burnt-out", quality.burnt_share


def card_facts(cards: Sequence[CardCandidate], small: Reduced) -> Facts:
    """References as found, their corners in px of the full picture."""
    yield "card-missing", float(len(cards))
    if cards:
        scale = math.hypot(*small.size_px) / REFERENCE_DIAGONAL_PX
        yield "card-small", max(_short_side(c.corners_px) for c in cards) / scale
        yield "card-cut", float(all(_at_border(c.corners_px, small.size_px) for c in cards))


def corner_facts(corners: Array, size_px: tuple[int, int]) -> Facts:
    """How many of the opening's corners (4, 2) px lie at or beyond the border of a picture of this width and height."""
    yield "opening-cut", float(sum(_at_border(c, size_px) for c in corners))


def _at_border(points: Array, size_px: tuple[int, int]) -> bool:
    last = np.array(size_px) - 1 - BORDER_PX
    return bool(np.any(points < BORDER_PX) or np.any(points > last))


def _short_side(corners: Array) -> float:
    return float(np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1).min())


def outline_facts(seen: SeenPhoto, photo: Photo) -> Facts:
    """What stands at the edges of the opening, how the camera looks at it, and how flat its references are."""
    yield "edge-hidden", min((p.kept_share for p in seen.outline.values()), default=0.0)
    edges = [seen.corners_px[list(OUTLINE_CORNERS[name])] for name in seen.outline]
    yield "glare", max((_glare(photo, ends, seen.look.scale) for ends in edges), default=0.0)
    yield "oblique", oblique_deg(seen)
    used = seen.used
    if used:
        yield "card-bent", max(bend_of(c.sides) for c in used)
        yield "card-burnt", max(burnt_share(photo.pixels, c.look.candidate.corners_px, seen.look.scale) for c in used)
        yield "card-plane", float(all(c.plane_unknown or c.floats for c in used))


def oblique_deg(seen: SeenPhoto) -> float:
    """Angle (deg) between the line of sight to the middle of the opening and the normal of its plane."""
    middle = seen.view.camera.rays(seen.corners_px.mean(axis=0)[None])[0]
    cosine = abs(float(middle @ seen.view.R[:, 2])) / float(np.linalg.norm(middle))
    return math.degrees(math.acos(min(cosine, 1.0)))


def _glare(photo: Photo, ends: Array, scale: float) -> float:
    """Share of an edge (2, 2) px with full-scale pixels on both of its sides; where it is burnt out it cannot be followed."""
    points = ends[0] + np.linspace(0.02, 0.98, GLARE_POINTS)[:, None] * (ends[1] - ends[0])
    d = ends[1] - ends[0]
    normal = np.array([-d[1], d[0]]) / max(float(np.linalg.norm(d)), 1e-9)
    steps = np.linspace(2.0, GLARE_REACH_PX * scale, 4)
    burnt = []
    for sign in (-1.0, 1.0):
        at = np.round(points[:, None] + sign * steps[None, :, None] * normal).astype(int)
        x, y = np.clip(at[..., 0], 0, photo.width - 1), np.clip(at[..., 1], 0, photo.height - 1)
        burnt.append(np.all(photo.pixels[y, x] >= FULL_SCALE, axis=2).mean(axis=1) > 0.5)
    return float(np.mean(burnt[0] & burnt[1]))


def burnt_share(pixels: NDArray[np.uint8], corners: Array, scale: float) -> float:
    """Share of the sides of a reference (4, 2) px of which the face is at full scale and the wall beside it not far from it.

    Of the step between them the upper part is cut off. Beside a much darker wall the rest of it still shows where it is.
    """
    t = np.linspace(0.1, 0.9, SIDE_POINTS)[:, None]
    a, b = corners[:, None], np.roll(corners, -1, axis=0)[:, None]
    out = a - corners.mean(axis=0) + 0.5 * (b - a)
    out = out / np.linalg.norm(out, axis=2, keepdims=True)
    on = a + t * (b - a)
    inside, outside = (
        np.mean([_codes(pixels, on + sign * step * scale * out) for step in SIDE_STEPS_PX], axis=0) for sign in (-1.0, 1.0)
    )
    burnt = np.all(inside >= FULL_SCALE, axis=2) & (outside.max(axis=2) > BRIGHT_WALL)
    return float(burnt.mean())


def _codes(pixels: NDArray[np.uint8], points: Array) -> Array:
    """Codes (..., 3) of the pixels nearest to points (..., 2)."""
    last = np.array(pixels.shape[1::-1]) - 1
    x, y = np.moveaxis(np.clip(np.round(points).astype(int), 0, last), -1, 0)
    return np.asarray(pixels[y, x], dtype=np.float64)


def bend_of(sides: Sequence[EdgePoints | None]) -> float:
    """Largest sag over length of a reference's sides, what noise and lens may do taken off."""
    out = [0.0]
    for side in sides:
        if side is not None and len(side.points_px) >= 6:
            length = float(np.linalg.norm(side.points_px[-1] - side.points_px[0]))
            d = (side.points_px[-1] - side.points_px[0]) / max(length, 1e-9)
            across = (side.points_px - side.points_px[0]) @ np.array([-d[1], d[0]])
            sag = abs(float(np.polyfit(side.along, across, 2)[0]))
            out.append(max(sag - 1.5 - 2 * side.bias_sd_px, 0.0) / max(length, 1.0))
    return float(np.median(sorted(out)[-2:]))
