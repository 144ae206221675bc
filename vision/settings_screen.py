"""When a photo is good enough, and for what: every limit of the screening with its unit and its reason.

Limits "by judgement" are not fitted to any photos; what they let pass and what they stop is measured by
`tests/benchmarks/screening.py faults`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from types import MappingProxyType
from typing import Any

COMMON = "common practice, no source"
JUDGED = "by judgement"
COARSEST_GOOD_U_MM = 12.7 / 4.13
"""mm; u of a width at which half an inch shows (significance 0.001, power 0.80: 3.29 + 0.84 standard deviations)"""


@dataclass(frozen=True)
class Limit:
    """Where one measured value leaves "good to measure" (`rough`) and where it leaves "rough quote" (`again`).

    `most`: values above are the bad ones, else values below. `again` None: never worse than a rough quote.
    """

    rough: float
    again: float | None
    unit: str
    source: str
    most: bool = True

    def level(self, value: float) -> str | None:
        """None within the limit, else "rough" or "again"."""
        sign = 1.0 if self.most else -1.0
        if self.again is not None and sign * value > sign * self.again:
            return "again"
        return "rough" if sign * value > sign * self.rough else None


LIMITS: Mapping[str, Limit] = MappingProxyType(
    {
        "too-small": Limit(
            2600.0,
            1000.0,
            "px, long side",
            f"{JUDGED}; a phone's 12 MP have 4032, messengers make 1280 to 2048 ({COMMON})",
            False,
        ),
        "resized": Limit(
            1.02, None, "times smaller than EXIF states", "EXIF (CIPA DC-008) pixel dimensions against the file's own"
        ),
        "cropped": Limit(
            0.01, None, "relative change of the sides' ratio", "EXIF (CIPA DC-008) pixel dimensions against the file's own"
        ),
        "edited": Limit(
            0.5, None, "traces of editing", "EXIF DateTime after DateTimeOriginal (CIPA DC-008); XMP history (ISO 16684-1)"
        ),
        "compressed": Limit(60.0, None, "% JPEG quality", f"quantisation against ITU-T T.81 Annex K; limit {JUDGED}", False),
        "no-metadata": Limit(0.5, None, "focal lengths missing", "EXIF (CIPA DC-008) FocalLengthIn35mmFilm"),
        "no-edge": Limit(0.5, 0.5, "pictures without an edge", "the check's own condition: it measures by edges"),
        "blur": Limit(
            2.2,
            5.5,
            "px at 12 MP, sd of the blur of the picture's sharpest edges, across or along it, whichever is worse",
            f"a check refuses an opening whose own edges are beyond 5.5; the rough limit {JUDGED}",
        ),
        "too-dark": Limit(70.0, 30.0, "code of the 95th percentile of luma, 0 to 255", JUDGED, False),
        "noise": Limit(4.5, 15.0, "codes, sd in flat places at half of 12 MP's sides", JUDGED),
        "burnt-out": Limit(0.2, 0.5, "share of the picture at full scale", JUDGED),
        "glare": Limit(0.08, 0.5, "share of an edge that is burnt out on both sides", JUDGED),
        "wide-lens": Limit(
            20.0,
            13.0,
            "mm, 35 mm equivalent",
            f"{JUDGED}; main lenses have 22 to 28 mm, ultra-wide ones 13 to 16 ({COMMON})",
            False,
        ),
        "oblique": Limit(30.0, 50.0, "deg off straight on", f"{JUDGED}; what a card's depth does grows with the tangent"),
        "opening-cut": Limit(0.5, 0.5, "corners outside the picture", "the check's own condition"),
        "edge-hidden": Limit(
            0.5, 0.15, "share of an edge in sight", f"under 0.15 the check refuses; the rough limit {JUDGED}", False
        ),
        "card-missing": Limit(0.5, 0.5, "references found", "the check's own condition", False),
        "card-small": Limit(
            40.0,
            14.0,
            "px at 12 MP, shorter side of the largest",
            f"a bank-size card's 54 mm at 4 m with a focal length of 26 mm (3028 px); 14 {JUDGED}",
            False,
        ),
        "card-cut": Limit(0.5, 0.5, "references cut off", "the check's own condition"),
        "card-bent": Limit(
            0.004, 0.02, "sag over length of a side", f"{JUDGED}: 1 mm over a sheet's 297 mm, beyond what noise and lens do"
        ),
        "card-burnt": Limit(
            0.2,
            None,
            "share of a reference's sides at full scale beside a wall nearly as bright",
            f"{JUDGED}; where more than half of a side's step is cut off it is seen up to a pixel too far out",
        ),
        "card-plane": Limit(0.5, 0.5, "references off the opening plane, none in it", "the check's own condition"),
        "uncertain": Limit(
            COARSEST_GOOD_U_MM,
            50.0,
            "mm, one standard deviation of the least certain width in this photo",
            f"half an inch shows at u up to 3.07 mm (significance 0.001, power 0.80); 50 {JUDGED}",
        ),
        "not-consistent": Limit(0.5, None, "contradictions in the photo", "the check's own tests at 0.001"),
    }
)
"""reason -> limit, in the order in which a customer is asked to change things (settings are read where they are needed)"""


@dataclass(frozen=True)
class ScreenSettings:
    """How a photo is screened."""

    limits: Mapping[str, Limit] = field(default_factory=lambda: LIMITS, repr=False)
    working_long_side_px: int = 1008
    """px; references are looked for in a picture of this size first, and at twice of it where none is found"""
    reduced_long_side_px: int = 2016
    """px; light and blur are measured in a picture of this size, and outline and references are looked for in it: half of 12 MP,
    where a blur at the limit is still more than a pixel wide"""
    most_changes: int = 3
    """things a message asks for; more are not read (common practice, no source)"""
    band_sds: float = 2.0
    """standard deviations either side of a size band"""
    told_share: float = 0.2
    """of the width; one that may be off by more either way is no help for a quote, and no customer is told it (by judgement)"""
    opening_width_mm: tuple[float, float] = (400.0, 2500.0)
    opening_height_mm: tuple[float, float] = (400.0, 2750.0)
    """mm; what openings of showers, tubs, doors and windows measure (common practice, no source). A rough size beyond it is not
    told: such weak knowledge about buildings enters nothing else"""
    rough_corner_px: float = 15.0
    """px at 12 MP; how far corners that a person marks may be off"""
    rough_depth_mm: float = 25.0
    """mm; depth of a card in a rough size, when nothing is known of its place"""
    rough_side_px: float = 1.5
    """px of the picture in which a reference was found; how far a side of it may be off"""

    def __reduce__(self) -> tuple[object, ...]:
        """Pickled without the mapping, which is this module's own."""
        return (_screen_settings, tuple(getattr(self, one.name) for one in fields(self) if one.name != "limits"))


def _screen_settings(*rest: Any) -> ScreenSettings:
    return ScreenSettings(LIMITS, *rest)
