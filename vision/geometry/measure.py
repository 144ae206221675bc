"""Looks -> Opening: observe, adjust, observe again along the adjusted curves, adjust, and say what could not be had."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure, Finding, one_not_used
from vision.geometry.adjustment import Solution
from vision.geometry.alone import burnt_cards, by_look_alone, guessed_kind, require_paper
from vision.geometry.assemble import Assembly, assemble, without_camera_motion
from vision.geometry.camera import CameraPrior, bendable
from vision.geometry.card_seen import rim_findings
from vision.geometry.consistency import choose_cards, require_one_tilt
from vision.geometry.cues import held_against_cues
from vision.geometry.cut import cut_findings, cut_off
from vision.geometry.edges import EdgePoints
from vision.geometry.line_start import set_odd_lengths_aside
from vision.geometry.look import SIDE_CORNERS, Look
from vision.geometry.marked import marked_findings
from vision.geometry.model import world_points
from vision.geometry.not_there import cards_cut_off, perhaps_joints, plumb_lines_not_seen, stated_but_not_there
from vision.geometry.not_used import dropped_patches, not_used, require_a_card
from vision.geometry.numbered import counted_without, miscounted, require_on_the_wall, with_any_number
from vision.geometry.observe import clean_blur, observe_card, observe_outline
from vision.geometry.one_opening import of_one_opening, two_openings
from vision.geometry.opening import CardSeen, Opening
from vision.geometry.outcome import card_seen, cards_of_refused, opening_of
from vision.geometry.restless import observed_twice
from vision.geometry.rivals import moved_beside, rival_findings
from vision.geometry.seeing import finished, see_photo
from vision.geometry.seen import Demands, SeenPhoto
from vision.geometry.settle import Settled, settle_cards
from vision.geometry.side_views import Around
from vision.geometry.sizes import corners as opening_corners
from vision.geometry.start import PlaneView
from vision.geometry.targets import require_whole_frame
from vision.geometry.verticals import odd_verticals
from vision.names import cards_called
from vision.settings import CameraSettings, Settings

Array = NDArray[np.float64]
ROUGHLY, SETTLED = 0.5, 1e-3
"""fall of the cost at which the first pass and the last are done (in squared standard deviations)"""
CONTRADICTED = 2.0
"""standard deviations at which the lens prior gives way: what is estimated is drawn toward it, so the lens is further off"""
NO_REFERENCE = "card-kind"
"""why nothing is measured where what carries the scale has no reference's shape; one that is bent or off the wall may be one"""
LOOK = "Look at the numbers in the picture: if another one is the reference, mark its corners (card-corners)."
CURVE_POINTS = 41
"""points of a predicted curve; between them it is straight to a hundredth of a pixel"""


@dataclass(frozen=True)
class Measured:
    """The outcome, and the adjustment behind it."""

    opening: Opening
    solution: Solution
    assembly: Assembly


@dataclass(frozen=True)
class Refused:
    """Why nothing can be measured, and the cards that were seen all the same, none of them used."""

    problem: CannotMeasure
    cards: tuple[CardSeen, ...] = ()


def measured_or_refused(looks: Sequence[Look], demands: Demands, settings: Settings) -> Measured | Refused:
    """`measure`, its refusal as a value."""
    photos: list[SeenPhoto] = []
    try:
        photos, findings = see_photos(looks, demands, settings)
        return _measured_or_by_others(photos, findings, demands, settings)
    except CannotMeasure as problem:
        why = _two_openings(photos, demands, settings) or problem
        return Refused(why, cards_of_refused(photos, why, settings))


def measure_photo(photo: SeenPhoto, demands: Demands, settings: Settings) -> Measured:
    """One photo that has been seen, by whichever of its references hold. Raises CannotMeasure."""
    return _measured_or_by_others([photo], [], demands, settings)


def _measured_or_by_others(photos: list[SeenPhoto], findings: list[Finding], demands: Demands, settings: Settings) -> Measured:
    """What the photos come to; of a single one whose cards do not hold, by the sheets that contradict them, and that holds."""
    try:
        return _measured_again(photos, findings, demands, settings)
    except CannotMeasure as problem:
        if problem.code != NO_REFERENCE or len(photos) != 1 or not photos[0].second:
            raise
        photo = replace(photos[0], cards=photos[0].second)
        none, taken = ([c.number for c in photo.cards if c.used is used] for used in (False, True))
        without = f"{cards_called(none).capitalize()} {'has' if len(none) == 1 else 'have'} no reference's shape"
        instead = f"{cards_called(taken)} {'was' if len(taken) == 1 else 'were'} taken"
        fact = f"{without}, so {instead}, which makes the opening another size."
        try:
            return measure_seen([photo], demands, settings, findings=[*findings, Finding("card-kind", fact, LOOK)])
        except CannotMeasure:
            raise problem from None


def _two_openings(photos: Sequence[SeenPhoto], demands: Demands, settings: Settings) -> CannotMeasure | None:
    """What tells that several photos are not of one opening, each measured by itself; None where nothing does."""
    if len(photos) < 2:
        return None
    alone = {p.look.name: one.opening for p in photos if (one := _alone(p, demands, settings)) is not None}
    return two_openings(alone)


def _require_one_opening(photos: Sequence[SeenPhoto], demands: Demands, settings: Settings) -> None:
    """CannotMeasure (unexplained) where photos that can each be measured contradict each other; all together none would."""
    if (why := _two_openings(photos, demands, settings)) is not None:
        raise why


def _alone(photo: SeenPhoto, demands: Demands, settings: Settings) -> Measured | None:
    """One of several photos by itself, where that can be measured."""
    try:
        return measure_seen([photo], demands, settings)
    except CannotMeasure:
        return None


def measure(looks: Sequence[Look], demands: Demands, settings: Settings) -> Measured:
    """All looks of one opening in one adjustment. Raises CannotMeasure where nothing can be said."""
    return _measured_or_by_others(*see_photos(looks, demands, settings), demands, settings)


def _measured_again(photos: list[SeenPhoto], findings: list[Finding], demands: Demands, settings: Settings) -> Measured:
    """What the photos come to, once more where cards that were counted are none."""
    measured = measure_seen(photos, demands, settings, findings=findings)
    again = counted_without(photos, {c.number for c in measured.opening.cards if not c.used}, demands)
    if again is None:
        return measured
    return measure_seen(again, demands, settings, findings=[*findings, miscounted(photos, again)])


def measure_seen(
    photos: Sequence[SeenPhoto], demands: Demands, settings: Settings, *, findings: Sequence[Finding] = ()
) -> Measured:
    """`measure` from what has been seen already; `findings` about photos that could not be used. Raises CannotMeasure."""
    findings = [*findings, *stated_but_not_there([c for p in photos for c in p.cards], demands)]
    photos = with_any_number(photos, demands)
    findings += [*plumb_lines_not_seen(photos), *perhaps_joints(photos), *cut_findings(cut := cards_cut_off(photos))]
    dropped = dropped_patches(photos, settings)
    if cut and not any(p.used for p in photos):
        require_a_card(dropped, photos, demands.cards.kinds, settings, cut)
        raise cut_off(" and ".join(c.words for c in cut))
    require_whole_frame({c.number: c.used for p in photos for c in p.cards})
    require_a_card(dropped, photos, demands.cards.kinds, settings)
    require_on_the_wall(photos, demands)
    before, (photos, refused, chosen) = photos, choose_cards(photos)
    require_paper(photos)
    photos, aside, others = of_one_opening(before, photos, has_head=demands.has_head)
    _require_one_opening(photos, demands, settings)
    findings += [*chosen, *others, *guessed_kind(photos, demands), *by_look_alone(photos), *burnt_cards(photos)]
    findings += [*rival_findings([p.beside for p in photos]), *marked_findings(photos), *rim_findings(photos)]
    findings += not_used(dropped, photos, demands.cards.kinds, settings)
    assembly = assemble(photos, demands, settings)
    solution = solve(assembly, ROUGHLY)
    priors = assembly.camera_priors
    for _ in range(3):
        widened = widened_lens(solution, priors, settings.camera)
        photos = observed_again(photos, solution, assembly, settings)
        assembly = assemble(photos, demands, settings, priors=widened, before=(solution.state, assembly))
        solution = solve(assembly, SETTLED)
        if widened == priors:
            break
        priors = widened

    measured = conclude(photos, assembly, solution, demands, settings, findings=findings, scale_refused=refused)
    return with_cards_of(measured, aside, settings)


def with_cards_of(measured: Measured, aside: Sequence[SeenPhoto], settings: Settings) -> Measured:
    """The outcome with the cards of photos that were left out, none of them used."""
    cards = [*measured.opening.cards, *(card_seen(c, settings) for p in aside for c in p.cards)]
    opening = replace(measured.opening, cards=tuple(sorted(cards, key=lambda c: c.number)))
    return replace(measured, opening=opening)


def conclude(
    photos: Sequence[SeenPhoto],
    assembly: Assembly,
    solution: Solution,
    demands: Demands,
    settings: Settings,
    *,
    findings: Sequence[Finding] = (),
    scale_refused: bool = False,
) -> Measured:
    """What the adjusted state comes to once the cards have been held against each other. Raises CannotMeasure."""
    priors = assembly.camera_priors

    def again(p: Sequence[SeenPhoto]) -> Assembly:
        return assemble(p, demands, settings, priors=priors)

    photos, assembly, solution, lengths = set_odd_lengths_aside(photos, assembly, solution, again)
    odd = odd_verticals(solution, demands, settings.cues)  # a card that is not level would be taken for a tilted one: said, held
    settled = Settled(tuple(photos), assembly, solution)
    settled = settled if odd else settle_cards(photos, assembly, solution, again, settings.doubts)
    assembly, solution = settled.assembly, settled.solution
    require_one_tilt(settled.photos, assembly, solution)
    solution, cues = held_against_cues(settled.photos, assembly, solution, settings.joints)
    found = (*findings, *lengths, *settled.findings, *(odd or odd_verticals(solution, demands, settings.cues)), *cues)
    opening = opening_of(settled.photos, assembly, solution, demands, settings, findings=found, scale_refused=scale_refused)
    return Measured(opening, solution, assembly)


def solve(assembly: Assembly, settled: float = SETTLED) -> Solution:
    """The adjustment of one assembly."""
    return assembly.problem.solve(assembly.start, assembly.camera_priors, settled=settled)


def see_photos(looks: Sequence[Look], demands: Demands, settings: Settings) -> tuple[list[SeenPhoto], list[Finding]]:
    """The usable photos; one that cannot be used is a finding beside others and an error alone."""
    photos: list[SeenPhoto] = []
    problems: list[tuple[str, CannotMeasure]] = []
    number = 1
    for seen in looks:
        try:
            photo = see_photo(seen, number, demands, settings)
        except CannotMeasure as problem:
            problems.append((seen.name, problem))
            continue
        photos.append(photo)
        number += len(photo.cards)
    if not photos:
        raise problems[0][1]
    return photos, [one_not_used(*one) for one in problems]


def widened_lens(solution: Solution, priors: Sequence[CameraPrior], settings: CameraSettings) -> tuple[CameraPrior, ...]:
    """Lens priors, widened for a camera whose lens term contradicts its prior."""
    out = []
    for camera, prior in zip(solution.state.cameras, priors, strict=True):
        odd = abs(camera.k1) > CONTRADICTED * prior.k1_sd and prior.k1_sd < settings.wide_k1_sd
        out.append(bendable(prior, settings) if odd else prior)
    return tuple(out)


def observed_again(photos: Sequence[SeenPhoto], solution: Solution, assembly: Assembly, settings: Settings) -> list[SeenPhoto]:
    """The photos with all edges observed along the adjusted curves; an edge that cannot be followed there keeps its points."""
    return [_photo_again(i, photo, solution, assembly, settings) for i, photo in enumerate(photos)]


def _photo_again(i: int, photo: SeenPhoto, solution: Solution, assembly: Assembly, settings: Settings) -> SeenPhoto:
    state, nominal, layout = solution.state, assembly.nominal, solution.layout
    camera = state.cameras[i]
    world = opening_corners(state.opening)
    fresh: dict[str, EdgePoints] = {}
    for name in (n for n, points in photo.outline.items() if not points.marked):
        a, b = (world[k] for k in {"left": (0, 3), "right": (1, 2), "curb": (0, 1), "head": (3, 2)}[name])
        axis = 1 if name in ("left", "right") else 0
        t = np.linspace(a[axis], b[axis], CURVE_POINTS)
        curve = camera.project(world_points((name, 0, 0), t, state, nominal, layout)[0])
        strip = photo.look.outline[name]
        at = photo.beside[name].curve if name in photo.beside else strip.of_polyline(curve)
        points = observe_outline(photo.look, name, at, strip.extent(curve[0], curve[-1]), settings.edges)
        fresh |= {} if points is None else {name: points}
    seen = {**photo.outline, **finished(fresh, photo.look.scale, settings.edges)}
    moved = moved_beside({n: seen[n] for n in fresh}, photo.beside, photo.look.outline)
    around = Around(PlaneView(camera.R, camera.t, without_camera_motion(camera)), clean_blur(seen, photo.look.scale))
    cards = []
    for card in photo.cards:
        if card.used and not card.look.by_rim:
            corners = np.empty((4, 2))
            for k, ends in enumerate(SIDE_CORNERS):
                X = world_points(("card", assembly.models[card.number], k), np.array([-1.0, 1.0]), state, nominal, layout)[0]
                corners[list(ends)] = camera.project(X)
            again = observe_card(card.look, corners, photo.look, settings.edges, search=0.0, around=around)
            card = observed_twice(replace(card, corners_px=corners), again, photo.look.scale)
        cards.append(card)
    return replace(photo, outline={**seen, **moved}, cards=tuple(cards))
