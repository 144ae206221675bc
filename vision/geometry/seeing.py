"""One look -> one usable photo: its outline along rough lines, its first view, and its cards told from tiles."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure
from vision.geometry.agreeing import agreeing_cards, likely_beside, likely_cards, without_unlike
from vision.geometry.alone import as_light
from vision.geometry.card_seen import RefinedCard, refine_card
from vision.geometry.cut import beyond
from vision.geometry.edge_shape import MOST_FITTED_BLUR_PX
from vision.geometry.edges import EdgePoints
from vision.geometry.further import further_cards
from vision.geometry.lines import seen_lines
from vision.geometry.lines_meant import lines_meant
from vision.geometry.locate import Rival
from vision.geometry.look import Look
from vision.geometry.marked import MOST_MARKED, marked_edges, rough_curves
from vision.geometry.observe import clean_blur, observe_outline, observe_plumb
from vision.geometry.reach import usual_reach_px
from vision.geometry.rivals import beside_rivals, hopeless_px, moved_beside, which_is_meant
from vision.geometry.rough_outline import refined_corners
from vision.geometry.round_print import with_sheets
from vision.geometry.seen import Demands, SeenCard, SeenPhoto
from vision.geometry.shapes import same_place
from vision.geometry.start import USUAL_DISTANCE_MM, view_of_rectangle
from vision.geometry.string_or_joint import in_a_row
from vision.geometry.targets import is_whole
from vision.settings import EdgeSettings, Settings

Array = NDArray[np.float64]
NOT_HELD = "its sides have no reference's ratio"
"""why a card is not used where the sheets that contradict it are"""
CURB_STAND_MM = 30.0
"""mm; a card whose lower edge is this near to the curb line stands on the curb"""
COLOUR_BLUR_PX = 1.0
"""px; what storing colour differences at half resolution adds to an edge's blur"""
SOFTER = 1.2
"""ratio of blurs that edges of one sharp photo show anyway"""
MOST_RAGGED_EDGE_PX = 1.3
"""px at 12 MP; scatter of an outline edge's points beyond which it is something else, or nothing, that was followed"""
LEAST_SEEN = 0.15
"""share of an edge's blocks that must lie on one smooth curve"""
MOST_BLUR_PX = 5.5
"""px at 12 MP; sd of an edge's blur beyond which nothing under a centimetre can be said"""
FIT_ENDS = 0.99
"""of the widest blur that is fitted: from here on a blur may as well be larger"""
AT_12_MP = "(one standard deviation, at 12 megapixels)"


def see_photo(seen: Look, first_number: int, demands: Demands, settings: Settings) -> SeenPhoto:
    """Everything that can be seen before the adjustment. Raises CannotMeasure: needs-corners, edge-hidden, blur."""
    if seen.corners_px is None:
        raise CannotMeasure(
            "outline",
            "needs-corners",
            found=f"{seen.name}: no corners of the opening",
            needed="its four rough corners, to 15 pixels",
            remedy="mark bottom-left, bottom-right, top-right and top-left in the photo",
        )
    curves, rivals, told = lines_meant(seen, demands, settings.edges)
    outline = {n: p for n, (c, e) in curves.items() if (p := observe_outline(seen, n, c, e, settings.edges)) is not None}
    unclear = not_followed(seen, outline, rivals)
    outline = {n: p for n, p in outline.items() if n not in unclear}
    require_sharp(seen, outline)
    beside = beside_rivals(curves, {n: r for n, r in rivals.items() if n in outline}) | told
    outline = moved_beside(finished(outline, seen.scale, settings.edges), beside, seen.outline)
    outline |= marked_edges(seen, list(unclear), settings.edges)
    curves |= rough_curves(seen, list(unclear), settings.edges)
    taken = {n: (c + beside[n].shift if n in beside else c, e) for n, (c, e) in curves.items()}
    corners = refined_corners(taken, seen.marks)
    view = view_of_rectangle(corners, seen.prior, has_head=demands.has_head)
    strings, alike = _strings(seen, settings.edges)
    reach = usual_reach_px(seen.scale, settings.edges)
    lines = seen_lines(seen.lines, scale=seen.scale, search_px=reach, settings=settings.edges)
    photo = SeenPhoto(seen, view, corners, outline, strings, lines=lines, beside=beside, unclear=unclear, plumb_alike=alike)
    return _cards(photo, first_number, demands, settings)


def _strings(seen: Look, settings: EdgeSettings) -> tuple[tuple[tuple[Array, EdgePoints], ...], tuple[int, ...]]:
    """The plumb lines that can be followed, and how many lines stand in one row with each."""
    found = [(line, observe_plumb(line, strip, seen, settings)) for line, strip in seen.plumb]
    around = seen.beside_plumb or (None,) * len(found)
    alike = tuple(in_a_row(beside, p) for (_, p), beside in zip(found, around, strict=True) if p is not None)
    return tuple((line, p) for line, p in found if p is not None), alike


def finished(outline: Mapping[str, EdgePoints], scale: float, settings: EdgeSettings) -> dict[str, EdgePoints]:
    """The outline with the doubt of how its edges are finished: roundings that the light shows, and an easing that it may not."""
    return {n: eased(p, settings.eased_px * scale) for n, p in rounded(outline, scale).items()}


def eased(points: EdgePoints, sd_px: float) -> EdgePoints:
    """The points of an arris that may be eased by as much all along, which moves it and bends nothing."""
    wider, finish = (float(np.hypot(px, sd_px)) for px in (points.bias_sd_px, points.finish_px))
    return replace(points, bias_sd_px=wider, finish_px=finish, sag_sd_px=points.sag_sd_px or points.bias_sd_px)


def rounded(outline: Mapping[str, EdgePoints], scale: float) -> dict[str, EdgePoints]:
    """The outline with the doubt of rounded edges: one that is softer than the sharpest here turns over a strip, not a line.

    Such a strip of width R has a blur of R / sqrt(12) beyond the lens's; the flat may end at either border, R / 2 away.
    """
    sharp = SOFTER * clean_blur(outline, scale)
    out = {}
    for name, points in outline.items():
        usual = float(np.hypot(sharp, COLOUR_BLUR_PX * min(abs(points.coloured), 1.0)))
        turn = np.sqrt(3.0 * max(points.blur_px**2 - usual**2, 0.0))
        wider, finish = (float(np.hypot(px, turn)) for px in (points.bias_sd_px, points.finish_px))
        out[name] = replace(points, bias_sd_px=wider, finish_px=finish)
    return out


def not_followed(seen: Look, outline: Mapping[str, EdgePoints], rivals: Mapping[str, Rival]) -> dict[str, float]:
    """Edges that are missing, mostly hidden, or one of two lines that no pixel tells apart (how far apart, px; else 0).

    Refused where no person marked the corners, which may stand for them, or where too little is left.
    """
    ragged = MOST_RAGGED_EDGE_PX * max(seen.scale, 0.5)
    missing = [n for n in seen.outline if n not in outline]
    hidden = missing + [n for n, p in outline.items() if p.kept_share < LEAST_SEEN or p.ragged_px > ragged]
    apart = {n: px for n, px in hopeless_px(seen, rivals).items() if n not in hidden}
    if seen.by_person and len(hidden) + len(apart) <= MOST_MARKED:
        return {n: apart.get(n, 0.0) for n in seen.outline if n in apart or n in hidden}
    if hidden:
        near, wider = "", ""
        if seen.corners_within_px is not None:
            near = f" within {seen.corners_within_px:g} pixels of its corners"
            wider = "state more pixels for how well the corners are marked (corners-within) or mark them again enlarged, or "
        raise CannotMeasure(
            "edges",
            "edge-hidden",
            found=f"{seen.name}: no edge to follow at the {' and the '.join(hidden)}{near}",
            needed="every edge of the opening in sight",
            remedy=f"{wider}take away what stands before it, mark the corners again, or take the photo in better light",
        )
    if apart:
        raise which_is_meant(seen, apart)
    return {}


def require_sharp(seen: Look, outline: Mapping[str, EdgePoints]) -> None:
    """Refuse a photo of which the edges that can be followed are blurred away."""
    fitted = float(np.median([p.blur_px for p in outline.values()]))
    blur = fitted / seen.scale
    if blur > MOST_BLUR_PX:
        more = " or more" if fitted > FIT_ENDS * MOST_FITTED_BLUR_PX else ""
        raise CannotMeasure(
            "edges",
            "blur",
            found=f"{seen.name}: the edges of the opening are blurred by {blur:.1f} pixels{more} {AT_12_MP}",
            needed=f"at most {MOST_BLUR_PX} pixels",
            remedy="wipe the lens, lean the phone on something, and take the photo again with more light",
        )


def _cards(photo: SeenPhoto, first_number: int, demands: Demands, settings: Settings) -> SeenPhoto:
    """The photo with cards whose sides can be followed and, refined, still have a kind's aspect, and those of a size that these
    tell; and with sheets that contradict them, in case none of them holds."""
    found, sheets = (
        [r for c in some if (r := refine_card(c, photo, demands, settings)) is not None]
        for some in (photo.look.cards, photo.look.sheets)
    )
    kept = without_unlike([*found, *sheets], photo)
    found, sheets = ([r for r in some if any(r is one for one in kept)] for some in (found, sheets))
    cards = with_sheets(found, sheets, photo)
    cards = cards or likely_cards(photo, demands, settings) or agreeing_cards(photo, demands, settings)
    cards = [*cards, *further_cards(photo, cards, demands, settings)]
    cards = [*cards, *likely_beside(photo, cards, demands, settings)]
    others = [s for s in with_sheets([], sheets, photo) if not any(same_place(s[1], c[1]) for c in cards)] if cards else []
    every = _numbered([*cards, *others], photo, first_number, demands)
    if _unconfirmed(every, cards) and (rivals := as_light(cards[0], others)):
        return replace(photo, cards=tuple(_numbered([*cards, *rivals], photo, first_number, demands)))
    mine = {c.number for c in every if any(c.corners_px is corners for _, corners, _ in cards)}
    second = tuple(replace(c, used=False, why=NOT_HELD) if c.number in mine else c for c in every) if others else ()
    return replace(photo, cards=tuple(_numbered(cards, photo, first_number, demands)), second=second)


def _unconfirmed(every: Sequence[SeenCard], cards: Sequence[RefinedCard]) -> bool:
    """True where the only reference is neither marked nor a frame of ours nor measured: a mirror has a sheet's shape too, and a
    sheet as light that contradicts it is as good a witness."""
    mine = [c for c in every if any(c.corners_px is corners for _, corners, _ in cards)]
    return len(mine) == 1 and not mine[0].look.candidate.known and mine[0].spec.size_mm is None


def _numbered(found: Sequence[RefinedCard], photo: SeenPhoto, first_number: int, demands: Demands) -> list[SeenCard]:
    """Cards with what is stated of them, numbered from left to right, those that the user marked last."""
    out: list[SeenCard] = []
    for number, (look, corners, sides) in enumerate(sorted(found, key=_place), first_number):
        kind = look.candidate.kind
        assert kind is not None
        spec, alone = demands.cards.facts_of(look.candidate, number)
        seen = SeenCard(number, photo.look.number, look, spec, corners, sides, inside=inside_outline(photo, corners), alone=alone)
        border = beyond(corners, photo.look.width, photo.look.height)
        why = "" if is_whole(look.candidate, corners, sides) else "an edge of its printed frame is covered or cut off"
        why = why if border is None else f"it is cut off by the {border} border of the picture"
        out.append(replace(seen, used=not why, why=why))
    return out


def _place(card: RefinedCard) -> tuple[bool, float, float]:
    x, y = card[0].candidate.corners_px.mean(axis=0)
    return card[0].candidate.stated, float(x), float(y)


def inside_outline(photo: SeenPhoto, corners: Array) -> bool:
    """True where the whole card lies inside the outline and does not stand on the curb."""
    return inside_polygon(photo.corners_px, corners, photo.look.prior.f)


def inside_polygon(polygon: Array, corners: Array, f_px: float) -> bool:
    """`inside_outline` of an outline (4, 2) px, from bottom-left on, and a card's corners (4, 2) px; `f_px` the focal length."""
    d = np.roll(polygon, -1, axis=0) - polygon
    for corner in corners:
        r = corner - polygon
        # bottom-left, bottom-right, ... runs counterclockwise as seen, and y runs down in a picture: inside is the negative side
        if np.any(d[:, 0] * r[:, 1] - d[:, 1] * r[:, 0] > 0):
            return False
    px_per_mm = f_px / USUAL_DISTANCE_MM
    normal = np.array([-d[0, 1], d[0, 0]]) / np.linalg.norm(d[0])
    lowest = min(abs(float(normal @ (c - polygon[0]))) for c in corners[:2])
    return lowest > CURB_STAND_MM * px_per_mm
