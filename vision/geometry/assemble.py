"""From observed edges to a problem with a start: which cards take part, how they share errors, and a first state."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from vision.geometry.adjustment import EdgeObservation, Prior, Problem, camera_priors, nuisance_priors, opening_priors
from vision.geometry.camera import CameraPrior
from vision.geometry.cards import CardFacts, CardSpec
from vision.geometry.edges import EdgePoints
from vision.geometry.look import CardLook, Look
from vision.geometry.model import CardModel, G, Layout, Nominal, State
from vision.geometry.start import PlaneView
from vision.settings import Settings

Array = NDArray[np.float64]
SAME_CARD_MM = 40.0
"""mm; the same kind this close in two photos is one card (two cards cannot overlap)"""


@dataclass
class SeenCard:
    """One card of one photo on its way through the measurement."""

    number: int
    photo: int
    look: CardLook
    spec: CardSpec
    corners_px: Array
    sides: list[EdgePoints | None] = field(default_factory=list)
    inside: bool = False
    used: bool = True
    why: str = ""
    model: int = -1
    alone: bool = False

    @property
    def offset_mm(self) -> float:
        """Depth behind the opening plane as stated, else that of a card lying on it."""
        return -self.spec.kind.thickness_mm if self.spec.offset_mm is None else self.spec.offset_mm

    def offset_sd_mm(self, settings: Settings) -> float:
        """sd of the offset that all cards stated alike share."""
        return self.spec.offset_sd_mm if self.spec.offset_sd_mm is not None else settings.cards.offset_common_sd_mm

    def model_of(self, size_group: int, offset_group: int, settings: Settings) -> CardModel:
        """The fixed facts of this card for the adjustment."""
        candidate = self.look.candidate
        return CardModel(self.spec.kind, candidate.turned, size_group, offset_group, self.offset_mm, self.offset_sd_mm(settings))


@dataclass
class SeenPhoto:
    """One usable photo: its look, first view, refined corners (4, 2) px and outline points."""

    look: Look
    view: PlaneView
    corners_px: Array
    outline: dict[str, EdgePoints]
    plumb: list[tuple[Array, EdgePoints]]
    cards: list[SeenCard]


@dataclass(frozen=True)
class Demands:
    """What the user states beside the photos; lengths in mm, `control_scale_sd` relative (the tape's share in control lengths)."""

    cards: CardFacts
    has_head: bool
    height_mm: float | None
    at_mm: dict[str, float]
    level_cards: tuple[int, ...]
    control_scale_sd: float
    """0 where another tape measured the control lengths"""


def squared_to_curb(photo: SeenPhoto, has_head: bool) -> tuple[Array, Array]:
    """Rotation world to camera with x along the curb, and the corners (4, 2) in the photo's unit."""
    plane = photo.view.on_plane(photo.corners_px)
    d = plane[1] - plane[0]
    c, s = d / np.linalg.norm(d)
    turn = np.array([[c, s], [-s, c]])
    R = photo.view.R.copy()
    R[:, :2] = photo.view.R[:, :2] @ turn.T
    del has_head
    return R, plane @ turn.T


def card_scale(card: SeenCard, view: PlaneView) -> float:
    """mm per unit of the view that this card implies."""
    plane = view.on_plane(card.corners_px)
    s = np.linalg.norm(np.roll(plane, -1, axis=0) - plane, axis=1)
    w, h = card.spec.size_mm or (card.spec.kind.width_mm, card.spec.kind.height_mm)
    return math.sqrt(w * h / max(float((s[0] + s[2]) * (s[1] + s[3]) / 4), 1e-18))


@dataclass(frozen=True)
class Assembly:
    """A problem with its start."""

    problem: Problem
    start: State
    camera_priors: tuple[CameraPrior, ...]
    observations: tuple[EdgeObservation, ...]
    nominal: Nominal


def assemble(
    photos: Sequence[SeenPhoto], demands: Demands, settings: Settings, *, start: State | None = None, nominal: Nominal | None = None,
    priors: Sequence[CameraPrior] | None = None,
) -> Assembly:  # fmt: skip
    """Observations, priors and a start for all photos together; a given start (of an earlier pass) is kept."""
    cameras = tuple(priors or (p.look.prior for p in photos))
    plumb_lines = sum(len(p.plumb) for p in photos)
    if start is None or nominal is None:
        start, nominal = first_state(photos, demands, settings, plumb_lines)
    observations = _observations(photos, start)
    layout = Layout(nominal, len(photos), len(observations))
    state = State(
        start.cameras, start.opening, start.cards, start.sizes, start.offsets, start.plumb, start.tape, np.zeros((len(observations), 3))
    )
    prior = [
        *opening_priors(layout, nominal, settings.edges.bow_sd_mm),
        *camera_priors(layout, cameras),
        *_card_priors(layout, nominal, photos, demands, settings),
        *_vertical_priors(layout, photos, demands, settings),
        *nuisance_priors(layout, observations),
    ]
    return Assembly(Problem(nominal, observations, prior, layout), state, cameras, tuple(observations), nominal)


def _observations(photos: Sequence[SeenPhoto], state: State) -> list[EdgeObservation]:
    out, plumb = [], 0
    H, W = float(state.opening[5]), float(state.opening[0])
    for i, photo in enumerate(photos):
        for name, points in photo.outline.items():
            ends = (0.0, H) if name in ("left", "right") else (0.0, W)
            out.append(EdgeObservation((name, 0, 0), i, points, ends))
        for card in photo.cards:
            if card.used:
                out += [EdgeObservation(("card", card.model, k), i, s, (-1.0, 1.0)) for k, s in enumerate(card.sides) if s is not None]
        for _, points in photo.plumb:
            out.append(EdgeObservation(("plumb", plumb, 0), i, points, (0.9 * H, 0.1 * H)))
            plumb += 1
    return out


def first_state(photos: Sequence[SeenPhoto], demands: Demands, settings: Settings, plumb_lines: int) -> tuple[State, Nominal]:
    """Everything in mm from the first views; gives each used card its place in the model."""
    scale = _first_scale(photos)
    R, plane = squared_to_curb(photos[0], demands.has_head)
    plane = plane * scale
    bl, br, tr, tl = plane
    width = float(br[0])
    head_slope = float((tr[1] - tl[1]) / (tr[0] - tl[0])) if demands.has_head else 0.0
    height = float(tl[1] - head_slope * tl[0]) if demands.has_head else (demands.height_mm or float(min(tl[1], tr[1])))
    opening = np.array([width, tl[0] / tl[1], 0.0, (tr[0] - width) / tr[1], 0.0, height, head_slope, 0.0])
    cameras, models, rows = [], [], []
    size_groups: dict[object, int] = {}
    offset_groups: dict[object, int] = {}
    for i, photo in enumerate(photos):
        R, own = squared_to_curb(photo, demands.has_head)
        unit = width / float(own[1, 0])
        cameras.append(PlaneView(R, photo.view.origin, photo.view.camera).scaled(unit))
        for card in (c for c in photo.cards if c.used):
            at = PlaneView(R, photo.view.origin, photo.view.camera).on_plane(card.corners_px) * unit
            centre, d = at.mean(axis=0), (at[1] + at[2] - at[0] - at[3]) / 2
            card.model = _same_card(card, centre, models, rows)
            if card.model < 0:
                card.model = len(models)
                size = size_groups.setdefault((card.spec.kind.name, card.number if card.alone else 0), len(size_groups))
                offset = offset_groups.setdefault((i, card.offset_mm + card.spec.kind.thickness_mm * (card.spec.offset_mm is None),
                                                   card.offset_sd_mm(settings)), len(offset_groups))  # fmt: skip
                models.append(card.model_of(size, offset, settings))
                rows.append([centre[0], centre[1], math.atan2(d[1], d[0]), 0.0])
    gravity = plumb_lines > 0 or any(c.used and c.number in demands.level_cards for p in photos for c in p.cards)
    plumb = []
    for photo in photos:
        R, own = squared_to_curb(photo, demands.has_head)
        for line, _ in photo.plumb:
            at = PlaneView(R, photo.view.origin, photo.view.camera).on_plane(line) * (width / float(own[1, 0]))
            slope = float((at[0, 0] - at[1, 0]) / (at[0, 1] - at[1, 1]))
            plumb.append([float(at[1, 0] - slope * at[1, 1]), slope])
    opening[G] = float(np.mean([p[1] for p in plumb])) if plumb else 0.0
    nominal = Nominal(tuple(models), len(size_groups), len(offset_groups), plumb_lines, demands.has_head, height, gravity)
    state = State(
        tuple(cameras), opening, np.array(rows, dtype=np.float64).reshape(-1, 4), np.zeros((len(size_groups), 2)),
        np.zeros(len(offset_groups)), np.array(plumb, dtype=np.float64).reshape(-1, 2), 0.0, np.zeros((0, 3)),
    )  # fmt: skip
    return state, nominal


def _first_scale(photos: Sequence[SeenPhoto]) -> float:
    """Median over the cards of the first photo that has any, brought to the first photo's unit."""
    first = float(squared_to_curb(photos[0], True)[1][1, 0])
    for photo in photos:
        scales = [card_scale(c, photo.view) for c in photo.cards if c.used]
        if scales:
            own = float(squared_to_curb(photo, True)[1][1, 0])
            return float(np.median(scales)) * own / first
    raise ValueError("no card carries the scale")


def _same_card(card: SeenCard, centre: Array, models: list[CardModel], rows: list[list[float]]) -> int:
    for k, (model, row) in enumerate(zip(models, rows, strict=True)):
        if model.kind.name == card.spec.kind.name and math.hypot(row[0] - centre[0], row[1] - centre[1]) < SAME_CARD_MM:
            return k
    return -1


def _card_priors(
    layout: Layout, nominal: Nominal, photos: Sequence[SeenPhoto], demands: Demands, settings: Settings
) -> list[Prior]:
    """Offsets and sizes of the cards, and the tape variable that measured control lengths share."""
    out = [Prior((layout.tape,), (1.0,), 0.0, 1.0, "tape")]
    done: set[tuple[str, int]] = set()
    for card in (c for p in photos for c in p.cards if c.used):
        model = nominal.cards[card.model]
        own = layout.cards[card.model].start + 3
        if ("own", card.model) not in done:
            out.append(Prior((own,), (1.0,), 0.0, settings.cards.offset_own_sd_mm, "card plane"))
        if ("offset", model.offset_group) not in done:
            out.append(Prior((layout.offsets[model.offset_group],), (1.0,), 0.0, model.offset_common_sd_mm, "card plane"))
        if ("size", model.size_group) not in done:
            at = layout.sizes[model.size_group].start
            out += [Prior((at,), (1.0,), 0.0, model.kind.width_sd_mm, "card size"), Prior((at + 1,), (1.0,), 0.0, model.kind.height_sd_mm, "card size")]
            if card.spec.size_mm is not None and card.spec.size_sd_mm is not None:
                nominals = (model.kind.width_mm, model.kind.height_mm)
                for k in range(2):
                    share = min(demands.control_scale_sd * nominals[k], 0.9 * card.spec.size_sd_mm)
                    sd = math.sqrt(card.spec.size_sd_mm**2 - share**2)
                    out.append(Prior((at + k, layout.tape), (1.0, share), card.spec.size_mm[k] - nominals[k], sd, "card size"))
        done |= {("own", card.model), ("offset", model.offset_group), ("size", model.size_group)}
    return out


def _vertical_priors(layout: Layout, photos: Sequence[SeenPhoto], demands: Demands, settings: Settings) -> list[Prior]:
    """Plumb lines hang along gravity, level cards lie square to it (slopes of first order in the curb's frame)."""
    gravity = layout.opening.start + G
    out = [Prior((s.start + 1, gravity), (1.0, -1.0), 0.0, settings.cues.plumb_line_sd_mm_per_m / 1000, "vertical") for s in layout.plumb]
    done = set()
    for card in (c for p in photos for c in p.cards if c.used and c.number in demands.level_cards):
        if card.model not in done:
            done.add(card.model)
            # a level card's bottom edge is square to gravity: its angle in the curb's frame is minus gravity's slope
            at = layout.cards[card.model].start + 2
            out.append(Prior((at, gravity), (1.0, 1.0), 0.0, settings.cues.level_card_sd_mm_per_m / 1000, "vertical"))
    return out
