"""Kinds of reference card: what a standard or our own print says of their sizes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class PrintedTarget:
    """What stands in the middle of a frame that we print: a square target of a standard dictionary (OpenCV's 5 x 5, first 50).

    `ids` of the targets that mean this kind, side of the target and thickness of the black frame round it.
    """

    ids: tuple[int, ...]
    side_mm: float
    ring_mm: float


@dataclass(frozen=True)
class CardKind:
    """A kind of reference card: nominal sides, limits of its standard, and what it looks like.

    A kind with a `target` is known by it, never by its shape; where `control_mm` is given, these two lengths (before the paper
    is cut) are what people measure in place of the sides.
    """

    name: str
    width_mm: float
    height_mm: float
    width_sd_mm: float
    height_sd_mm: float
    thickness_mm: float
    corner_radius_mm: float
    source: str
    target: PrintedTarget | None = None
    control_mm: tuple[float, float] | None = None
    own_size_share: float = 0.0
    """of the variance of an unmeasured side; so much each piece has of its own, the rest all pieces of the kind share"""


PAPER_OWN = 0.5
"""own_size_share of sheets: of one pack they are nearly alike, of two packs as unlike as the standard lets them be, and nobody
says which two hang on a wall (one time in two of two packs: by judgement)"""
PRINT_SCALE_SD = 0.01 / 3**0.5
"""relative, either direction for itself: within 1 % taken as uniform. Printers feed and scan with separate errors of up to a
percent or so (copiers measured at 99 to 102 %); "fit to page" is off by 3 to 6 %, which the check bars are for"""


CARD_KINDS: Mapping[str, CardKind] = MappingProxyType(
    {
        "a4": CardKind(
            "a4",
            210.0,
            297.0,
            4 / 12**0.5,
            4 / 12**0.5,
            0.1,
            0.0,
            "ISO 216: +-2 mm from 150 to 600 mm, taken as uniform",
            own_size_share=PAPER_OWN,
        ),
        "letter": CardKind(
            "letter",
            215.9,
            279.4,
            3.175 / 12**0.5,
            3.175 / 12**0.5,
            0.1,
            0.0,
            "ANSI/ASME Y14.1 size A; trimming +-1/16 in taken as uniform (from memory)",
            own_size_share=PAPER_OWN,
        ),
        "id-1": CardKind(
            "id-1",
            85.60,
            53.98,
            0.25 / 12**0.5,
            0.11 / 12**0.5,
            0.76,
            3.18,
            "ISO/IEC 7810 ID-1: 85.47 to 85.72 x 53.92 to 54.03 mm, taken as uniform (limits from memory)",
        ),
        "sheet": CardKind(
            "sheet",
            186.0,
            216.0,
            186.0 * PRINT_SCALE_SD,
            216.0 * PRINT_SCALE_SD,
            0.1,
            0.0,
            "our own print, its frame; fits A4 and Letter. No aspect within 7 % of another kind's, so none is taken for another",
            PrintedTarget((0,), 126.0, 12.0),
        ),
        "quarter": CardKind(
            "quarter",
            78.0,
            88.0,
            78.0 * PRINT_SCALE_SD,
            88.0 * PRINT_SCALE_SD,
            0.1,
            0.0,
            "our own print, four to a page, the frame of one; no aspect within 7 % of another kind's",
            PrintedTarget((1, 2, 3, 4), 45.5, 9.0),
            (176.0, 196.0),
        ),
    }
)
