"""Every threshold, once: frozen, with unit, reason, source; "common practice, no source" or "from memory" say where none is."""

from __future__ import annotations

from dataclasses import dataclass, field

from vision.settings_cards import CARD_KINDS as CARD_KINDS
from vision.settings_cards import CardKind as CardKind
from vision.settings_cards import PrintedTarget as PrintedTarget
from vision.settings_doubts import DoubtSettings
from vision.settings_joints import JointSettings
from vision.settings_screen import ScreenSettings
from vision.settings_tape import INCH, LevelSettings, QuestionSettings, TapeSettings
from vision.settings_trace import TraceSettings


@dataclass(frozen=True)
class IntakeSettings:
    """Limits that are checked before a picture is decoded."""

    max_bytes: int = 40_000_000
    """bytes; a 48 MP phone photo stays under 25 MB"""
    max_pixels: int = 60_000_000
    """pixels; above every phone's main camera in normal mode, below what would exhaust a small server"""
    least_side_px: int = 200
    """px, shorter side; in anything smaller both walls lie within a few of the 24 px that are looked at beside an edge, and a
    pixel is a centimetre (by judgement)"""
    gravity_tolerance: float = 0.05
    """g; a stored gravity vector further from 1 g than this was taken while the hand moved (real ones are within 0.012)"""


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
    eased_px: float = 0.6
    """px at 12 MP; shift of a whole edge of the opening, common to both arrises: people ease and round edges by up to 2 mm, and
    light does not always show it (common practice, no source; of 85 clear edges in rooms of three authors that had not seen the
    program 0.8, 1.1 and 1.8 px rms, mostly further in than where the flat ends; 0.3 in 306 of rooms made beside it)"""
    point_floor_px: float = 0.02
    """px; no single edge point is better than this"""
    bow_sd_mm: float = 3.0
    """mm; mid-height excess of a wall against its chord, prior (flatness classes of 3 to 5 mm under 2 m, DIN 18202)"""


@dataclass(frozen=True)
class CueSettings:
    """Verticals: sd of each against true gravity, in mm/m (rough values of the trade, no source)."""

    plumb_line_sd_mm_per_m: float = 0.3
    level_card_sd_mm_per_m: float = 1.5
    level_sd_mm_per_m: float = 1.0
    """a spirit level held with its bubble in the middle: vial and eye (makers state 0.5 to 1)"""
    grout_common_sd_mm_per_m: float = 1.5
    """what all joints of one tiler share: they start from one line"""
    grout_own_sd_mm_per_m: float = 0.7
    """each joint's own course: half a millimetre over a short one"""
    curb_sd_mm_per_m: float = 3.0
    """a curb that is said to be level, taken only where nothing better is in the picture"""
    gravity_sd_mm_per_m: float = 8.0
    """0.3 to 0.5 degrees, and a hand that moves: which way is up, no verdict on a wall"""
    level_offset_mm: float = -25.0
    """mm; face of a box level laid flat on the wall face (common practice, no source)"""
    level_offset_sd_mm: float = 5.0
    """mm; box levels are 20 to 30 mm thick, and their pads lift them"""
    level_stated_offset_sd_mm: float = 2.0
    """mm; default sd of a level's depth that the user states"""
    level_length_sd_mm: float = 1.0
    """mm; default sd of a level's length: end caps and wear (common practice, no source)"""


@dataclass(frozen=True)
class DepthSettings:
    """What one photo does not see of the opening's depth (common practice, no source, where none is named)."""

    arris_step_sd_mm: float = 2.0
    """mm; how much further back one wall's face stands than the other's: two faces tiled by themselves"""
    flare_sd: float = 0.01
    """mm of each side wall's place per mm of depth: reveals are out of square by a millimetre in a hand's width"""
    curb_fall_sd: float = 0.015
    """mm of height per mm of depth: curbs fall 1 to 2 % toward the drain, or nothing"""
    door_line_sd_mm: float = 3.0
    """mm; default sd of the stated depth of the door line"""
    joint_level_sd: float = 0.003
    """mm/mm; how level a joint or edge on a side wall runs from front to back, each (common practice, no source)"""


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
    """sd; least amount of a known slip to be named: smaller ones match nearly every error; an inch is still told from a bow"""
    plane_margin: float = 10.83
    """what an error in the readings must explain more than a card off its plane to be named; as `penalty`"""
    random_range_mm: tuple[float, float] = (3.0, 30.0)
    """mm; errors that are in no catalogue: smaller ones are seldom seen, larger ones seldom random"""
    chance_named: float = 0.10
    """share of such errors that may match a known amount by chance and be named for it (the project's goal, no source)"""
    slip_limit_mm: float = INCH / 2
    """mm; a reading "agrees" only if a slip of this size would have shown"""


@dataclass(frozen=True)
class PlanSettings:
    """A photo that is not taken yet: how it will probably be taken, and how well its edges will be seen."""

    opening_mm: tuple[float, float] = (200.0, 6000.0)
    """mm; sides of an opening that a plan is made for: smaller is none that glass goes into, larger none that a photo holds (by
    judgement)"""
    least_distance_mm: float = 500.0
    """mm; from nearer nobody takes a photo of an opening, and how far beyond its border things lie says nothing (by judgement)"""
    size_px: tuple[int, int] = (3024, 4032)
    """px; 12 megapixels upright, the usual size of a phone's file (common practice, no source)"""
    tilt_deg: tuple[float, float, float] = (3.0, 4.0, 0.7)
    """deg; pitch, yaw and roll of a phone held by hand about straight on"""
    point_sd_px: float = 0.05
    """px; one edge point (a block of scan lines); sharp photos in daylight have 0.03 to 0.08"""
    hidden_share: float = 0.25
    """px per px of a card's thickness as seen; sd of what its shadow may do to a side, as sides fitted on common walls state"""
    alike_px: float = 0.05
    paper_alike_px: float = 0.09
    """px; sds of what all sides of cards, and of sheets, have in common, as sides fitted on common walls state"""
    tone_px: float = 0.05
    """px; sd of how much larger references seem by the phone's tones: white ones on a common wall (see `card_side.TONE_PX`)"""
    gap_mm: float = 45.0
    """mm; from the wall's edge to a reference beside it"""
    inset_mm: float = 50.0
    """mm; from a reference near a corner to the height of the curb or the head"""
    margin_px: float = 60.0
    """px at 12 MP; what the outermost corner keeps from the picture's border"""
    control_sd_mm: float = 0.3
    """mm; a length read off a steel rule held to it (common practice, no source)"""
    flat_sd_mm: float = 0.5
    """mm; depth of a reference that is checked to lie flat on the wall face"""
    worth_saying: float = 0.8
    """a change that leaves more than this share of the uncertainty is not worth the walk"""


@dataclass(frozen=True)
class OrderSettings:
    """When an order may be ready. Common practice, no source; the hardware sheet overrules every number."""

    lean_limit: float = (3 / 16) / 72
    """ratio; 3/16 in over 72 in for taper and for each wall's lean"""
    rectangle_limit_mm: float = INCH * 3 / 16
    """mm; how much narrower than the smallest width the plumb rectangle may be"""
    lean_coverage: float = 2.0
    """standard deviations added to |lean| before it is held against the limit"""
    places_apart: float = 0.5
    """share of the height that must lie between bottom and top width, where heights above the curb are stated (by judgement:
    less says nothing of the rest of the walls)"""
    places_apart_mm: float = 12 * INCH
    """mm; the same where the height of the opening is not known: less than a foot is one place (by judgement)"""
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
    doubts: DoubtSettings = field(default_factory=DoubtSettings)
    joints: JointSettings = field(default_factory=JointSettings)
    depth: DepthSettings = field(default_factory=DepthSettings)
    tape: TapeSettings = field(default_factory=TapeSettings)
    level: LevelSettings = field(default_factory=LevelSettings)
    judge: JudgeSettings = field(default_factory=JudgeSettings)
    questions: QuestionSettings = field(default_factory=QuestionSettings)
    order: OrderSettings = field(default_factory=OrderSettings)
    plan: PlanSettings = field(default_factory=PlanSettings)
    screen: ScreenSettings = field(default_factory=ScreenSettings)
    trace: TraceSettings = field(default_factory=TraceSettings)
    top_margin_mm: float = 25.0
    """mm; the top width is taken this far below the head or the stated height, the bottom one this far above the curb"""
    beyond_seen: float = 1.1
    """of the height up to which both walls are followed; without a head a width further up is not measured: so far a wall's
    bow, as uncertain as it is stated, still carries (by judgement)"""
