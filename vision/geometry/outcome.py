"""The adjusted state as the record of a measured opening, with everything that was refused and why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure, Finding
from vision.gaussian import Gaussian
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly
from vision.geometry.consistency import PLANE_UNKNOWN
from vision.geometry.depth import at_door_line, door_line_of
from vision.geometry.marked import bow_unseen, unfollowed
from vision.geometry.model import OPENING_EDGES, world_points
from vision.geometry.opening import NO_VERTICAL, QUANTITIES, SIZES, WIDTHS, CardSeen, Opening, PhotoGeometry
from vision.geometry.plausible import held_too_high
from vision.geometry.seen import Demands, SeenCard, SeenPhoto, opening_width_by
from vision.geometry.sizes import corners, jacobian_of, propagate, size_functions, wall_x, width_heights, with_free_scale
from vision.geometry.unseen import card_planes, crooked, unseen_lies
from vision.geometry.verticals import followed_verticals, vertical_scores, vertical_word
from vision.geometry.wall_shape import wall_shapes
from vision.names import cards_called
from vision.settings import Settings

Array = NDArray[np.float64]
LENGTHS = (*SIZES, "plumb_rectangle", "bow_left", "bow_right")
BOWS = {"bow_left": "left", "bow_right": "right"}
"""quantity -> the edge that must be seen for it"""
RATIO_OF = {"width_over_height": ("width_middle",), "top_over_bottom_width": ("width_top", "width_bottom")}
"""proportion -> the widths that it is made of"""
LEAST_SHARE = 0.005
"""of the variance of a size; less rounds to no percent and is not worth a word"""
FOCAL_SHARE = 0.5
"""share of the unknown focal length in a size's u above which the cards do not make up for missing metadata"""


def opening_of(
    photos: Sequence[SeenPhoto],
    assembly: Assembly,
    solution: Solution,
    demands: Demands,
    settings: Settings,
    *,
    findings: tuple[Finding, ...],
    scale_refused: bool,
) -> Opening:
    """Everything the photos say, first order; `scale_refused` keeps shape only."""
    nominal, state = assembly.nominal, solution.state
    cards = [c for p in photos for c in p.cards]
    door = at_door_line(state.opening)
    height = _mean_height(door, nominal.has_head, demands.height_mm)
    at_mm, beyond = _heights(height, _walls_seen_to(solution, assembly), demands, settings)
    functions = size_functions(at_mm, nominal.has_head, nominal.chord_mm, nominal.gravity)
    everything = propagate(solution, functions)
    lengths, _, jacobian = jacobian_of(solution, {n: f for n, f in functions.items() if n in SIZES})
    sizes = everything.select([n for n in SIZES if n in everything.names])
    refused = [n for n in LENGTHS if n in everything.names] if scale_refused else []
    vertical = vertical_word(photos, demands)
    refused += ["curb_level"] if vertical == "curb" else []
    unseen = unfollowed(photos)
    refused += [n for n in BOWS if n in everything.names and n not in refused and BOWS[n] in unseen]
    quantities = everything.select([n for n in everything.names if n not in refused])
    findings = (*findings, *_without_metadata(photos, sizes), *crooked(everything, settings.doubts))
    findings += () if scale_refused else tuple(held_too_high(photos, state))
    if scale_refused:
        findings = (*findings, _card_plane_finding(cards))
    return Opening(
        quantities=quantities,
        shape=with_free_scale(sizes) if scale_refused else sizes,
        at_mm=dict(at_mm),
        vertical=vertical,
        has_head=nominal.has_head,
        scale_refused=scale_refused,
        not_measured=_not_measured(quantities, scale_refused, nominal.has_head, beyond, vertical=vertical, unseen=unseen),
        cards=tuple(card_seen(c, settings) for c in cards),
        findings=findings,
        photos=tuple(_photo_geometry(i, photos, assembly, solution) for i in range(len(photos))),
        height_mm=height,
        smallest_width_mm=None if scale_refused else _smallest_width(quantities, door, nominal.chord_mm, nominal.has_head),
        wall_shapes={} if scale_refused else {n: s for n, s in wall_shapes(solution, assembly).items() if n not in unseen},
        verticals=tuple(vertical_scores(solution)),
        door_line=door_line_of(solution, photos, demands.door_line_mm),
        diagnostics=_diagnostics(solution, assembly),
        card_planes=card_planes(solution, assembly, lengths, jacobian),
        unseen=() if scale_refused else unseen_lies(solution, assembly, jacobian, settings.doubts),
    )


def _without_metadata(photos: Sequence[SeenPhoto], sizes: Gaussian) -> list[Finding]:
    """A finding for photos without a focal length; it does not hold where several cards carry the sizes without it."""
    alone = sum(len(p.used) for p in photos) < 2
    share = max((sizes.budget(n).get("focal length", 0.0) / sizes.u(n) for n in sizes.names), default=1.0)
    lack = "one reference alone does not make up for it" if alone else "the references do not make up for it"
    amount = f"; that makes {100 * share**2:.0f} % of the variance of the size it touches most" if share**2 >= LEAST_SHARE else ""
    holds = alone or share > FOCAL_SHARE
    return [
        Finding(
            "no-metadata",
            f"{photo.look.name} carries no focal length to go by{f', and {lack}' if holds else ''}{amount}.",
            "Send the original file, not a copy from a messenger.",
            holds=holds,
        )
        for photo in photos
        if not photo.look.prior.from_metadata
    ]


def _mean_height(opening: Array, has_head: bool, stated_mm: float | None) -> float | None:
    if not has_head:
        return stated_mm
    c = corners(opening)
    return float(np.linalg.norm(c[3] - c[0]) + np.linalg.norm(c[2] - c[1])) / 2


def _walls_seen_to(solution: Solution, assembly: Assembly) -> float:
    """Height above the curb (mm) up to which the edges of both walls were followed in some photo."""
    tops = dict.fromkeys(("left", "right"), 0.0)
    for i, observation in enumerate(assembly.observations):
        side = observation.edge[0]
        if side in tops:
            tops[side] = max(tops[side], float(solution.state.foot[i].max()))
    return min(tops.values())


def _heights(
    height: float | None, seen_to: float, demands: Demands, settings: Settings
) -> tuple[dict[str, float], dict[str, CannotMeasure]]:
    """Heights of the widths (mm), and the widths that would lie above the head, or where no wall was followed: why not."""
    if height is None:
        at = {n: demands.at_mm[n] for n in WIDTHS if n in demands.at_mm}
    else:
        at = width_heights(height, settings.top_margin_mm, demands.at_mm)
    beyond = {}
    for name, y in at.items():
        if height is not None and not 0 < y < height:
            beyond[name] = _hidden(
                f"a stated height of {y:.0f} mm, outside the opening of {height:.0f} mm",
                "a height between curb and head",
                "correct the reading's `at`",
            )
        elif not demands.has_head and y > settings.beyond_seen * seen_to:
            beyond[name] = _hidden(
                f"a height of {y:.0f} mm for this width; the photo shows the walls up to {seen_to:.0f} mm",
                "walls that are seen up to there",
                "correct the height, mark the upper corners higher on the walls, or show more of them in a new photo",
            )
    return {n: y for n, y in at.items() if n not in beyond}, beyond


def _hidden(found: str, needed: str, remedy: str) -> CannotMeasure:
    return CannotMeasure("sizes", "edge-hidden", found=found, needed=needed, remedy=remedy)


def _smallest_width(quantities: Gaussian, opening: Array, chord: float, has_head: bool) -> float | None:
    widths = [quantities.value(n) for n in WIDTHS if n in quantities.names]
    if not widths:
        return None
    y = np.linspace(0, float(opening[5]) if has_head else chord, 41)
    height = float(opening[5]) if has_head else chord
    between = wall_x(opening, y, "right", height) - wall_x(opening, y, "left", height)
    return float(min(*widths, between.min())) if len(widths) > 1 else float(min(widths[0], between.min()))


def _card_plane_finding(cards: Sequence[SeenCard]) -> Finding:
    used = [c.number for c in cards if c.used]
    seen = "is seen inside the opening and does" if len(used) == 1 else "are seen inside the opening and do"
    it = "it" if len(used) == 1 else "they"
    return Finding(
        "card-plane",
        f"{cards_called(used).capitalize()} {seen} not stand on the curb, so {it} cannot lie in the opening's plane; "
        "no size can be taken from it.",
        "Tape the card flat on the wall face beside the opening or stand it on the curb in line with the door, "
        "and take the photo again; "
        "or state how far behind the opening the card is.",
    )


def _not_measured(
    quantities: Gaussian,
    scale_refused: bool,
    has_head: bool,
    beyond: Mapping[str, CannotMeasure],
    *,
    vertical: str | None,
    unseen: frozenset[str],
) -> Mapping[str, CannotMeasure]:
    out: dict[str, CannotMeasure] = {}
    for name in QUANTITIES:
        if name not in quantities.names:
            hidden = not scale_refused and BOWS.get(name) in unseen
            refused = _refusal(name, scale_refused, has_head, beyond, vertical=vertical)
            out[name] = bow_unseen(BOWS[name]) if hidden else refused
    return out


def _refusal(
    name: str, scale_refused: bool, has_head: bool, beyond: Mapping[str, CannotMeasure], *, vertical: str | None
) -> CannotMeasure:
    if scale_refused and name in LENGTHS:
        return CannotMeasure(
            "cards",
            "card-plane",
            found="no reference card in the opening's plane",
            needed="one, or its distance behind the plane",
            remedy="tape the card on the wall face beside the opening and take the photo again",
        )
    if name == "curb_level" and vertical == "curb":
        return CannotMeasure(
            "cues",
            "no-vertical",
            found="only the curb itself, said to be level",
            needed="a plumb line, or a card set with a level",
            remedy="hang a string with a weight in the opening, or lay a level on the curb",
        )
    if name in NO_VERTICAL:
        return CannotMeasure(
            "cues",
            "no-vertical",
            found="nothing in the photo that is known to be vertical or level",
            needed="a plumb line, or a card set with a level",
            remedy="hang a string with a weight in the opening, or level both walls",
        )
    for width in (name, *RATIO_OF.get(name, ())):
        if width in beyond:
            return beyond[width]
    if not has_head and name not in WIDTHS and name != "top_over_bottom_width":
        return _no_head("no head above the opening", "an edge above", "nothing; heights are measured with the tape alone")
    return _no_head(
        "no head and no stated height for this width",
        "the height of the opening, or `at` with the reading",
        "state the height of the glass",
    )


def _no_head(found: str, needed: str, remedy: str) -> CannotMeasure:
    return CannotMeasure("sizes", "no-head", found=found, needed=needed, remedy=remedy)


def cards_of_refused(photos: Sequence[SeenPhoto], problem: CannotMeasure, settings: Settings) -> tuple[CardSeen, ...]:
    """The cards that were seen in photos that are refused, none of them used, so that their numbers can be looked up."""
    out = []
    for photo in photos:
        for card in photo.cards:
            width = opening_width_by(card, photo)
            implied = f"by it alone, lying in the opening's plane, the opening would be {width:.0f} mm wide"
            why = f"nothing is measured ({problem.code}); {implied}"
            out.append(card_seen(replace(card, used=False, why=card.why or why), settings))
    return tuple(out)


def card_seen(card: SeenCard, settings: Settings) -> CardSeen:
    """One card of one photo for the outside."""
    sd = float(np.hypot(card.offset_sd_mm(settings.cards), settings.cards.offset_own_sd_mm))
    used = card.used and not card.plane_unknown
    why = card.why or ("" if used else PLANE_UNKNOWN)
    return CardSeen(card.number, card.photo, card.spec.kind.name, card.corners_px, card.offset_mm, sd, used, why)


def _photo_geometry(index: int, photos: Sequence[SeenPhoto], assembly: Assembly, solution: Solution) -> PhotoGeometry:
    """Adjusted edges as polylines, the homography of the pictures, and the verticals that were followed."""
    photo = photos[index]
    state, nominal = solution.state, assembly.nominal
    camera, c = state.cameras[index], corners(state.opening)
    ends = {"left": (c[0, 1], c[3, 1]), "right": (c[1, 1], c[2, 1]), "curb": (c[0, 0], c[1, 0]), "head": (c[3, 0], c[2, 0])}
    edges = {
        name: camera.project(world_points((name, 0, 0), np.linspace(*ends[name], 33), state, nominal, solution.layout)[0])
        for name in OPENING_EDGES
        if name in photo.outline
    }
    marked = frozenset(n for n, points in photo.outline.items() if points.marked)
    size, H_image_wall = (photo.look.width, photo.look.height), camera.H_image_wall()
    return PhotoGeometry(*size, edges, H_image_wall, marked, photo.look.number, camera, followed_verticals(photos)[index])


def _diagnostics(solution: Solution, assembly: Assembly) -> dict[str, float]:
    camera = solution.state.cameras[0]
    return {
        "cost": solution.cost,
        "rows": float(len(solution.residuals)),
        "f_over_prior": camera.f / assembly.camera_priors[0].f,
        "k1": camera.k1,
    }
