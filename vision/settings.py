"""Every threshold of the program, once: frozen, with its unit and its reason.

Where a number comes from a published text it is named; "common practice, no source" and "from memory" say so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

INCH = 25.4


@dataclass(frozen=True)
class IntakeSettings:
    """Limits that are checked before a picture is decoded."""

    max_bytes: int = 40_000_000
    """bytes; a 48 MP phone photo stays under 25 MB"""
    max_pixels: int = 60_000_000
    """pixels; above every phone's main camera in normal mode, below what would exhaust a small server"""


@dataclass(frozen=True)
class CameraSettings:
    """What is known about the camera before the photo; scenes of the benchmarks are drawn from the same numbers."""

    focal_sd_with_metadata: float = 0.04
    """relative; diagonal or long-side definition of the 35 mm field differ by 3.9 %, rounding adds 1.9 % (CIPA DCG-001)"""
    default_focal_35mm: float = 26.0
    """mm; the usual main lens of a phone (common practice, no source)"""
    focal_sd_without_metadata: float = 0.25
    """relative; covers 20 to 33 mm main lenses at one sd"""
    principal_point_sd_px: float = 20.0
    """px at a 12 MP photo (5040 px diagonal); scaled with the diagonal. Stabilised lenses move by this much"""
    k1_sd: float = 0.01
    """radial term in tangent units; residue of a phone's own correction"""
    k2_sd: float = 0.005
    """next radial term"""
    wide_focal_35mm: float = 22.0
    """mm; a shorter lens, or one without metadata that contradicts the prior, may be uncorrected"""
    wide_k1_sd: float = 0.10
    """radial term of an uncorrected wide lens"""
    reference_diagonal_px: float = 5040.0
    """px; diagonal of 4032 x 3024"""


@dataclass(frozen=True)
class CardSettings:
    """Reference cards: where they stand and how far their size may be trusted."""

    offset_common_sd_mm: float = 2.0
    """mm; depth of "in the plane" as people place cards, common to all cards of a photo"""
    offset_own_sd_mm: float = 0.5
    """mm; each card's own depth (tape under it, curl)"""
    stated_offset_sd_mm: float = 2.0
    """mm; default sd of an offset the user states"""
    measured_sd_mm: float = 0.5
    """mm; default sd of a control length the user measured"""
    custom_sd_mm: float = 0.5
    """mm; default sd of the sides of a stated W x H card"""
    aspect_tolerance: float = 0.035
    """relative; letter and A4 differ by 9 %, so kinds are told apart with room to spare"""


@dataclass(frozen=True)
class EdgeSettings:
    """Edges in the picture."""

    search_px: float = 18.0
    """px at 12 MP; rough corners lie within 15 px, plus the edge's own bend"""
    strip_px: int = 40
    """px at 12 MP; half width of the strip kept around a rough edge"""
    bias_sd_px: float = 0.1
    """px; shift of either end and sag of a cleanly imaged edge, common to all of its points (published floors 0.1 to 0.2)"""
    point_floor_px: float = 0.02
    """px; no single edge point is better than this"""
    bow_sd_mm: float = 3.0
    """mm; mid-height excess of a wall against its chord, prior (flatness classes of 3 to 5 mm under 2 m, DIN 18202)"""


@dataclass(frozen=True)
class CueSettings:
    """Verticals: sd of each against true gravity, in mm/m (rough values of the trade, no source)."""

    plumb_line_sd_mm_per_m: float = 0.3
    level_card_sd_mm_per_m: float = 1.5


@dataclass(frozen=True)
class TapeSettings:
    """What a tape reading can be trusted to."""

    placement_sd_mm: float = 1.0
    """mm; where the tape ran: squareness, height, contact (common practice, no source)"""
    placement_repeat_sd_mm: float = 0.5
    """mm; the part of the placement that changes when the same person reads the same length again (common practice, no source)"""
    us_resolution_mm: float = INCH / 16
    """mm; inch readings are read to 1/16 in unless written finer"""
    metric_resolution_mm: float = 1.0
    """mm; metric readings without decimals"""
    mark_shift_mm: float = INCH / 32
    """mm; "light" and "strong" move a reading by 1/32 in (common practice, no source)"""
    max_reading_mm: float = 10_000.0
    """mm; a longer reading is not an opening for a glass door"""


@dataclass(frozen=True)
class LevelSettings:
    """What a hand level or a straightedge can be trusted to."""

    accuracy_sd_mm_per_m: float = 1.0 / 3**0.5
    """mm/m; makers state 0.5 or 1.0 mm/m (common practice, no source); 1.0 as the limit of a rectangular distribution"""
    contact_sd_mm: float = 0.5
    """mm; grout, bow and dirt between level and wall (common practice, no source)"""
    straight_sd_mm: float = 3.0
    """mm; bow of a wall or of head against curb before anything is known of it; the same as the photo's prior for walls"""
    default_length_mm: float = 60 * INCH
    """mm; a curb level read without a stated length was read over the width, of about this length"""


@dataclass(frozen=True)
class JudgeSettings:
    """The judge's levels (Baarda's data snooping: significance 0.001, power 0.80)."""

    w_critical: float = 3.29
    """two-sided normal quantile at 0.001"""
    penalty: float = 10.83
    """chi-square quantile of one degree of freedom at 0.999: what one more explaining column must earn"""
    delta0: float = 4.13
    """non-centrality at significance 0.001 and power 0.80 (Baarda)"""
    significance: float = 0.001
    """of each test; 0.001 as usual in data snooping"""
    slip_reach: float = 2.58
    """standard deviations that a known slip's amount may be off (two-sided 0.01); a match must mean something"""
    slip_recognised: float = 6.0
    """a known slip is named only if its amount is this many standard deviations large: a smaller one would be matched by
    nearly every error of its size, and an inch on a middle width is still told from the bow of the walls"""
    slip_limit_mm: float = INCH / 2
    """mm; a reading "agrees" only if a slip of this size would have shown"""


@dataclass(frozen=True)
class QuestionSettings:
    """When to ask although nothing contradicts. Common practice, no source."""

    round_at_least: int = 5
    """readings; five on a grid of quarter inches happen once in a thousand by chance"""
    nominal_mm: tuple[float, ...] = tuple(INCH * size for size in (30, 32, 36, 48, 60))
    """mm; sizes by which tubs and pans are sold"""
    width_mm: tuple[float, float] = (INCH * 18, INCH * 96)
    """mm; openings are seldom narrower or wider"""
    height_mm: tuple[float, float] = (INCH * 50, INCH * 108)
    """mm; from the rim of a tub, or from a curb"""
    spread_mm: float = INCH * 1.5
    """mm; top against bottom width"""
    lean: float = 1.5 / 72
    """ratio; of one wall"""
    third_low_mm: float = INCH / 16
    """mm; two readings by one hand and tape further apart than this want a third"""
    third_high_mm: float = INCH / 8
    """mm; further apart than this they differ"""


@dataclass(frozen=True)
class OrderSettings:
    """When an order may be ready. Common practice, no source; the hardware sheet overrules every number."""

    lean_limit: float = (3 / 16) / 72
    """ratio; 3/16 in over 72 in for taper and for each wall's lean"""
    rectangle_limit_mm: float = INCH * 3 / 16
    """mm; how much narrower than the smallest width the plumb rectangle may be"""
    lean_coverage: float = 2.0
    """standard deviations added to |lean| before it is held against the limit"""
    differ_limit_mm: float = INCH / 8
    """mm; two readings of one length further apart than this are measured again"""
    tape_alone_may_order: bool = False
    """whether readings that no photo was held against may be ready; the person who sets this stands in for the photo"""


@dataclass(frozen=True)
class Settings:
    """All of them."""

    intake: IntakeSettings = field(default_factory=IntakeSettings)
    camera: CameraSettings = field(default_factory=CameraSettings)
    cards: CardSettings = field(default_factory=CardSettings)
    edges: EdgeSettings = field(default_factory=EdgeSettings)
    cues: CueSettings = field(default_factory=CueSettings)
    tape: TapeSettings = field(default_factory=TapeSettings)
    level: LevelSettings = field(default_factory=LevelSettings)
    judge: JudgeSettings = field(default_factory=JudgeSettings)
    questions: QuestionSettings = field(default_factory=QuestionSettings)
    order: OrderSettings = field(default_factory=OrderSettings)
    top_margin_mm: float = 25.0
    """mm; the top width is taken this far below the head or the stated height, the bottom one this far above the curb"""


@dataclass(frozen=True)
class CardKind:
    """A kind of reference card: nominal sides, limits of its standard, and what it looks like."""

    name: str
    width_mm: float
    height_mm: float
    width_sd_mm: float
    height_sd_mm: float
    thickness_mm: float
    corner_radius_mm: float
    source: str


CARD_KINDS: Mapping[str, CardKind] = MappingProxyType(
    {
        "a4": CardKind(
            "a4", 210.0, 297.0, 4 / 12**0.5, 4 / 12**0.5, 0.1, 0.0, "ISO 216: +-2 mm from 150 to 600 mm, taken as uniform"
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
    }
)
