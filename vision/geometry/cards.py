"""The catalogue of reference cards, and what the user states about them: `KIND[#N][@OFFSET[+-SD]][=WxHmm[+-SD]]`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.errors import BadInput
from vision.settings import CARD_KINDS, CardKind, CardSettings

_NUMBER = r"\d{1,9}(?:\.\d{1,15})?"
_SPEC = re.compile(
    rf"""^(?P<kind>[a-z][a-z0-9-]*|{_NUMBER}x{_NUMBER}mm)(?:\+-(?P<kind_sd>{_NUMBER}))?
    (?:\#(?P<number>\d{{1,6}}))?
    (?:@(?P<offset>[+-]?{_NUMBER})(?:\+-(?P<offset_sd>{_NUMBER}))?)?
    (?:=(?P<width>{_NUMBER})x(?P<height>{_NUMBER})mm(?:\+-(?P<size_sd>{_NUMBER}))?)?$""",
    re.VERBOSE | re.ASCII,
)
_CUSTOM = re.compile(rf"^({_NUMBER})x({_NUMBER})mm$", re.ASCII)
FORM = (
    "KIND[#N][@OFFSET[+-SD]][=WxHmm[+-SD]] with KIND one of a4, letter, id-1, sheet, quarter or WxHmm, "
    "as in letter#2@55+-3=215.6x279.1mm+-0.3"
)
LIKELY = 0.9
"""chance from which a patch is a reference whatever surrounds it"""
HALF_LIKE = 0.5
"""chance from which a patch is a reference if others bear it out (of 256 true ones of four unseen authors 19 in 20 have it)"""
NOTHING_LIKE = 0.1
"""chance under which a patch looks like none (by judgement; of 32 single references of four unseen authors the least had 0.6)"""
MIN_SIDE_MM, MAX_SIDE_MM = 10.0, 3000.0
MAX_OFFSET_MM, MAX_OFFSET_SD_MM = 5000.0, 500.0
"""mm; no wall that is seen with an opening lies further from its plane, and a depth less well known is none"""
MAX_SIDE_SD = 0.1
"""of the shorter side; who knows a side less well than that has not measured it"""


@dataclass(frozen=True)
class CardSpec:
    """One statement about cards: a kind that may be in the picture, or facts about all cards of a kind or about card `number`.

    Lengths in mm; None where not stated. `size_mm` is in the order of the nominal size.
    """

    kind: CardKind
    number: int | None = None
    offset_mm: float | None = None
    offset_sd_mm: float | None = None
    size_mm: tuple[float, float] | None = None
    size_sd_mm: float | None = None


def parse_card(text: str, settings: CardSettings) -> CardSpec:
    """One CARD as on the command line; BadInput names what is wrong."""
    match = _SPEC.match(text.strip())
    where = f"card {text!r}"
    if match is None:
        raise BadInput(where, "text of another form", FORM, "write the card again in that form")
    size = (float(match["width"]), float(match["height"])) if match["width"] else None
    kind = _kind(where, match["kind"], match["kind_sd"], settings)
    number = int(match["number"]) if match["number"] else None
    if number == 0:
        raise BadInput(where, "card number 0", "numbers from 1", "use the number drawn on the card in the picture")
    offset = None if match["offset"] is None else _plausible_offset(where, float(match["offset"]))
    most_mm = MAX_SIDE_SD * min(size or (kind.width_mm, kind.height_mm))
    for sd, most in ((match["offset_sd"], MAX_OFFSET_SD_MM), (match["size_sd"], most_mm), (match["kind_sd"], most_mm)):
        if sd is not None and not 0 < float(sd) <= most:
            needed = f"a standard deviation above 0, at most {most:g} mm"
            raise BadInput(where, f"an uncertainty of {float(sd):g} mm", needed, "state how far the number may be off")
    size_sd = float(match["size_sd"]) if match["size_sd"] else (settings.measured_sd_mm if size else None)
    if size is not None and size_sd is not None:
        size, size_sd = _sides_from(where, kind, size, size_sd)
    return CardSpec(
        kind,
        number,
        offset,
        float(match["offset_sd"]) if match["offset_sd"] else (None if offset is None else settings.stated_offset_sd_mm),
        size,
        size_sd,
    )


def _plausible_offset(where: str, offset_mm: float) -> float:
    """The same; BadInput for what is no number or further off than any wall. nan is neither."""
    if not abs(offset_mm) <= MAX_OFFSET_MM:
        found, needed = f"{offset_mm:g} mm behind the opening", f"a depth in mm, at most {MAX_OFFSET_MM:g} either way"
        raise BadInput(
            where, found, needed, "state how far behind the opening's plane the card lies, negative in front, or nothing"
        )
    return offset_mm


def _sides_from(where: str, kind: CardKind, measured: tuple[float, float], sd: float) -> tuple[tuple[float, float], float]:
    """The sides and their sd from two measured lengths: the sides themselves, or the control lengths of the uncut print.

    Both directions of a print have one scale each, so the sides are the control lengths' share; the larger sd counts for both.
    """
    sides = (kind.width_mm, kind.height_mm)
    if _near(measured, sides):
        return measured, sd
    if kind.control_mm is not None and _near(measured, kind.control_mm):
        share = [side / control for side, control in zip(sides, kind.control_mm, strict=True)]
        return (measured[0] * share[0], measured[1] * share[1]), sd * max(share)
    wanted = f"within 10 % of {sides[0]:g} x {sides[1]:g} mm, in that order"
    if kind.control_mm is not None:
        wanted = f"within 10 % of {kind.control_mm[0]:g} x {kind.control_mm[1]:g} mm (whole page before cutting), in that order"
    raise BadInput(
        where, f"measured sides of {measured[0]:g} x {measured[1]:g} mm", wanted, "measure again, or state another kind"
    )


def _near(measured: tuple[float, float], nominal: tuple[float, float]) -> bool:
    return all(0.9 < m / n < 1.1 for m, n in zip(measured, nominal, strict=True))


def _kind(where: str, text: str, sd_text: str | None, settings: CardSettings) -> CardKind:
    """A named kind, or one made from stated sides."""
    custom = _CUSTOM.match(text)
    if custom is None:
        if text not in CARD_KINDS or sd_text is not None:
            found = f"kind {text!r}" if text not in CARD_KINDS else "an uncertainty on a named kind's nominal size"
            raise BadInput(where, found, f"one of {', '.join(CARD_KINDS)} or WxHmm as in 300x200mm", "correct the kind")
        return CARD_KINDS[text]
    width, height = float(custom[1]), float(custom[2])
    if not (MIN_SIDE_MM <= width <= MAX_SIDE_MM and MIN_SIDE_MM <= height <= MAX_SIDE_MM):
        raise BadInput(
            where, f"sides of {width:g} x {height:g} mm", f"{MIN_SIDE_MM:g} to {MAX_SIDE_MM:g} mm", "state the true sides in mm"
        )
    sd = float(sd_text) if sd_text else settings.custom_sd_mm
    return CardKind(text, width, height, sd, sd, 0.0, 0.0, "stated by the user")


@dataclass(frozen=True)
class CardFacts:
    """Everything stated about cards: the kinds to look for, and the statements in order."""

    specs: tuple[CardSpec, ...]
    default_offset_mm: float | None

    @property
    def kinds(self) -> tuple[CardKind, ...]:
        """Kinds that may be in the picture; the named kinds where none is stated."""
        stated = tuple(dict.fromkeys(spec.kind for spec in self.specs))
        return stated or tuple(CARD_KINDS.values())

    def facts_for(self, kind: CardKind, number: int) -> CardSpec:
        """What holds for this card: statements for its kind, overruled field by field by those for its number."""
        offset: tuple[float | None, float | None] = (self.default_offset_mm, None)
        size: tuple[tuple[float, float] | None, float | None] = (None, None)
        for spec in sorted(self.specs, key=lambda s: s.number is not None):
            if spec.kind.name == kind.name and spec.number in (None, number):
                if spec.offset_mm is not None:
                    offset = (spec.offset_mm, spec.offset_sd_mm)
                if spec.size_mm is not None:
                    size = (spec.size_mm, spec.size_sd_mm)
        return CardSpec(kind, number, offset[0], offset[1], size[0], size[1])

    def measured_alone(self, kind: CardKind, number: int) -> bool:
        """True where card `number` has control lengths of its own (it then shares no size error with its kind)."""
        return any(s.kind.name == kind.name and s.number == number and s.size_mm is not None for s in self.specs)

    def facts_of(self, card: CardCandidate, number: int) -> tuple[CardSpec, bool]:
        """`facts_for` and `measured_alone` of a card of known kind; what was stated where it was marked comes first."""
        if card.kind is None:
            raise ValueError("the kind is not known yet")
        spec, alone, own = self.facts_for(card.kind, number), self.measured_alone(card.kind, number), card.facts
        if own is not None and own.offset_mm is not None:
            spec = replace(spec, offset_mm=own.offset_mm, offset_sd_mm=own.offset_sd_mm)
        if own is not None and own.size_mm is not None:
            spec, alone = replace(spec, size_mm=own.size_mm, size_sd_mm=own.size_sd_mm), True
        return spec, alone


def parse_marked(text: str, settings: CardSettings) -> CardSpec:
    """The CARD of a card whose corners are marked; BadInput where it bears a number, which only the picture gives."""
    spec = parse_card(text, settings)
    if spec.number is not None:
        raise BadInput(
            f"card corners {text!r}",
            f"the number {spec.number}",
            "KIND[@OFFSET[+-SD]][=WxHmm[+-SD]]: marked cards are numbered last, in the order in which they are given",
            "leave the number out: what is stated there holds for the card that is marked",
        )
    return spec


def parse_cards(texts: Sequence[str], default_offset_mm: float | None, settings: CardSettings) -> CardFacts:
    """All CARD texts of one check; BadInput for a text of another form and for numbers that no card has."""
    if default_offset_mm is not None:
        _plausible_offset("card offset", default_offset_mm)
    specs = tuple(parse_card(text, settings) for text in texts)
    said = list(zip(texts, specs, strict=True))
    for i, (text, spec) in enumerate(said):
        for other, before in said[:i]:
            if _contradict(before, spec):
                which = f"card number {spec.number}" if spec.number is not None else f"all cards of kind {spec.kind.name}"
                remedy = "leave out the one that is wrong; what holds for one card only takes its number, as in a4#2"
                raise BadInput(f"cards {other!r} and {text!r}", f"two different facts about {which}", "one of the two", remedy)
    return CardFacts(specs, default_offset_mm)


def _contradict(one: CardSpec, other: CardSpec) -> bool:
    """Whether both speak of the same card or cards and say different things: a kind, a depth or sides."""
    if one.number != other.number:
        return False
    if one.kind != other.kind:
        return one.number is not None or one.kind.name == other.kind.name
    depths, sides = [(s.offset_mm, s.offset_sd_mm) for s in (one, other)], [(s.size_mm, s.size_sd_mm) for s in (one, other)]
    return any(None not in (a[0], b[0]) and a != b for a, b in (depths, sides))


@dataclass(frozen=True)
class CardCandidate:
    """A quadrilateral that may be a card: corners (4, 2) px, bottom-left, bottom-right, top-right, top-left of the picture.

    `kind` is None until the kinds are told apart; `upright` means the card's first side runs bottom-left to bottom-right.
    """

    corners_px: NDArray[np.float64]
    stated: bool = False
    kind: CardKind | None = None
    turned: bool = False
    """True where the card's nominal height lies along bottom-left to bottom-right"""
    target: int | None = None
    """the number in the middle of a frame that we print, which tells its kind"""
    facts: CardSpec | None = None
    """what the user stated of it where the corners were marked"""
    chance: float | None = None
    """that it is a reference by what it looks like (`reference_sight.py`), None where that was not asked"""

    @property
    def likely(self) -> bool:
        """True where it is seen to be a reference, whatever its surround is."""
        return self.chance is not None and self.chance >= LIKELY

    @property
    def unlike(self) -> bool:
        """True where it looks like no reference, and nobody has said that it is one."""
        return not self.known and self.chance is not None and self.chance < NOTHING_LIKE

    @property
    def known(self) -> bool:
        """True where the kind is stated or read from its target, and not told by shape."""
        return self.stated or self.target is not None

    @property
    def sides_mm(self) -> tuple[float, float]:
        """Nominal sides along bottom and left edge."""
        if self.kind is None:
            raise ValueError("the kind is not known yet")
        w, h = self.kind.width_mm, self.kind.height_mm
        return (h, w) if self.turned else (w, h)


def in_picture_order(corners: NDArray[np.float64]) -> NDArray[np.float64]:
    """Four corners (..., 4, 2) as bottom-left, bottom-right, top-right, top-left (y runs down in pixels)."""
    off = corners - corners.mean(axis=-2, keepdims=True)
    order = np.argsort(np.arctan2(-off[..., 1], off[..., 0]), axis=-1)
    turn = np.take_along_axis(corners, order[..., None], axis=-2)  # counterclockwise as seen, from -180 deg: lower left first
    start = np.argmin(turn[..., 0] - turn[..., 1], axis=-1)
    return np.asarray(np.take_along_axis(turn, (np.arange(4) + start[..., None])[..., None] % 4, axis=-2))
