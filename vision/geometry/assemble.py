"""From observed edges to a problem with a start: which cards take part, how they share errors, and a first state."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.adjustment import Problem
from vision.geometry.camera import Camera, CameraPrior
from vision.geometry.depth import depth_priors, step_share
from vision.geometry.line_model import LINE_PARAMETERS, LineModel
from vision.geometry.line_start import first_joint, first_line, line_observations, line_priors
from vision.geometry.model import H0, NUISANCES, W0, CardModel, G, Layout, Nominal, State
from vision.geometry.priors import EdgeObservation, Prior, camera_priors, nuisance_priors, opening_priors
from vision.geometry.seen import Demands, SeenCard, SeenPhoto, opening_width_by, squared_to_curb
from vision.geometry.verticals import kinds_of_vertical, vertical_priors
from vision.settings import CardKind, CardSettings, Settings

Array = NDArray[np.float64]
SAME_CARD_MM = 40.0
"""mm; the same kind this close in two photos is one card (two cards cannot overlap)"""


@dataclass(frozen=True)
class Assembly:
    """A problem with its start; `models` gives each used card's place in the model by its number."""

    problem: Problem
    start: State
    camera_priors: tuple[CameraPrior, ...]
    nominal: Nominal
    models: Mapping[int, int]

    @property
    def observations(self) -> tuple[EdgeObservation, ...]:
        """All imaged edges, in the order of the problem's rows."""
        return self.problem.observations


def assemble(
    photos: Sequence[SeenPhoto],
    demands: Demands,
    settings: Settings,
    *,
    priors: Sequence[CameraPrior] | None = None,
    before: tuple[State, Assembly] | None = None,
) -> Assembly:
    """Observations, priors and a start for all photos together; `before` (an adjusted state) is gone on from."""
    cameras = tuple(priors or (p.look.prior for p in photos))
    if before is None:
        start, nominal, models = first_state(photos, demands, settings)
    else:
        start, models = before[0], dict(before[1].models)
        nominal = replace(before[1].nominal, gravity=bool(kinds_of_vertical(photos, demands)))
    observations = _observations(photos, start, nominal, models)
    layout = Layout(nominal, len(photos), len(observations))
    state = replace(start, nuisance=np.zeros((len(observations), NUISANCES)), foot={})
    prior = [
        *opening_priors(layout, nominal, settings.edges.bow_sd_mm),
        *camera_priors(layout, cameras),
        *_card_priors(layout, nominal.cards, [(c, models[c.number]) for p in photos for c in p.used], demands, settings.cards),
        *depth_priors(layout, demands.door_line_mm, settings.depth),
        *line_priors(layout, photos, start.lines, settings),
        *vertical_priors(layout, photos, demands, models, state=start, settings=settings.cues),
        *nuisance_priors(layout, observations),
    ]
    held = [camera.R for camera in start.cameras]
    return Assembly(Problem(nominal, observations, prior, layout, held), state, cameras, nominal, models)


def _observations(
    photos: Sequence[SeenPhoto], state: State, nominal: Nominal, models: Mapping[int, int]
) -> list[EdgeObservation]:
    out: list[EdgeObservation] = []
    plumb = line = 0
    H, W = float(state.opening[H0]), float(state.opening[W0])
    for i, photo in enumerate(photos):
        for name, points in photo.outline.items():
            out.append(EdgeObservation((name, 0, 0), i, points, (0.0, H) if name in ("left", "right") else (0.0, W)))
        for card in photo.used:
            k = models[card.number]
            for side, points_of in enumerate(card.sides):
                if points_of is not None:
                    out.append(EdgeObservation(("card", k, side), i, points_of, (-1.0, 1.0)))
        for _, points in photo.plumb:
            out.append(EdgeObservation(("plumb", plumb, 0), i, points, (0.9 * H, 0.1 * H)))
            plumb += 1
        for seen in photo.lines:
            out += line_observations(seen, line, i, state.lines[line])
            line += 1
    return out


class _Model:
    """Collects the distinct cards of all photos, and which errors they share."""

    def __init__(self, settings: CardSettings, width_mm: float) -> None:
        self.settings, self.width_mm = settings, width_mm
        self.cards: list[CardModel] = []
        self.rows: list[list[float]] = []
        self.sizes: dict[object, int] = {}
        self.offsets: dict[object, int] = {}
        self.of_number: dict[int, int] = {}

    def add(self, card: SeenCard, photo: int, plane: Array) -> None:
        """One used card at these plane corners (4, 2) mm; the same kind at the same place is the same card."""
        centre, d = plane.mean(axis=0), (plane[1] + plane[2] - plane[0] - plane[3]) / 2
        for k, (model, row) in enumerate(zip(self.cards, self.rows, strict=True)):
            if model.kind.name == card.spec.kind.name and math.hypot(row[0] - centre[0], row[1] - centre[1]) < SAME_CARD_MM:
                self.of_number[card.number] = k
                return
        own = card.alone or _has_own_size(card)
        size = self.sizes.setdefault((card.spec.kind.name, card.number if own else 0), len(self.sizes))
        sd = card.offset_sd_mm(self.settings)
        stated = (photo, card.spec.offset_mm, sd)
        offset = self.offsets.setdefault(stated, len(self.offsets))
        self.of_number[card.number] = len(self.cards)
        side = step_share(float(centre[0]), self.width_mm, card.inside)
        self.cards.append(CardModel(card.spec.kind, card.look.candidate.turned, size, offset, card.offset_mm, sd, side))
        self.rows.append([float(centre[0]), float(centre[1]), math.atan2(d[1], d[0]), 0.0])


def first_state(photos: Sequence[SeenPhoto], demands: Demands, settings: Settings) -> tuple[State, Nominal, dict[int, int]]:
    """Everything in mm from the first views; each used card gets its place in the model."""
    width = float(np.median([opening_width_by(c, p) for p in photos for c in p.used]))
    opening = _first_opening(photos[0], width, demands)
    model, cameras, plumb = _Model(settings.cards, width), [], []
    lines: list[Array] = []
    for i, photo in enumerate(photos):
        view, own = squared_to_curb(photo)
        unit = width / float(own[1, 0])
        cameras.append(view.scaled(unit))
        for card in photo.used:
            model.add(card, i, view.on_plane(card.corners_px) * unit)
        for line, _ in photo.plumb:
            at = view.on_plane(line) * unit
            slope = float((at[0, 0] - at[1, 0]) / (at[0, 1] - at[1, 1]))
            plumb.append([float(at[1, 0] - slope * at[1, 1]), slope])
        lines += _first_lines(photo, view.scaled(unit), unit, width, settings)
    opening[G] = float(np.mean([p[1] for p in plumb])) if plumb else 0.0
    nominal = Nominal(
        tuple(model.cards),
        len(model.sizes),
        len(model.offsets),
        len(plumb),
        demands.has_head,
        float(opening[H0]),
        bool(kinds_of_vertical(photos, demands)),
        tuple(LineModel(line.facts.lying, line.facts.side) for p in photos for line in p.lines),
    )
    state = State(
        tuple(cameras),
        opening,
        np.array(model.rows).reshape(-1, 4),
        np.zeros((len(model.sizes), 2)),
        np.zeros(len(model.offsets)),
        np.array(plumb, dtype=np.float64).reshape(-1, 2),
        0.0,
        np.zeros((0, 3)),
        lines=np.array(lines, dtype=np.float64).reshape(-1, len(LINE_PARAMETERS)),
    )
    return state, nominal, model.of_number


def _first_lines(photo: SeenPhoto, camera: Camera, unit: float, width: float, settings: Settings) -> list[Array]:
    """Where the lines of one photo start, mm."""
    view, out = squared_to_curb(photo)[0], []
    eye = -camera.R.T @ camera.t
    for line in photo.lines:
        plane = view.on_plane(line.facts.ends_px) * unit
        foot = 0.0 if line.facts.side == "left" else width
        out.append(first_joint(plane, eye, foot) if line.facts.side else first_line(line, plane, settings.cues))
    return out


def _first_opening(photo: SeenPhoto, width: float, demands: Demands) -> Array:
    """The opening's parameters from the refined corners, with this width at the curb."""
    _, plane = squared_to_curb(photo)
    _, _, tr, tl = plane * (width / float(plane[1, 0]))
    slope = float((tr[1] - tl[1]) / (tr[0] - tl[0])) if demands.has_head else 0.0
    height = float(tl[1] - slope * tl[0]) if demands.has_head else (demands.height_mm or float(min(tl[1], tr[1])))
    deep = demands.door_line_mm[0] if demands.door_line_mm else 0.0
    in_plane = [width, tl[0] / tl[1], 0.0, (tr[0] - width) / tr[1], 0.0, height, slope, 0.0]
    return np.array([*in_plane, 0.0, deep, 0.0, 0.0, 0.0])


def _card_priors(
    layout: Layout, cards: tuple[CardModel, ...], used: Sequence[tuple[SeenCard, int]], demands: Demands, settings: CardSettings
) -> list[Prior]:
    """Offsets and sizes of the cards, and the tape variable that measured control lengths share."""
    out = [Prior((layout.tape,), (1.0,), 0.0, 1.0, "tape")]
    doubted = [max((c.doubted_mm for c, at in used if at == k), default=0.0) for k in range(len(layout.cards))]
    own = [math.hypot(settings.offset_own_sd_mm, mm) for mm in doubted]
    out += [Prior((s.start + 3,), (1.0,), 0.0, sd, "card plane") for s, sd in zip(layout.cards, own, strict=True)]
    done: set[tuple[str, int]] = set()
    alike: dict[CardKind, list[int]] = {}
    for card, place in used:
        model = cards[place]
        if ("offset", model.offset_group) not in done:
            out.append(Prior((layout.offsets[model.offset_group],), (1.0,), 0.0, model.offset_common_sd_mm, "card plane"))
        at = layout.sizes[model.size_group].start
        if ("size", model.size_group) not in done and _has_own_size(card):
            alike.setdefault(card.spec.kind, []).append(at)
        elif ("size", model.size_group) not in done:
            out += _size_priors(at, layout.tape, card, demands.control_scale_sd)
        done |= {("offset", model.offset_group), ("size", model.size_group)}
    return out + [prior for kind, places in alike.items() for prior in _alike_priors(places, kind)]


def _has_own_size(card: SeenCard) -> bool:
    """Whether this unmeasured card has a part of its size error of its own, beside what its kind shares."""
    return card.spec.size_mm is None and card.spec.kind.own_size_share > 0


def _alike_priors(places: Sequence[int], kind: CardKind) -> list[Prior]:
    """The standard's tolerance on both sides of unmeasured cards of one kind: a part common to them, the rest each one's own."""
    n, own = len(places), kind.own_size_share
    correlation = own * np.eye(n) + (1 - own) * np.ones((n, n))
    whitening = np.linalg.inv(np.linalg.cholesky(correlation))
    return [
        Prior(tuple(at + k for at in places), tuple(float(w) / sd for w in row), 0.0, 1.0, "card size")
        for k, sd in enumerate((kind.width_sd_mm, kind.height_sd_mm))
        for row in whitening
    ]


def _size_priors(at: int, tape: int, card: SeenCard, control_scale_sd: float) -> list[Prior]:
    """The standard's tolerance on both sides, and the measured lengths beside it (they are combined, not replaced)."""
    kind, spec = card.spec.kind, card.spec
    out = [
        Prior((at,), (1.0,), 0.0, kind.width_sd_mm, "card size"),
        Prior((at + 1,), (1.0,), 0.0, kind.height_sd_mm, "card size"),
    ]
    if spec.size_mm is not None and spec.size_sd_mm is not None:
        for k, nominal in enumerate((kind.width_mm, kind.height_mm)):
            share = min(control_scale_sd * nominal, 0.9 * spec.size_sd_mm)
            sd = math.sqrt(spec.size_sd_mm**2 - share**2)
            out.append(Prior((at + k, tape), (1.0, share), spec.size_mm[k] - nominal, sd, "card size"))
    return out


def without_camera_motion(camera: Camera) -> Camera:
    """The camera's inner part alone, at the origin."""
    return Camera(np.eye(3), np.zeros(3), camera.f, camera.cx, camera.cy, camera.k1, camera.k2)
