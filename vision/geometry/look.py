"""What is taken from each photo, once: strips of raw pixels round outline, cards and plumb lines, and the camera's prior.

A `Look` is about a twentieth of the photo and is all that `measure` needs, so a moved corner is rechecked without the photo.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure
from vision.geometry.any_scale import sheets_at_any_scale
from vision.geometry.arris_sight import Sight, reduced, sights
from vision.geometry.by_shape import find_cards_and_cut
from vision.geometry.by_size import cards_by_size, near_a_size
from vision.geometry.camera import CameraPrior, bendable, camera_prior
from vision.geometry.cards import CardCandidate, CardSpec
from vision.geometry.corner_order import ORDER, cut_by_border, require_order, require_round
from vision.geometry.cut import BORDER_PX, CutCard, beyond, cut_off
from vision.geometry.ends import going_on, of_its_own
from vision.geometry.joints import face_segments
from vision.geometry.lines import LineFacts, LineLook, look_at_line
from vision.geometry.reach import corner_reach_px, usual_reach_px
from vision.geometry.rough_outline import OUTLINE_CORNERS, Marks, bent_by, located_view, outline_strips
from vision.geometry.shapes import mean_sides, same_place
from vision.geometry.start import PlaneView, front_view, view_of_rectangle
from vision.geometry.string_or_joint import Beside, look_beside
from vision.geometry.strips import Strip, take_strip
from vision.geometry.surround import alike, steps_at
from vision.geometry.targets import beside_targets, find_targets, off_paper
from vision.photo.intake import Photo
from vision.settings import CardKind, EdgeSettings, Settings

Array = NDArray[np.float64]
SIDE_CORNERS = ((0, 1), (1, 2), (3, 2), (0, 3))
"""corner numbers of a card's bottom, right, top and left edge, each in the direction of growing curve parameter"""
BESIDE_CARD_PX, LEAST_BESIDE_PX = 14, 9
"""px at 12 MP, and px of any photo at least, to either side of a card's sides that are kept"""


@dataclass(frozen=True)
class CardLook:
    """One card of one photo: its rough corners, kind, and a strip round each side (bottom, right, top, left)."""

    candidate: CardCandidate
    strips: tuple[Strip, Strip, Strip, Strip]
    ends: bool = True
    """False where the lines of its sides go on beyond its corners, as those of tiles do"""
    by_scale: bool = False
    """True where it was chosen by the scale that other cards tell, and so tells none itself"""
    by_rim: bool = False
    """True where a frame printed near its border was followed and moved out to it: along the border itself nothing is"""
    by_look: bool = False
    """True where what surrounds it does not tell it, so that it was taken for what it looks like"""
    along_lines: tuple[bool, ...] = (False,) * 4
    """True for each side (bottom, right, top, left) whose line goes on beyond a corner: it lies along a joint or a border"""


@dataclass(frozen=True)
class Look:
    """One photo as `measure` needs it: its number (from 1), and `scale`, its diagonal over that of a 12 MP photo."""

    number: int
    name: str
    width: int
    height: int
    scale: float
    prior: CameraPrior
    corners_px: Array | None
    outline: dict[str, Strip]
    cards: tuple[CardLook, ...]
    plumb: tuple[tuple[Array, Strip], ...]
    lines: tuple[LineLook, ...] = ()
    down: Array | None = None
    """(3,) gravity in the camera's frame, as the photo's metadata has it"""
    cut: tuple[CutCard, ...] = ()
    """cards that run out of the picture; nothing is measured by them"""
    segments: Array | None = None
    """(n, 2, 2) px, ends of straight segments all over the picture, or None where no cue is asked for"""
    odd: tuple[CardLook, ...] = ()
    """patches put up like a card that are nearly of a kind and yet of none; nothing is measured by them"""
    by_size: tuple[CardLook, ...] = ()
    """rectangles of a card's size at the scale of the others, whatever they look like; most are nothing"""
    sheets: tuple[CardLook, ...] = ()
    """sheets round what is printed on them, which may be among the cards itself, or of any scale where there is nothing else"""
    near: tuple[CardLook, ...] = ()
    """patches of nearly a kind's size at the scale of the cards, of which one side may be wrong; most are nothing"""
    corners_within_px: float | None = None
    """px of this photo; how well the corners are said to be marked, None where nothing is said"""
    by_person: bool = False
    """True where a person marked the corners, so that they may stand for an edge that cannot be followed"""
    sights: Mapping[str, Sight] = field(default_factory=dict)
    """by outline edge, where the arris seems to run beside the rough corners' line"""
    beside_plumb: tuple[Beside | None, ...] = ()
    """what lies beside each plumb line"""

    @property
    def marks(self) -> Marks:
        """The rough corners with the strips of their edges; only of a look that has corners."""
        assert self.corners_px is not None
        return Marks(self.corners_px, self.outline, self.scale, self.prior, self.corners_within_px)


def look(
    photo: Photo,
    kinds: Sequence[CardKind],
    corners_px: Array | None,
    stated_cards: Sequence[tuple[CardSpec, Array]],
    plumb_lines: Sequence[Array],
    *,
    number: int,
    has_head: bool,
    settings: Settings,
    lines: Sequence[LineFacts] = (),
    corners_within_px: float | None = None,
    by_person: bool = False,
) -> Look:
    """Everything one photo contributes. Raises CannotMeasure: opening-cut where a corner lies outside the picture, needs-corners
    where corners cross or come in another order, card-cut where a marked card runs out of the picture."""
    prior = camera_prior(photo.width, photo.height, photo.focal_35mm, settings.camera)
    about = partial(
        _look,
        photo,
        kinds,
        corners_px,
        stated_cards,
        plumb_lines,
        number=number,
        has_head=has_head,
        settings=settings,
        lines=lines,
        corners_within_px=corners_within_px,
        by_person=by_person,
    )
    seen = about(prior=prior)
    if corners_px is None or seen.prior.k1 or (prior.from_metadata and _like_cards(photo.pixels, seen.cards)):
        return seen
    wide = bent_by(replace(seen.marks, prior=bendable(prior, settings.camera)), settings.edges)
    return about(prior=wide) if wide.k1 else seen


def _look(
    photo: Photo,
    kinds: Sequence[CardKind],
    corners_px: Array | None,
    stated_cards: Sequence[tuple[CardSpec, Array]],
    plumb_lines: Sequence[Array],
    *,
    prior: CameraPrior,
    number: int,
    has_head: bool,
    settings: Settings,
    lines: Sequence[LineFacts],
    corners_within_px: float | None,
    by_person: bool,
) -> Look:
    """What `look` says, through a camera of which this is known beforehand."""
    scale = math.hypot(photo.width, photo.height) / settings.camera.reference_diagonal_px
    half = max(round(settings.edges.strip_px * scale), 24)
    view, outline, arrises = None, {}, {}
    if corners_px is not None:
        _require_inside(photo, corners_px)
        wider = corner_reach_px(scale, corners_within_px, settings.edges) - usual_reach_px(scale, settings.edges)
        outline = outline_strips(photo.pixels, corners_px, half + max(math.ceil(wider), 0), has_head=has_head)
        prior = bent_by(Marks(corners_px, outline, scale, prior, corners_within_px), settings.edges)
        view = view_of_rectangle(corners_px, prior, has_head=has_head)
        arrises = sights(reduced(photo.pixels, prior, scale), {n: corners_px[list(OUTLINE_CORNERS[n])] for n in outline})
    there = None if view is None or corners_px is None else (view, corners_px)
    by_shape = find_cards_and_cut(photo.pixels, kinds, there, prior, settings)
    found = beside_targets(by_shape.cards, targets := find_targets(photo.pixels, kinds))
    odd = off_paper(by_shape.odd, targets)
    for spec, corners in stated_cards:
        if border := beyond(corners, photo.width, photo.height):
            raise cut_off(f"{photo.name}: a marked {spec.kind.name} card at or beyond the {border} border of the picture")
        require_round(photo.name, spec.kind.name, corners)
    stated = [stated_card(spec, corners, view, prior) for spec, corners in stated_cards]
    found = [c for c in found if not any(same_place(c.corners_px, s.corners_px) for s in stated)]
    card_half = max(round(BESIDE_CARD_PX * scale), LEAST_BESIDE_PX)
    odd = [c for c in odd if not any(same_place(c.corners_px, s.corners_px) for s in stated)]
    sheets = [c for c in off_paper(by_shape.sheets, targets) if not any(same_place(c.corners_px, s.corners_px) for s in stated)]
    cards, strange, round_print = (
        tuple(_look_at_card(photo.pixels, c, card_half) for c in some) for some in ((*found, *stated), odd, sheets)
    )
    like_cards = _like_cards(photo.pixels, cards) or _like_cards(photo.pixels, round_print)
    if there is not None and not like_cards:
        last = sheets_at_any_scale(photo.pixels, there, kinds)
        round_print = (*round_print, *(_look_at_card(photo.pixels, c, card_half) for c in off_paper(last, targets)))
    marks = None if corners_px is None else Marks(corners_px, outline, scale, prior, corners_within_px)
    by_size = [] if marks is None else _by_size(photo.pixels, marks, like_cards, kinds, settings.edges, has_head=has_head)
    nearly = [] if view is None else near_a_size(by_shape.alone, [*found, *odd, *stated], like_cards, view, kinds)
    sized, near = (tuple(_look_at_card(photo.pixels, c, card_half) for c in some) for some in (by_size, nearly))
    plumb, around = _plumb_lines(photo.pixels, plumb_lines, half, scale)
    drawn, down = tuple(look_at_line(photo.pixels, one, half) for one in lines), photo.down
    segments = face_segments(photo.pixels, settings.joints)
    cut, found_too = tuple(by_shape.cut), (segments, strange, sized, round_print, near)
    rest = (plumb, drawn, None if down is None else np.array(down), cut, *found_too, corners_within_px, by_person, arrises)
    return Look(number, photo.name, photo.width, photo.height, scale, prior, corners_px, outline, cards, *rest, around)


def _plumb_lines(
    pixels: NDArray[np.uint8], lines: Sequence[Array], half: int, scale: float
) -> tuple[tuple[tuple[Array, Strip], ...], tuple[Beside | None, ...]]:
    """Each plumb line with the strip round it, and what lies beside each."""
    strips = tuple((line, take_strip(pixels, line[0], line[1], half)) for line in lines)
    return strips, tuple(look_beside(pixels, line, scale) for line in lines)


def _by_size(
    pixels: NDArray[np.uint8],
    marks: Marks,
    told: Sequence[CardCandidate],
    kinds: Sequence[CardKind],
    settings: EdgeSettings,
    *,
    has_head: bool,
) -> list[CardCandidate]:
    """What has a kind's size at the scale of the cards `told`, by the edges as located: sizes are asked to some hundredths."""
    if not told:
        return []
    off_px = 2 * max(corner_reach_px(marks.scale, marks.within_px, settings), usual_reach_px(marks.scale, settings))
    return cards_by_size(pixels, located_view(marks, settings, has_head=has_head), told, kinds, off_px=off_px)


def _like_cards(pixels: NDArray[np.uint8], cards: Sequence[CardLook]) -> list[CardCandidate]:
    """Those that may tell a scale: they are known, or differ alike from their surround at first sight; if none does, those that
    are seen to be references all the same."""
    found = [c.candidate for c in cards if c.ends]
    plain = [c for c in found if c.known or alike(steps_at(pixels, c.corners_px, [0, 1, 2, 3]))]
    return plain or [c.candidate for c in cards if c.candidate.likely]


def _look_at_card(pixels: NDArray[np.uint8], card: CardCandidate, half: int) -> CardLook:
    strips = card_strips(pixels, card.corners_px, half + (4 if card.stated else 0) + _ring_px(card))
    on = going_on(pixels, card.corners_px)
    along_lines = tuple(bool(side.any()) for side in on)
    return CardLook(card, strips, card.known or of_its_own(on), along_lines=along_lines)


def _ring_px(card: CardCandidate) -> int:
    """px over which the ring of a printed frame lies inside of its edges; 0 for other cards."""
    if card.kind is None or card.kind.target is None:
        return 0
    around = float(np.linalg.norm(np.roll(card.corners_px, -1, axis=0) - card.corners_px, axis=1).sum())
    return math.ceil(card.kind.target.ring_mm * around / (2 * (card.kind.width_mm + card.kind.height_mm)))


def _require_inside(photo: Photo, corners_px: Array) -> None:
    low, high = corners_px.min(axis=0), corners_px.max(axis=0)
    if low.min() < BORDER_PX or high[0] > photo.width - 1 - BORDER_PX or high[1] > photo.height - 1 - BORDER_PX:
        raise cut_by_border(photo.name, (photo.width, photo.height), corners_px)
    require_order(photo.name, corners_px)
    x, y = corners_px[:, 0], corners_px[:, 1]
    area = 0.5 * (x @ np.roll(y, -1) - y @ np.roll(x, -1))
    if -area < (0.05 * min(photo.width, photo.height)) ** 2:
        raise CannotMeasure(
            "outline",
            "needs-corners",
            found=f"{photo.name}: four corners that enclose next to nothing",
            needed=f"the opening's corners, {ORDER}",
            remedy="mark the four corners again",
        )


def card_strips(pixels: NDArray[np.uint8], corners: Array, half: int) -> tuple[Strip, Strip, Strip, Strip]:
    """A strip round each side of a card."""
    a, b, c, d = (take_strip(pixels, corners[i], corners[j], half, 4) for i, j in SIDE_CORNERS)
    return a, b, c, d


def stated_card(spec: CardSpec, corners: Array, view: PlaneView | None, prior: CameraPrior) -> CardCandidate:
    """A card whose corners the user marked; a named kind is turned as its aspect says, a custom one as stated."""
    kind, turned = spec.kind, False
    if not kind.name[0].isdigit():
        a, b = mean_sides((view or front_view(corners, prior)).on_plane(corners))
        turned = (a > b) != (kind.width_mm > kind.height_mm)
    return CardCandidate(corners, True, kind, turned, facts=spec)


def without_cards(seen: Look) -> Look:
    """The look without its cards (for tests and for planning)."""
    return replace(seen, cards=())
