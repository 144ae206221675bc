"""What would a photo resolve: the same adjustment as after a check, on exact edges of a photo that is not taken.

A planned shot is an opening (a plain rectangle), a camera before it and reference cards on its plane. Every edge is put where the
camera would see it, with the point noise, bias and doubt that edges have; nothing is drawn at random. Then the records go the
way of every photo: assemble, adjust, propagate.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.errors import BadInput
from vision.gaussian import Gaussian
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly, assemble
from vision.geometry.camera import DIAGONAL_35MM, Camera, camera_prior, rotation
from vision.geometry.card_side import PAPER_PX
from vision.geometry.cards import CardCandidate, CardFacts, CardSpec
from vision.geometry.edges import EdgePoints
from vision.geometry.frames import ink_alike_px
from vision.geometry.look import SIDE_CORNERS, CardLook, Look
from vision.geometry.model import W0
from vision.geometry.opening import Opening
from vision.geometry.rough_outline import OUTLINE_CORNERS
from vision.geometry.seeing import CURB_STAND_MM, eased
from vision.geometry.seen import Demands, SeenCard, SeenPhoto
from vision.geometry.sizes import propagate, size_functions, width_heights
from vision.geometry.start import view_of_rectangle
from vision.geometry.strips import Strip
from vision.settings import CardKind, PlanSettings, Settings

Array = NDArray[np.float64]
BLOCK_LINES, FEWEST, MOST = 8, 4, 60
"""scan lines to a point of an edge, and the least and most points, as where edges are observed"""
TRIM = 0.02
"""share of an outline edge left out at either end"""
CORNER_CLEAR_MM = 2.5
"""mm left out at either end of a card's side, beyond its rounding"""
MOST_STEPS_BACK = 8
"""each brings everything nearly into the picture"""
PLUMB_ENDS = (0.9, 0.1)
"""shares of the height between which a plumb line is seen"""


@dataclass(frozen=True)
class PlannedCard:
    """A reference to be put up: what is stated of it, its centre (mm, from the foot of the left wall), whether it is turned."""

    spec: CardSpec
    centre_mm: tuple[float, float]
    turned: bool = False

    @property
    def sides_mm(self) -> tuple[float, float]:
        """Along bottom and left edge."""
        w, h = self.spec.kind.width_mm, self.spec.kind.height_mm
        return (h, w) if self.turned else (w, h)

    def corners(self) -> Array:
        """Bottom-left, bottom-right, top-right, top-left, (4, 3) mm."""
        a, b = self.sides_mm
        depth = -self.spec.kind.thickness_mm if self.spec.offset_mm is None else self.spec.offset_mm
        flat = np.array([(-a, -b), (a, -b), (a, b), (-a, b)]) / 2 + self.centre_mm
        return np.column_stack([flat, np.full(4, -depth)])


@dataclass(frozen=True)
class PlannedShot:
    """An opening (mm), the camera's distance from its plane, and what will be in the picture.

    `focal_35mm` None: the file carries no focal length. `camera` and `size_px` are those of a photo already taken, where the
    plan starts from one. `control_scale_sd` as in Demands.
    """

    width_mm: float
    height_mm: float
    distance_mm: float
    cards: tuple[PlannedCard, ...]
    focal_35mm: float | None = 26.0
    has_head: bool = True
    plumb_line: bool = False
    plumb_share: float = 0.45
    """of the width, where the plumb line hangs"""
    control_scale_sd: float = 0.0
    camera: Camera | None = None
    size_px: tuple[int, int] | None = None


@dataclass(frozen=True)
class Expected:
    """What the shot would give: every quantity with its uncertainty by source, and the heights of the widths."""

    quantities: Gaussian
    at_mm: Mapping[str, float]


def expect(shot: PlannedShot, settings: Settings) -> Expected:
    """The expected uncertainties. Raises BadInput where the opening or a card would not be in the picture, or have no plane."""
    _, assembly, solution = solved(shot, settings)
    at_mm = width_heights(shot.height_mm, settings.top_margin_mm, {})
    functions = size_functions(at_mm, shot.has_head, assembly.nominal.chord_mm, assembly.nominal.gravity)
    return Expected(propagate(solution, functions), at_mm)


def solved(shot: PlannedShot, settings: Settings) -> tuple[SeenPhoto, Assembly, Solution]:
    """What would be seen, adjusted. Raises as `expect`."""
    size, camera = picture_size(shot, settings.plan), camera_of(shot, settings)
    _require_planes(shot.cards, shot)
    _require_in_picture(shot, camera, size, settings.plan)
    photo, demands = _seen(shot, camera, size, settings)
    assembly = assemble([photo], demands, settings)
    return photo, assembly, assembly.problem.solve(assembly.start, assembly.camera_priors, bent_valley=True)


def picture_size(shot: PlannedShot, settings: PlanSettings) -> tuple[int, int]:
    """Width and height in px: upright, or across for an opening that is wider than high."""
    if shot.size_px is not None:
        return shot.size_px
    short, long = sorted(settings.size_px)
    return (long, short) if shot.width_mm > shot.height_mm else (short, long)


def camera_of(shot: PlannedShot, settings: Settings) -> Camera:
    """The camera that looks at the middle of the opening, held as by hand; or the one that took the photo."""
    if shot.camera is not None:
        return shot.camera
    size = picture_size(shot, settings.plan)
    prior = camera_prior(*size, shot.focal_35mm, settings.camera)
    R = rotation(np.radians(settings.plan.tilt_deg)) @ np.diag([1.0, -1.0, -1.0])
    aim = np.array([shot.width_mm / 2, shot.height_mm / 2, 0.0])
    place = aim + R[2] * (shot.distance_mm / R[2, 2])  # R[2] looks along -z, so this is on the + side
    return Camera(R, -R @ place, prior.f, prior.cx, prior.cy, 0.0, 0.0)


def shot_of(solution: Solution, assembly: Assembly, opening: Opening, demands: Demands) -> PlannedShot | None:
    """The shot that a measured photo was, as a plan; None where several photos were measured together, or no height is known."""
    if len(opening.photos) != 1 or opening.height_mm is None or opening.scale_refused:
        return None
    state, prior, nominal = solution.state, assembly.camera_priors[0], assembly.nominal
    size = (opening.photos[0].width, opening.photos[0].height)
    cards = {
        k: PlannedCard(
            demands.cards.facts_for(nominal.cards[k].kind, number),
            (float(state.cards[k, 0]), float(state.cards[k, 1])),
            nominal.cards[k].turned,
        )
        for number, k in assembly.models.items()
    }
    camera = state.cameras[0]
    return PlannedShot(
        width_mm=float(state.opening[W0]),
        height_mm=opening.height_mm,
        distance_mm=abs(float((camera.R.T @ camera.t)[2])),
        cards=tuple(cards.values()),
        focal_35mm=prior.f * DIAGONAL_35MM / math.hypot(*size) if prior.from_metadata else None,
        has_head=nominal.has_head,
        plumb_line=nominal.plumb_lines > 0,
        control_scale_sd=demands.control_scale_sd,
        camera=Camera(camera.R, camera.t, camera.f, camera.cx, camera.cy, 0.0, 0.0),
        size_px=size,
    )


def _require_planes(cards: Sequence[PlannedCard], shot: PlannedShot) -> None:
    if not cards:
        raise BadInput("references", "none", "at least one reference card", "say what will be put up, and where")
    for number, card in enumerate(cards, 1):
        (x0, y0), (x1, y1) = card.corners()[0, :2], card.corners()[2, :2]
        inside = x0 > 0 and x1 < shot.width_mm and y1 < shot.height_mm and y0 > CURB_STAND_MM
        if inside and card.spec.offset_mm is None:
            raise BadInput(
                f"reference {number}",
                "a place inside the opening, where no wall is",
                "a place beside the opening, on the curb, or a stated depth",
                "put it on the wall face, or say how far behind the opening it will be, as in id-1@12+-2",
            )


def _require_in_picture(shot: PlannedShot, camera: Camera, size: tuple[int, int], settings: PlanSettings) -> None:
    if shot.camera is not None:
        return
    what, beyond = _beyond(shot, camera, size, settings)
    if beyond > 1:
        raise BadInput(
            "distance",
            f"{shot.distance_mm / 1000:.2f} m, from where the {what} does not fit into the picture",
            f"about {math.ceil(shot.distance_mm * beyond / 50) / 20:.2f} m with this lens",
            "step back, or put the references nearer",
        )


def _beyond(shot: PlannedShot, camera: Camera, size: tuple[int, int], settings: PlanSettings) -> tuple[str, float]:
    """What lies furthest out in the picture, and how far: 1 is the picture's border less its margin."""
    margin = settings.margin_px * math.hypot(*size) / math.hypot(*settings.size_px)
    half = (np.array(size) - 1) / 2
    things = [("opening", _corners(shot)), *((f"reference {n}", c.corners()) for n, c in enumerate(shot.cards, 1))]
    return max(
        ((what, float(np.max(np.abs(camera.project(at) - half) / (half - margin)))) for what, at in things), key=lambda t: t[1]
    )


def far_enough(shot: PlannedShot, settings: Settings) -> PlannedShot:
    """The shot taken by hand from its distance, or from as much further back as it takes for everything to be in the picture."""
    shot = replace(shot, camera=None, size_px=None)
    for _ in range(MOST_STEPS_BACK):
        size, camera = picture_size(shot, settings.plan), camera_of(shot, settings)
        beyond = _beyond(shot, camera, size, settings.plan)[1]
        if beyond <= 1:
            break
        shot = replace(shot, distance_mm=shot.distance_mm * min(1.02 * beyond, 1.5))
    return shot


def _corners(shot: PlannedShot) -> Array:
    w, h = shot.width_mm, shot.height_mm
    return np.array([(0, 0, 0), (w, 0, 0), (w, h, 0), (0, h, 0)], dtype=np.float64)


def _seen(shot: PlannedShot, camera: Camera, size: tuple[int, int], settings: Settings) -> tuple[SeenPhoto, Demands]:
    """The records that the photo would give, without noise."""
    prior = camera_prior(*size, shot.focal_35mm, settings.camera)
    corners = _corners(shot)
    px = camera.project(corners)
    names = [n for n in OUTLINE_CORNERS if shot.has_head or n != "head"]
    sd, bias = settings.plan.point_sd_px, settings.edges.bias_sd_px
    scale = math.hypot(*size) / settings.camera.reference_diagonal_px
    easing = settings.edges.eased_px * scale
    outline = {n: eased(_edge(camera, corners[list(OUTLINE_CORNERS[n])], TRIM, sd, bias), easing) for n in names}
    look = Look(1, "plan", *size, scale, prior, px, {}, (), ())
    cards = tuple(_card(number, card, camera, settings) for number, card in enumerate(shot.cards, 1))
    plumb: tuple[tuple[Array, EdgePoints], ...] = ()
    if shot.plumb_line:
        x = shot.plumb_share * shot.width_mm
        line = np.array([(x, share * shot.height_mm, 0.0) for share in PLUMB_ENDS])
        plumb = ((camera.project(line), _edge(camera, line, 0.0, sd, bias)),)
    view = view_of_rectangle(px, prior, has_head=shot.has_head)
    facts = CardFacts(tuple(c.spec for c in cards), None)
    height = None if shot.has_head else shot.height_mm
    demands = Demands(facts, shot.has_head, height, {}, (), shot.control_scale_sd)
    return SeenPhoto(look, view, px, outline, plumb, cards), demands


def _card(number: int, card: PlannedCard, camera: Camera, settings: Settings) -> SeenCard:
    corners, kind = card.corners(), card.spec.kind
    px, sides = camera.project(corners), []
    for i, j in SIDE_CORNERS:
        side_mm, side_px = (float(np.linalg.norm(at[j] - at[i])) for at in (corners, px))
        clear = (1.15 * kind.corner_radius_mm + CORNER_CLEAR_MM) / side_mm
        hidden = settings.plan.hidden_share * kind.thickness_mm * side_px / side_mm
        bias = math.hypot(settings.edges.bias_sd_px, hidden)
        side = _edge(camera, corners[[i, j]], clear, settings.plan.point_sd_px, bias)
        sides.append(_alike(side, *alike_px(kind, side_px / side_mm, settings.plan)))
    none = Strip(False, 0, np.zeros(0, dtype=np.int64), np.zeros((0, 1, 3), dtype=np.uint8))
    look = CardLook(CardCandidate(px, True, kind, card.turned), (none, none, none, none))
    return SeenCard(number, 1, look, card.spec, px, tuple(sides))


def alike_px(kind: CardKind, px_per_mm: float, settings: PlanSettings) -> tuple[float, float]:
    """Sds (px) of what all sides of all cards of a kind have in common: by light and wear, and by the phone's tones.

    Our own print is measured at the borders of its ring, which tell of the tones.
    """
    if kind.target is not None:
        return ink_alike_px(px_per_mm), 0.0
    paper = kind.thickness_mm * px_per_mm < PAPER_PX
    return settings.paper_alike_px if paper else settings.alike_px, settings.tone_px


def _alike(side: EdgePoints, alike: float, tone: float) -> EdgePoints:
    """A side with what it has in common with the others."""
    return replace(
        side, bias_sd_px=math.hypot(side.bias_sd_px, alike, tone), common_px=alike, tone_px=tone, sag_sd_px=side.bias_sd_px
    )


def _edge(camera: Camera, ends: Array, trim: float, sd: float, bias: float) -> EdgePoints:
    """Exact points of an imaged straight edge between two world points (2, 3), a share `trim` left out at either end."""
    a, b = camera.project(ends)
    lines = float(np.abs(b - a).max()) * (1 - 2 * trim)
    n = int(np.clip(lines // BLOCK_LINES, FEWEST, MOST))
    along = np.linspace(-1 + 2 * trim, 1 - 2 * trim, 2 * n + 1)[1::2]
    fine = np.linspace(0, 1, 201)
    curve = camera.project(ends[0] + fine[:, None] * (ends[1] - ends[0]))
    axis = int(np.argmax(np.abs(b - a)))
    share = 2 * (curve[:, axis] - curve[0, axis]) / (curve[-1, axis] - curve[0, axis]) - 1
    points = np.stack([np.interp(along, share, curve[:, k]) for k in range(2)], axis=1)
    return EdgePoints(points, np.full(n, sd), along, bias, 1.0, 0.2, 0.0, 1.0, np.array([0.2, 0.0, 0.0]))
