"""Are the stated uncertainties honest: scenes at the level of edge observations, drawn from the very priors of settings.

Run by hand:  python -m tests.benchmarks.edge_scenes [--scenes 200] [--layout NAME]

The side of the truth is written here again and projects with cv2.projectPoints; of ours it uses the settings and the records
that carry observations. Everything that the adjustment takes as known only within limits is drawn from that prior: focal length,
principal point, lens, card sizes (shared within a kind), common and own offsets, the step between the walls' faces, bow, the
plumb line's own slope, shifts of both ends and sag of every imaged edge, and the noise of each point.

Columns, for each quantity of a layout:
    u          mean stated standard deviation (mm or mm/m)
    rms        root mean square error
    u/rms      within 0.8 to 1.5, or outside: said of each, and counted at the end
    bias/rms   mean error over rms; its own sd is 1 over the root of the scenes
    95 %       share of scenes whose 95 % interval holds the truth
and for each layout the mean of the squared whitened error over the number of quantities (1 where the covariance is right).
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Protocol

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure
from vision.gaussian import Gaussian
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly, assemble
from vision.geometry.camera import CameraPrior
from vision.geometry.cards import CardCandidate, CardFacts, CardSpec
from vision.geometry.consistency import ODD_CARD, card_scale_scores, require_one_tilt
from vision.geometry.edges import EdgePoints
from vision.geometry.look import CardLook, Look
from vision.geometry.seen import Demands, SeenCard, SeenPhoto
from vision.geometry.sizes import propagate, size_functions
from vision.geometry.start import view_of_rectangle
from vision.settings import CARD_KINDS, CardKind, Settings

Array = NDArray[np.float64]
SETTINGS = Settings()
WIDTH_PX, HEIGHT_PX = 3024, 4032
TAPE_SHARE = 0.000458
"""relative sd that control lengths take over from the tape (1/32 in over 2 m, rectangular: 1/32 in / sqrt(3) / 2 m, twice)"""
CONTROL_SD_MM = 0.3
HIDDEN_SHARE = 0.4
"""px per px of a card's thickness as seen; what a fitted side of a light card on a common wall states for shadows"""
INDEPENDENT = ("width_top", "width_middle", "width_bottom", "height_left", "height_right", "rack", "bow_left", "curb_level")
"""as many quantities as the opening has unknowns; the others follow from them"""
HONEST = (0.8, 1.5)
"""mean stated u over rms error that every layout and quantity must keep"""
NORMAL_95 = 1.959963984540054
"""half width of a 95 % interval in standard deviations"""


class Draws(Protocol):
    """What the scenes ask of a random generator."""

    def normal(self, loc: float = 0.0, scale: Any = 1.0, size: Any = None) -> Any: ...
    def standard_normal(self, size: Any = None) -> Any: ...
    def uniform(self, low: float = 0.0, high: float = 1.0, size: Any = None) -> Any: ...


class Nothing:
    """Draws the middle every time: a scene without noise, bias or any departure from what is known beforehand."""

    def normal(self, loc: float = 0.0, scale: Any = 1.0, size: Any = None) -> Any:
        return loc + np.zeros(np.shape(scale) if size is None else size)

    def standard_normal(self, size: Any = None) -> Any:
        return np.zeros(() if size is None else size)

    def uniform(self, low: float = 0.0, high: float = 1.0, size: Any = None) -> Any:
        return (low + high) / 2 + np.zeros(() if size is None else size)


@dataclass(frozen=True)
class Place:
    """Where a card is put, before jitter: at the left (-1) or right (1) wall, at this share of the height."""

    kind: str
    side: int
    height_share: float
    measured: bool = False


LAYOUTS: dict[str, tuple[Place, ...]] = {
    "1 id-1 beside": (Place("id-1", -1, 0.5),),
    "1 letter measured beside": (Place("letter", -1, 0.5, True),),
    "2 id-1 opposite corners": (Place("id-1", -1, 0.95), Place("id-1", 1, 0.05)),
    "4 id-1": tuple(Place("id-1", side, share) for side in (-1, 1) for share in (0.05, 0.95)),
    "2 letters measured opposite": (Place("letter", -1, 0.92, True), Place("letter", 1, 0.08, True)),
}


@dataclass(frozen=True)
class TrueOpening:
    """The opening in the frame of its curb (x along it, y up, mm); slopes in mm/mm, bows as x excess at half height."""

    width: float
    left_slope: float
    left_bow: float
    right_slope: float
    right_bow: float
    height: float
    head_slope: float
    gravity: float
    step: float = 0.0
    """mm; how much nearer to the camera the left wall's face stands than the right one's"""

    def wall(self, side: str, y: Array) -> Array:
        """Points (n, 3) of a wall at these heights."""
        foot, slope, bow = (
            (0.0, self.left_slope, self.left_bow) if side == "left" else (self.width, self.right_slope, self.right_bow)
        )
        tau = y / self.height
        out = _flat(foot + slope * y + 4 * bow * tau * (1 - tau), y)
        out[:, 2] = self.step / 2 if side == "left" else -self.step / 2
        return out

    def top(self, side: str) -> Array:
        """Where a wall meets the head, (3,)."""
        y = self.height
        for _ in range(8):
            y = self.height + self.head_slope * float(self.wall(side, np.array([y]))[0, 0])
        return np.asarray([*self.wall(side, np.array([y]))[0, :2], 0.0])

    def line(self, name: str, share: Array) -> Array:
        """Points (n, 3) at shares 0 to 1 of an edge of the outline."""
        if name in ("left", "right"):
            return self.wall(name, share * self.top(name)[1])
        if name == "curb":
            return _flat(share * self.width, 0 * share)
        a, b = self.top("left"), self.top("right")
        return np.asarray(a + share[:, None] * (b - a))

    def quantities(self, at_mm: dict[str, float]) -> dict[str, float]:
        """Everything that the adjustment may state, by the definitions of the contract."""
        tl, tr, bl, br = self.top("left"), self.top("right"), np.zeros(3), np.array([self.width, 0, 0])
        out = {n: float((self.wall("right", np.array([y])) - self.wall("left", np.array([y])))[0, 0]) for n, y in at_mm.items()}
        pairs = {"height_left": (bl, tl), "height_right": (br, tr), "diagonal_rising": (bl, tr), "diagonal_falling": (br, tl)}
        out |= {n: math.dist(p, q) for n, (p, q) in pairs.items()}
        out["width_over_height"] = 2 * out["width_middle"] / (out["height_left"] + out["height_right"])
        out["top_over_bottom_width"] = out["width_top"] / out["width_bottom"]
        out["left_over_right_height"] = out["height_left"] / out["height_right"]
        out |= {"bow_left": self.left_bow, "bow_right": -self.right_bow, "curb_level": 1000 * self.gravity}
        out["lean_left"] = 1000 * (self.left_slope - self.gravity)
        out["lean_right"] = -1000 * (self.right_slope - self.gravity)
        out["taper"] = 1000 * (self.right_slope - self.left_slope)
        out["rack"] = 500 * (self.right_slope + self.left_slope)
        out["curb_against_head"] = 1000 * self.head_slope
        y = np.linspace(0, self.height, 2001)
        free = [self.wall(s, y)[:, 0] - self.gravity * y for s in ("left", "right")]
        out["plumb_rectangle"] = float(free[1].min() - free[0].max()) / math.hypot(1, self.gravity)
        return out


def _flat(x: Array, y: Array) -> Array:
    return np.stack([x, y, np.zeros_like(x)], axis=1)


@dataclass(frozen=True)
class TrueCamera:
    """OpenCV's camera: rotation vector, translation (mm), K, and the two radial terms."""

    rvec: Array
    tvec: Array
    K: Array
    distortion: Array

    def project(self, X: Array) -> Array:
        """World points (n, 3) mm to pixels (n, 2), by OpenCV."""
        return np.asarray(cv2.projectPoints(np.ascontiguousarray(X), self.rvec, self.tvec, self.K, self.distortion)[0][:, 0, :])


@dataclass(frozen=True)
class TrueCard:
    """One card: centre (mm), angle (rad), true sides along its bottom and left edge, depth behind the plane, what is stated."""

    kind: CardKind
    centre: tuple[float, float]
    angle: float
    sides_mm: tuple[float, float]
    depth_mm: float
    spec: CardSpec

    def corners(self) -> Array:
        """Bottom-left, bottom-right, top-right, top-left, (4, 3)."""
        a, b = self.sides_mm
        local = np.array([(-a, -b), (a, -b), (a, b), (-a, b)]) / 2
        c, s = math.cos(self.angle), math.sin(self.angle)
        xy = local @ np.array([[c, s], [-s, c]]) + self.centre
        return np.column_stack([xy, np.full(4, -self.depth_mm)])


@dataclass(frozen=True)
class Scene:
    """The truth, what is seen of it, and what is stated beside it."""

    opening: TrueOpening
    camera: TrueCamera
    cards: tuple[TrueCard, ...]
    photo: SeenPhoto
    demands: Demands

    @property
    def at_mm(self) -> dict[str, float]:
        """Heights of the widths: the usual places, at the true height."""
        margin, height = SETTINGS.top_margin_mm, self.opening.height
        return {"width_top": height - margin, "width_middle": height / 2, "width_bottom": margin}


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
    cards = []
    for number, place in enumerate(places, 1):
        kind = CARD_KINDS[place.kind]
        nominal = np.array([kind.width_mm, kind.height_mm])
        excess = rng.standard_normal(2) if place.measured else shared[kind.name]
        size = nominal + excess * [kind.width_sd_mm, kind.height_sd_mm]
        spec = CardSpec(kind, number)
        if place.measured:
            share = TAPE_SHARE * nominal
            read = size + share * tape + rng.standard_normal(2) * np.sqrt(CONTROL_SD_MM**2 - share**2)
            spec = CardSpec(kind, number, None, None, (float(read[0]), float(read[1])), CONTROL_SD_MM)
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
    outline = {n: _points(camera.project(opening.line(n, fine)), 0.02, bias, rng) for n in ("left", "right", "curb", "head")}
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
    seen = tuple(_observe_card(number, card, camera, rng) for number, card in enumerate(cards, 1))
    slope = opening.gravity + rng.normal(0, SETTINGS.cues.plumb_line_sd_mm_per_m / 1000)
    y = np.linspace(0.9, 0.1, 401) * opening.height
    line = camera.project(_flat(rng.uniform(0.3, 0.7) * opening.width + slope * y, y))
    rough = line[[0, -1]] + rng.uniform(-3, 3, (2, 2))
    plumb = ((rough, _points(line, 0.0, bias, rng)),)
    view = view_of_rectangle(corners, prior, has_head=True)
    return SeenPhoto(look=look, view=view, corners_px=corners, outline=outline, plumb=plumb, cards=seen)


def _observe_card(number: int, card: TrueCard, camera: TrueCamera, rng: Draws) -> SeenCard:
    corners = card.corners()
    distance = abs(float((cv2.Rodrigues(camera.rvec)[0].T @ camera.tvec)[2]))
    bias = math.hypot(SETTINGS.edges.bias_sd_px, HIDDEN_SHARE * card.kind.thickness_mm * float(camera.K[0, 0]) / distance)
    sides = []
    for i, j in ((0, 1), (1, 2), (3, 2), (0, 3)):
        t = np.linspace(0, 1, 101)[:, None]
        clear = (card.kind.corner_radius_mm * 1.15 + 2.0) / float(np.linalg.norm(corners[j] - corners[i]))
        sides.append(_points(camera.project(corners[i] * (1 - t) + corners[j] * t), clear, bias, rng))
    px = camera.project(corners) + rng.normal(0, 0.3, (4, 2))
    look = CardLook(CardCandidate(px, False, card.kind, False), ())  # type: ignore[arg-type]  # no pixels here, so no strips
    alone = card.spec.size_mm is not None
    return SeenCard(number=number, photo=1, look=look, spec=card.spec, corners_px=px, sides=tuple(sides), alone=alone)


def _points(polyline: Array, trim: float, bias: float, rng: Draws) -> EdgePoints:
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


@dataclass(frozen=True)
class Outcome:
    """One scene adjusted: stated record, errors (stated less true) in its order, and whether the adjustment was refused later."""

    stated: Gaussian
    error: Array
    odd_card: bool
    two_tilts: bool

    def whitened_errors(self) -> Array:
        """Errors of INDEPENDENT, whitened with their stated covariance: independent and of variance one if it is right."""
        rows = [self.stated.index(n) for n in INDEPENDENT]
        scale = 1 / self.stated.sd[rows]
        correlation = self.stated.covariance[np.ix_(rows, rows)] * np.outer(scale, scale)
        return np.asarray(np.linalg.solve(np.linalg.cholesky(correlation), self.error[rows] * scale))

    def whitened(self) -> float:
        """Their squared length (Mahalanobis)."""
        return float(np.sum(self.whitened_errors() ** 2))


def adjust(scene: Scene, *, with_checks: bool = False) -> Outcome:
    """Ours: assemble, adjust, propagate; and by the way what the checks of consistency would have said."""
    assembly = assemble([scene.photo], scene.demands, SETTINGS)
    solution = assembly.problem.solve(assembly.start, assembly.camera_priors)
    functions = size_functions(scene.at_mm, True, assembly.nominal.chord_mm, True)
    stated = propagate(solution, functions)
    true = scene.opening.quantities(scene.at_mm)
    error = stated.mean - np.array([true[n] for n in stated.names])
    odd, tilts = _checks(scene, assembly, solution) if with_checks else (False, False)
    return Outcome(stated, error, odd, tilts)


def _checks(scene: Scene, assembly: Assembly, solution: Solution) -> tuple[bool, bool]:
    scores = np.abs(card_scale_scores(solution, assembly))
    try:
        require_one_tilt([scene.photo], assembly, solution)
    except CannotMeasure:
        return bool(len(scores) > 1 and scores.max() >= ODD_CARD), True
    return bool(len(scores) > 1 and scores.max() >= ODD_CARD), False


@dataclass(frozen=True)
class Row:
    """One quantity of one layout over all scenes."""

    name: str
    u: float
    rms: float
    bias: float
    coverage: float

    @property
    def honest(self) -> bool:
        """Mean stated u over rms within the limits."""
        return HONEST[0] <= self.u / self.rms <= HONEST[1]

    def __str__(self) -> str:
        return (
            f"  {self.name:24s} {self.u:8.4f} {self.rms:8.4f} {self.u / self.rms:7.2f} {self.bias / self.rms:9.2f} "
            f"{100 * self.coverage:7.1f}   {'within' if self.honest else 'OUTSIDE'}"
        )


@dataclass(frozen=True)
class Table:
    """All scenes of one layout."""

    layout: str
    outcomes: tuple[Outcome, ...]
    failed: int = 0
    rows: tuple[Row, ...] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "rows", tuple(self._rows()))

    def _rows(self) -> Iterator[Row]:
        errors = np.array([o.error for o in self.outcomes])
        sd = np.array([o.stated.sd for o in self.outcomes])
        for k, name in enumerate(self.outcomes[0].stated.names):
            e, u = errors[:, k], sd[:, k]
            inside = float(np.mean(np.abs(e) <= NORMAL_95 * u))
            yield Row(name, float(u.mean()), float(np.sqrt(np.mean(e**2))), float(e.mean()), inside)

    @property
    def whitened(self) -> Array:
        """Squared whitened errors, one a scene."""
        return np.array([o.whitened() for o in self.outcomes])

    def __str__(self) -> str:
        head = f"{self.layout}: {len(self.outcomes)} scenes, {self.failed} not adjusted; "
        head += f"mean squared whitened error / {len(INDEPENDENT)} = "
        odd, tilts = (sum(getattr(o, k) for o in self.outcomes) for k in ("odd_card", "two_tilts"))
        head += f"{self.whitened.mean() / len(INDEPENDENT):.2f}; called odd {odd}, two tilts {tilts}"
        limits = f"u/rms {HONEST[0]} to {HONEST[1]}"
        titles = f"  {'quantity':24s} {'u':>8s} {'rms':>8s} {'u/rms':>7s} {'bias/rms':>9s} {'95 %':>7s}   {limits}"
        return "\n".join([head, titles, *map(str, self.rows)])


def simulate(layout: str, scenes: int, *, seed: int = 1, with_checks: bool = False) -> Table:
    """Draw and adjust this many scenes."""
    rng = np.random.default_rng([seed, sorted(LAYOUTS).index(layout)])
    outcomes, failed = [], 0
    for _ in range(scenes):
        scene = draw(layout, rng)
        try:
            outcomes.append(adjust(scene, with_checks=with_checks))
        except CannotMeasure:
            failed += 1
    return Table(layout, tuple(outcomes), failed)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--scenes", type=int, default=200, help="scenes of each layout")
    parser.add_argument("--layout", choices=sorted(LAYOUTS), help="only this one")
    parser.add_argument("--seed", type=int, default=1, help="of the draws")
    arguments = parser.parse_args()
    started, rows = time.monotonic(), []
    for layout in [arguments.layout] if arguments.layout else LAYOUTS:
        table = simulate(layout, arguments.scenes, seed=arguments.seed, with_checks=True)
        rows += table.rows
        print(table, flush=True)
    print(f"{sum(r.honest for r in rows)} of {len(rows)} layouts and quantities within {HONEST[0]} to {HONEST[1]}")
    print(f"{time.monotonic() - started:.0f} s")


if __name__ == "__main__":
    main()
