"""Scenes drawn: everything that the adjustment takes as known only within limits is drawn from the priors of settings.

Focal length, principal point, lens, card sizes (shared within a kind, and between the cards of one print), common and own
offsets, the step between the walls' faces, bow, the plumb line's own slope, shifts of both ends and sag of every imaged edge,
what light and tones do to all sides of cards alike, and the noise of each point.
"""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np

from tests.benchmarks.edge_truth import (
    HEIGHT_PX,
    LAYOUTS,
    SETTINGS,
    WIDTH_PX,
    Array,
    Draws,
    Place,
    Scene,
    TrueCamera,
    TrueCard,
    TrueOpening,
    flat,
)
from vision.geometry.camera import CameraPrior
from vision.geometry.cards import CardCandidate, CardFacts, CardSpec
from vision.geometry.edges import EdgePoints
from vision.geometry.look import CardLook, Look
from vision.geometry.plan import alike_px
from vision.geometry.seen import Demands, SeenCard, SeenPhoto
from vision.geometry.side_views import outward_normal
from vision.geometry.start import view_of_rectangle
from vision.settings import CARD_KINDS

TAPE_SHARE = 0.000458
"""relative sd that control lengths take over from the tape (1/32 in over 2 m, rectangular: 1/32 in / sqrt(3) / 2 m, twice)"""
CONTROL_SD_MM = 0.3
HIDDEN_SHARE = 0.25
"""px per px of a card's thickness as seen; what a fitted side states for shadows, a dark card's on a common wall"""


def draw(layout: str, rng: Draws) -> Scene:
    """One scene; drawn again until everything is inside the picture."""
    while True:
        opening = _draw_opening(rng)
        scene = scene_of(layout, opening, draw_camera(opening, rng), rng)
        outline = [opening.line(n, np.linspace(0, 1, 5)) for n in ("left", "right")]
        seen = scene.camera.project(np.vstack([*outline, *(c.corners() for c in scene.cards)]))
        if seen.min() > 60 and np.all(seen.max(axis=0) < [WIDTH_PX - 60, HEIGHT_PX - 60]):
            return scene


def scene_of(layout: str, opening: TrueOpening, camera: TrueCamera, rng: Draws) -> Scene:
    """This opening seen by this camera, with cards as the layout says."""
    cards = _draw_cards(LAYOUTS[layout], opening, rng)
    facts = CardFacts(tuple(c.spec for c in cards), None)
    return Scene(opening, camera, cards, observe(opening, camera, cards, rng), Demands(facts, True, None, {}, (), TAPE_SHARE))


def _draw_opening(rng: Draws) -> TrueOpening:
    """Sizes and leans of the trade; the bow from its prior."""
    bow = SETTINGS.edges.bow_sd_mm
    return TrueOpening(
        width=rng.uniform(1150, 1550),
        left_slope=rng.normal(0, 0.002),
        left_bow=rng.normal(0, bow),
        right_slope=rng.normal(0, 0.002),
        right_bow=rng.normal(0, bow),
        height=rng.uniform(1850, 2050),
        head_slope=rng.normal(0, 0.002),
        gravity=rng.normal(0, 0.002),
        step=rng.normal(0, SETTINGS.depth.arris_step_sd_mm),
    )


def draw_camera(opening: TrueOpening, rng: Draws) -> TrueCamera:
    """A phone held by hand about straight on, its inner part from the prior."""
    known = SETTINGS.camera
    f0 = 26.0 * math.hypot(WIDTH_PX, HEIGHT_PX) / math.hypot(36, 24)
    f = f0 * math.exp(rng.normal(0, known.focal_sd_with_metadata))
    unit = math.hypot(WIDTH_PX, HEIGHT_PX) / known.reference_diagonal_px
    cx, cy = ((n - 1) / 2 + rng.normal(0, known.principal_point_sd_px * unit) for n in (WIDTH_PX, HEIGHT_PX))
    place = np.array([opening.width / 2 + rng.uniform(-300, 300), rng.uniform(900, 1500), rng.uniform(2300, 2900)])
    aim = np.array([opening.width / 2 + rng.uniform(-80, 80), opening.height / 2 + rng.uniform(-80, 80), 0])
    forward = (aim - place) / np.linalg.norm(aim - place)
    right = np.cross(forward, [0, 1.0, 0])
    right /= np.linalg.norm(right)
    R = np.stack([right, np.cross(forward, right), forward])
    R = cv2.Rodrigues(np.array([0, 0, rng.normal(0, 0.02)]))[0] @ R
    K = np.array([[f, 0, cx], [0, f, cy], [0, 0, 1]])
    distortion = np.array([rng.normal(0, known.k1_sd), rng.normal(0, known.k2_sd), 0, 0])
    return TrueCamera(np.asarray(cv2.Rodrigues(R)[0]), -R @ place, K, distortion)


def _draw_cards(places: tuple[Place, ...], opening: TrueOpening, rng: Draws) -> tuple[TrueCard, ...]:
    """Cards beside the walls: sizes shared within an unmeasured kind, one common offset, one own offset each."""
    limits, tape = SETTINGS.cards, float(rng.standard_normal())
    common = rng.normal(0, limits.offset_common_sd_mm)
    kinds = dict.fromkeys(
        ("a4", "letter", "id-1", *(place.kind for place in places))
    )  # the draws do not change with the catalogue
    shared = {kind: rng.standard_normal(2) for kind in kinds}
    cards, printed = [], {place.kind: rng.standard_normal(2) for place in places if CARD_KINDS[place.kind].control_mm}
    for number, place in enumerate(places, 1):
        kind = CARD_KINDS[place.kind]
        nominal = np.array([kind.width_mm, kind.height_mm])
        together = not place.measured or place.kind in printed
        excess = shared[kind.name] if together else rng.standard_normal(2)
        if not place.measured and kind.own_size_share:
            own = kind.own_size_share
            excess = np.sqrt(1 - own) * excess + np.sqrt(own) * rng.standard_normal(2)
        size = nominal + excess * [kind.width_sd_mm, kind.height_sd_mm]
        spec = CardSpec(kind, number)
        if place.measured:
            sd = CONTROL_SD_MM * (max(nominal / kind.control_mm) if kind.control_mm else 1.0)
            share = TAPE_SHARE * nominal
            off = printed[kind.name] if together else rng.standard_normal(2)
            read = size + share * tape + off * np.sqrt(sd**2 - share**2)
            spec = CardSpec(kind, None if together else number, None, None, (float(read[0]), float(read[1])), sd)
        half = kind.width_mm / 2
        x = -half - 40 if place.side < 0 else opening.width + half + 40
        centre = (x + rng.uniform(-25, 25), place.height_share * opening.height + rng.uniform(-25, 25))
        face = -place.side * opening.step / 2
        depth = -kind.thickness_mm + common + rng.normal(0, limits.offset_own_sd_mm) - face
        cards.append(TrueCard(kind, centre, rng.normal(0, 0.02), (float(size[0]), float(size[1])), depth, spec))
    return tuple(cards)


def observe(opening: TrueOpening, camera: TrueCamera, cards: tuple[TrueCard, ...], rng: Draws) -> SeenPhoto:
    """What a photo of this would give: points along every edge, biased and noisy, and rough corners to start from."""
    known, bias = SETTINGS.camera, SETTINGS.edges.bias_sd_px
    diagonal = math.hypot(WIDTH_PX, HEIGHT_PX)
    prior = CameraPrior(
        26.0 * diagonal / math.hypot(36, 24), known.focal_sd_with_metadata, (WIDTH_PX - 1) / 2, (HEIGHT_PX - 1) / 2,
        known.principal_point_sd_px * diagonal / known.reference_diagonal_px, known.k1_sd, known.k2_sd, True,
    )  # fmt: skip
    fine = np.linspace(0, 1, 401)
    outline = {n: points(camera.project(opening.line(n, fine)), 0.02, bias, rng) for n in ("left", "right", "curb", "head")}
    ends = np.array([[0, 0, 0], [opening.width, 0, 0], opening.top("right"), opening.top("left")])
    corners = camera.project(ends) + rng.normal(0, 1.0, (4, 2))
    look = Look(
        number=1,
        name="scene",
        width=WIDTH_PX,
        height=HEIGHT_PX,
        scale=1.0,
        prior=prior,
        corners_px=corners,
        outline={},
        cards=(),
        plumb=(),
    )
    alike = rng.standard_normal(2)
    seen = tuple(_observe_card(number, card, camera, alike, rng) for number, card in enumerate(cards, 1))
    slope = opening.gravity + rng.normal(0, SETTINGS.cues.plumb_line_sd_mm_per_m / 1000)
    y = np.linspace(0.9, 0.1, 401) * opening.height
    line = camera.project(flat(rng.uniform(0.3, 0.7) * opening.width + slope * y, y))
    rough = line[[0, -1]] + rng.uniform(-3, 3, (2, 2))
    plumb = ((rough, points(line, 0.0, bias, rng)),)
    view = view_of_rectangle(corners, prior, has_head=True)
    return SeenPhoto(look=look, view=view, corners_px=corners, outline=outline, plumb=plumb, cards=seen)


def _observe_card(number: int, card: TrueCard, camera: TrueCamera, alike: Array, rng: Draws) -> SeenCard:
    """`alike` (2,): how light and wear, and the photo's tones, make all its cards larger, in sds of each."""
    corners = card.corners()
    px_per_mm = float(camera.K[0, 0]) / abs(float((cv2.Rodrigues(camera.rvec)[0].T @ camera.tvec)[2]))
    bias = math.hypot(SETTINGS.edges.bias_sd_px, HIDDEN_SHARE * card.kind.thickness_mm * px_per_mm)
    common, tone = alike_px(card.kind, px_per_mm, SETTINGS.plan)
    outward = float(alike @ [common, tone])
    sides = []
    at = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) / 1.0
    for i, j in ((0, 1), (1, 2), (3, 2), (0, 3)):
        t = np.linspace(0, 1, 101)[:, None]
        clear = (card.kind.corner_radius_mm * 1.15 + 2.0) / float(np.linalg.norm(corners[j] - corners[i]))
        side = points(camera.project(card.points(at[i] * (1 - t) + at[j] * t)), clear, bias, rng)
        moved = side.points_px + outward * outward_normal(side.points_px[[0, -1]], camera.project(corners).mean(axis=0))
        total = math.hypot(bias, common, tone)
        sides.append(replace(side, points_px=moved, bias_sd_px=total, common_px=common, tone_px=tone, sag_sd_px=bias))
    px = camera.project(corners) + rng.normal(0, 0.3, (4, 2))
    look = CardLook(CardCandidate(px, False, card.kind, False), ())  # type: ignore[arg-type]  # no pixels here, so no strips
    alone = card.spec.size_mm is not None and card.spec.number is not None
    return SeenCard(number=number, photo=1, look=look, spec=card.spec, corners_px=px, sides=tuple(sides), alone=alone)


def points(polyline: Array, trim: float, bias: float, rng: Draws) -> EdgePoints:
    """Points on an imaged edge, one per dozen scan lines, moved along the normal by bias and noise."""
    chord = polyline[-1] - polyline[0]
    axis = int(np.argmax(np.abs(chord)))
    scan = polyline[:, axis]
    along = 2 * (scan - scan[0]) / (scan[-1] - scan[0]) - 1
    n = int(np.clip(abs(chord[axis]) * (1 - 2 * trim) // 12, 4, 60))
    s = np.linspace(-1 + 2 * trim, 1 - 2 * trim, 2 * n + 1)[1::2]
    at = np.stack([np.interp(s, along, polyline[:, k]) for k in range(2)], axis=1)
    normal = np.array([-chord[1], chord[0]]) / np.linalg.norm(chord)
    sd = np.full(n, rng.uniform(0.02, 0.06))
    ends_and_sag = rng.normal(0, bias, 3)
    off = np.stack([(1 - s) / 2, (1 + s) / 2, 1 - s * s], axis=1) @ ends_and_sag + rng.normal(0, sd)
    return EdgePoints(at + off[:, None] * normal, sd, s, bias, 1.0, 0.2, 0.0, 1.0, np.array([0.2, 0.0, 0.0]))
