"""Looks -> Opening: observe, adjust, observe again along the adjusted curves, adjust, and say what could not be had."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure, Finding
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly, Demands, SeenCard, SeenPhoto, assemble
from vision.geometry.camera import CameraPrior
from vision.geometry.edges import EdgePoints, features
from vision.geometry.consistency import exclude_odd_cards, other_tilt
from vision.geometry.look import OUTLINE_CORNERS, SIDE_CORNERS, CardLook, Look, match_kind
from vision.geometry.model import OPENING_EDGES, world_points
from vision.geometry.observe import observe_card, observe_outline, observe_plumb, refined_corners, rough_outline
from vision.geometry.outcome import opening_of
from vision.geometry.opening import CardSeen, Opening
from vision.geometry.sizes import corners as opening_corners
from vision.geometry.start import view_of_rectangle
from vision.geometry.strips import Strip
from vision.settings import CameraSettings, Settings

Array = NDArray[np.float64]
CURB_STAND_MM = 30.0
"""mm; a card whose lower edge is this near to the curb line stands on the curb"""
FAINTEST_STEP = 0.006
"""linear light; under this a card's side cannot be told from shading"""
ROUGHLY, SETTLED = 0.5, 1e-3
"""fall of the cost at which the first pass and the last are done (in squared standard deviations)"""
MOST_UNEVEN = 3.0
"""ratio of a card's steps against its surround; the sides of a tile between joints differ by more"""
MOST_DOUBT_PX = 0.25
"""px; sides that fit worse than this on the whole are no card's sides"""
CONTRADICTED = 3.0
"""standard deviations at which the lens prior gives way"""


@dataclass(frozen=True)
class Measured:
    """The outcome, and the adjustment behind it (for tests and pictures)."""

    opening: Opening
    solution: Solution
    assembly: Assembly


def measure(looks: Sequence[Look], demands: Demands, settings: Settings) -> Measured:
    """All looks of one opening in one adjustment. Raises CannotMeasure where nothing can be said."""
    photos, findings = _photos(looks, demands, settings)
    cards = [c for p in photos for c in p.cards]
    findings += _stated_but_not_there(cards, demands)
    refused = choose_cards(photos, cards, demands)
    assembly = _assemble(photos, demands, settings)
    solution = _solve(assembly, ROUGHLY)
    widened = widened_lens(solution, assembly.camera_priors, settings.camera)
    for _ in range(2):
        observe_again(photos, solution, assembly, settings)
        start = solution.state
        assembly = assemble(photos, demands, settings, start=start, nominal=assembly.nominal, priors=widened)
        solution = _solve(assembly)
        wider = widened_lens(solution, widened, settings.camera)
        if wider == widened:
            break
        widened = wider
    photos, assembly, solution, more = exclude_odd_cards(photos, assembly, solution, demands, settings)
    findings += more
    other_tilt(photos, assembly, solution)
    opening = opening_of(photos, cards, assembly, solution, demands, settings, findings=tuple(findings), scale_refused=refused)
    return Measured(opening, solution, assembly)


def _assemble(photos: Sequence[SeenPhoto], demands: Demands, settings: Settings) -> Assembly:
    return assemble(photos, demands, settings)


def _solve(assembly: Assembly, settled: float = SETTLED) -> Solution:
    return assembly.problem.solve(assembly.start, assembly.camera_priors, settled=settled)


def _photos(looks: Sequence[Look], demands: Demands, settings: Settings) -> tuple[list[SeenPhoto], list[Finding]]:
    """The usable photos; a photo that cannot be used is a finding beside others and an error alone."""
    photos, problems, number = [], [], 1
    for index, seen in enumerate(looks):
        try:
            photo = see_photo(seen, index, number, demands, settings)
            photos.append(photo)
        except CannotMeasure as problem:
            problems.append(problem)
        number += len(photos[-1].cards) if photos and photos[-1].look is seen else 0
    if not photos:
        raise problems[0]
    return photos, [Finding(p.code, f"One photo could not be used: {p.found}.", p.remedy) for p in problems]


def see_photo(seen: Look, index: int, first_number: int, demands: Demands, settings: Settings) -> SeenPhoto:
    """Edges of one photo along rough lines, its first view, and its cards with refined corners."""
    if seen.corners_px is None:
        raise CannotMeasure(
            "outline", "needs-corners", found=f"{seen.name}: no corners of the opening", needed="its four rough corners, to 15 pixels",
            remedy="mark bottom-left, bottom-right, top-right and top-left in the photo",
        )  # fmt: skip
    curves = rough_outline(seen, seen.corners_px, settings.edges)
    missing = [n for n in seen.outline if n not in curves]
    outline = {n: p for n, (c, e) in curves.items() if (p := observe_outline(seen, n, c, e, settings.edges)) is not None}
    missing = [n for n in seen.outline if n not in outline]
    if missing:
        raise CannotMeasure(
            "edges", "edge-hidden", found=f"{seen.name}: no edge to follow at the {' and the '.join(missing)}",
            needed="every edge of the opening in sight", remedy="take away what stands before it, mark the corners again, or take the photo in better light",
        )  # fmt: skip
    if min(p.kept_share for p in outline.values()) < 0.15:
        raise CannotMeasure(
            "edges", "edge-hidden", found=f"{seen.name}: an edge of the opening of which hardly a part can be followed",
            needed="at least a third of every edge in sight", remedy="take away what stands before it and take the photo again",
        )  # fmt: skip
    blur = float(np.median([p.blur_px for p in outline.values()])) / seen.scale
    if blur > 5.5:
        raise CannotMeasure(
            "edges", "blur", found=f"{seen.name}: edges blurred over {blur:.1f} pixels (at 12 megapixels)", needed="under 5.5 pixels",
            remedy="wipe the lens, hold still or lean the phone on something, and take the photo again with more light",
        )  # fmt: skip
    corners = refined_corners({n: curves[n] for n in outline}, seen, seen.corners_px)
    view = view_of_rectangle(corners, seen.prior, has_head=demands.has_head)
    plumb = []
    for line, strip in seen.plumb:
        points = observe_plumb(line, strip, seen, settings.edges)
        if points is not None:
            plumb.append((line, points))
    photo = SeenPhoto(seen, view, corners, outline, plumb, [])
    photo.cards = _cards(photo, index, first_number, demands, settings)
    return photo


def _cards(photo: SeenPhoto, index: int, first_number: int, demands: Demands, settings: Settings) -> list[SeenCard]:
    """Cards whose sides can be followed and, refined, still have their kind's aspect; numbered in the order of the look."""
    out: list[SeenCard] = []
    seen = photo.look
    for card in seen.cards:
        candidate = card.candidate
        if not candidate.stated and not rough_surround(card):
            continue
        reach = max((8.0 if candidate.stated else 6.0) * max(seen.scale, 0.5), 3.0)
        sides = observe_card(card, candidate.corners_px, seen, settings.edges, search=reach)
        if sum(s is not None for s in sides) < (3 if candidate.stated else 4) or candidate.kind is None:
            continue
        corners = corners_of_sides(sides, candidate.corners_px)
        if not candidate.stated:
            match = match_kind(photo.view.on_plane(corners), demands.cards.kinds, settings.cards.aspect_tolerance)
            if match is None or not one_surround(sides):
                continue
            candidate = replace(candidate, kind=match[0], turned=match[1])
            card = replace(card, candidate=candidate)
        number = first_number + len(out)
        kind = candidate.kind or demands.cards.kinds[0]
        spec = demands.cards.facts_for(kind, number)
        alone = demands.cards.measured_alone(kind, number)
        out.append(SeenCard(number, index, card, spec, corners, sides, inside=_inside(photo, corners), alone=alone))
    return out


def rough_surround(card: CardLook) -> bool:
    """The same test on whole strips either side of the rough sides: cheap, and enough to pass over most tiles."""
    centre = card.candidate.corners_px.mean(axis=0)
    steps = []
    for strip, (i, j) in zip(card.strips, SIDE_CORNERS, strict=True):
        ends = card.candidate.corners_px[[i, j]]
        at = strip.of_polyline(ends)
        low, high = sorted(strip.extent(ends[0], ends[1]))
        k = np.arange(max(int(low + 0.15 * (high - low)), 0), min(int(high - 0.15 * (high - low)), strip.lines))
        distance = strip.first[k][:, None] + np.arange(strip.pixels.shape[1])[None, :] - at[k][:, None]
        light = features(strip.pixels[k])
        plus, minus = (np.median(light[mask], axis=0) if mask.any() else np.zeros(3) for mask in (distance > 4, distance < -4))
        inner = centre[1] if strip.transposed else centre[0]
        steps.append(plus - minus if len(k) and inner > float(at[k].mean()) else minus - plus)
    size = np.linalg.norm(steps, axis=1)
    mean = np.mean(steps, axis=0)
    cosine = np.array(steps) @ mean / np.maximum(size * np.linalg.norm(mean), 1e-12)
    return bool(size.min() > 0.5 * FAINTEST_STEP and size.max() < 1.5 * MOST_UNEVEN * size.min() and cosine.min() > 0.3)


def one_surround(sides: Sequence[EdgePoints | None]) -> bool:
    """True where the card differs from what surrounds it alike on all four sides; a tile between joints does not."""
    steps = np.array([s.step for s in sides if s is not None])
    mean = steps.mean(axis=0)
    size = np.linalg.norm(steps, axis=1)
    typical = float(np.median(size))
    if typical < FAINTEST_STEP or float(size.max()) > MOST_UNEVEN * float(size.min()):
        return False
    if float(np.median([s.bias_sd_px for s in sides if s is not None])) > MOST_DOUBT_PX:
        return False
    cosine = steps @ mean / (size * max(float(np.linalg.norm(mean)), 1e-12))
    return bool(cosine.min() > 0.6)


def corners_of_sides(sides: Sequence[object], rough: Array) -> Array:
    """Corners (4, 2) where the lines through neighbouring sides meet; the rough corner where a side is missing."""
    lines = []
    for side in sides:
        points = getattr(side, "points_px", None)
        if points is None or len(points) < 3:
            lines.append(None)
            continue
        m = points.mean(axis=0)
        _, _, vt = np.linalg.svd(points - m, full_matrices=False)
        n = np.array([-vt[0, 1], vt[0, 0]])
        lines.append((n, float(n @ m)))
    out = rough.astype(np.float64).copy()
    for corner, (a, b) in enumerate(((3, 0), (0, 1), (1, 2), (2, 3))):
        first, second = lines[a], lines[b]
        if first is not None and second is not None:
            out[corner] = np.linalg.solve(np.stack([first[0], second[0]]), [first[1], second[1]])
    return out


def _inside(photo: SeenPhoto, corners: Array) -> bool:
    """True where the whole card lies inside the outline and does not stand on the curb."""
    polygon = photo.corners_px
    d = np.roll(polygon, -1, axis=0) - polygon
    for corner in corners:
        r = corner - polygon
        # the outline runs clockwise as seen in a picture whose y runs down when listed bottom-left, bottom-right, ...
        if np.any(d[:, 0] * r[:, 1] - d[:, 1] * r[:, 0] > 0):
            return False
    px_per_mm = photo.look.prior.f / 2500.0
    normal = np.array([-d[0, 1], d[0, 0]]) / np.linalg.norm(d[0])
    lowest = min(abs(float(normal @ (c - polygon[0]))) for c in corners[:2])
    return lowest > CURB_STAND_MM * px_per_mm


def _stated_but_not_there(cards: Sequence[SeenCard], demands: Demands) -> list[Finding]:
    """Statements about a numbered card that the photos do not bear out."""
    out = []
    kinds = {c.number: c.spec.kind.name for c in cards}
    for spec in demands.cards.specs:
        if spec.number is not None and kinds.get(spec.number) != spec.kind.name:
            seen = kinds.get(spec.number)
            fact = f"the photo shows card {spec.number} as {seen}" if seen else f"no card {spec.number} was found"
            out.append(Finding("card-kind", f"Card {spec.number} was stated to be {spec.kind.name}, but {fact}.",
                               "Look at the numbers in the picture and state the cards again."))  # fmt: skip
    out += [
        Finding("card-missing", f"Card {n} was said to be set with a level, but no card {n} was found.", "Look at the numbers in the picture.")
        for n in demands.level_cards if n not in kinds
    ]  # fmt: skip
    return out


def choose_cards(photos: Sequence[SeenPhoto], cards: Sequence[SeenCard], demands: Demands) -> bool:
    """Mark the cards that carry the scale; True where only cards inside the outline are left, so that the scale is refused."""
    del demands
    if not cards:
        name = photos[0].look.name
        raise CannotMeasure(
            "cards", "card-missing", found=f"{name}: no reference card", needed="a flat card or sheet of known size in the opening's plane",
            remedy="tape a sheet or a bank-size blank flat beside the opening, or mark the card's corners",
        )  # fmt: skip
    for card in cards:
        if card.inside and card.spec.offset_mm is None:
            card.used, card.why = False, "card-plane"
    if any(c.used for c in cards):
        _drop_wild_scales(photos, cards)
        return False
    for card in cards:
        card.used = True
    _drop_wild_scales(photos, cards)
    return True


def _drop_wild_scales(photos: Sequence[SeenPhoto], cards: Sequence[SeenCard]) -> None:
    """Leave out cards whose implied scale is far from that of most others: a picture frame is no card."""
    from vision.geometry.assemble import card_scale, squared_to_curb

    used = [c for c in cards if c.used]
    widths = {id(c): card_scale(c, p.view) * float(squared_to_curb(p, True)[1][1, 0]) for p in photos for c in p.cards if c.used}
    values = np.array([widths[id(c)] for c in used])
    support = [(int(np.sum(np.abs(values / v - 1) < 0.08)), c.look.candidate.stated) for v, c in zip(values, used, strict=True)]
    best = max(range(len(used)), key=lambda i: (support[i][1], support[i][0]))
    rivals = [i for i in range(len(used)) if abs(values[i] / values[best] - 1) >= 0.08]
    if any(support[i][0] == support[best][0] and support[i][1] == support[best][1] for i in rivals):
        numbers = " and ".join(str(c.number) for c in used)
        raise CannotMeasure(
            "cards", "cards-disagree", found=f"cards {numbers} that make the opening {min(values):.0f} and {max(values):.0f} mm wide",
            needed="cards that agree on the scale", remedy="look at the numbers in the picture; state the kinds with --card, or mark the true cards' corners",
        )  # fmt: skip
    for i in rivals:
        used[i].used, used[i].why = False, "cards-disagree"


def widened_lens(solution: Solution, priors: Sequence[CameraPrior], settings: CameraSettings) -> tuple[CameraPrior, ...]:
    """Lens priors, widened for a camera whose lens term contradicts it by more than three sd."""
    out = []
    for camera, prior in zip(solution.state.cameras, priors, strict=True):
        odd = abs(camera.k1) > CONTRADICTED * prior.k1_sd
        out.append(replace(prior, k1_sd=settings.wide_k1_sd, k2_sd=settings.wide_k1_sd / 2) if odd and prior.k1_sd < settings.wide_k1_sd else prior)
    return tuple(out)


def observe_again(photos: Sequence[SeenPhoto], solution: Solution, assembly: Assembly, settings: Settings) -> None:
    """Replace all observations by those along the adjusted curves."""
    state, nominal, layout = solution.state, assembly.nominal, solution.layout
    ends = {"left": (0, 3), "right": (1, 2), "curb": (0, 1), "head": (3, 2)}
    world = opening_corners(state.opening)
    for i, photo in enumerate(photos):
        camera = state.cameras[i]
        for name in photo.outline:
            a, b = (world[k] for k in ends[name])
            axis = 1 if name in ("left", "right") else 0
            t = np.linspace(a[axis], b[axis], 41)
            curve = camera.project(world_points((name, 0, 0), t, state, nominal, layout)[0])
            if not nominal.has_head and name in ("left", "right"):
                curve = curve[: max(int(np.ceil(41 * 1.0)), 2)]
            strip = photo.look.outline[name]
            points = observe_outline(photo.look, name, strip.of_polyline(curve), strip.extent(curve[0], curve[-1]), settings.edges)
            if points is not None:
                photo.outline[name] = points
        for card in (c for c in photo.cards if c.used):
            corners = np.empty((4, 2))
            for k, (p, q) in enumerate(SIDE_CORNERS):
                X = world_points(("card", card.model, k), np.array([-1.0, 1.0]), state, nominal, layout)[0]
                corners[[p, q]] = camera.project(X)
            fresh = observe_card(card.look, corners, photo.look, settings.edges, search=0.0)
            card.sides = [f or old for f, old in zip(fresh, card.sides, strict=True)]
            card.corners_px = corners


__all__ = ["OPENING_EDGES", "OUTLINE_CORNERS", "CardSeen", "Measured", "Strip", "measure"]
