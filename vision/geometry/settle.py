"""Cards held against everything else that the photo says: a side loosened, a card named, left out, or the photo refused.

One side that stands alone (a shadow's border taken for the card's) keeps its place with a doubt that matches. A card that as a
whole is not what it is taken for is left out where the others leave no doubt which it is, and refused where they do. Nothing
that contradicts is averaged in without a word.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure, Finding
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly
from vision.geometry.card_doubts import MOST_SD, CardDoubt, card_doubts, effects
from vision.geometry.consistency import loosened, side_scores
from vision.geometry.model import H0
from vision.geometry.seen import SeenPhoto
from vision.geometry.sizes import jacobian_of, size_functions
from vision.settings_doubts import DoubtSettings

Array = NDArray[np.float64]
CODES = {"size": "cards-disagree", "off": "cards-disagree", "ratio": "card-kind"}
NEEDED = {
    "cards-disagree": "cards that agree on the scale",
    "card-kind": "the kind of card that is stated, uncut",
    "card-plane": "a card that lies flat against the wall",
    "card-bent": "a card that is flat",
}
REMEDY = {
    "cards-disagree": "check kind, measured lengths, stated depth and print scale of the card, and that it lies flat in the "
    "opening's plane",
    "card-kind": "look at the number in the picture; state the card's kind, its measured sides, or its depth behind the opening",
    "card-plane": "press the card flat against the wall face all round and take the photo again",
    "card-bent": "press the card flat, or use a stiffer one, and take the photo again",
}
ONE_SIDE = "side of card {} (or the one opposite)"
LEAST_SURE = 2
"""cards that are told by themselves, from which one that is told by its size alone is no witness against them"""
LEAST_SWAPPED = 0.001
"""relative; lengths that differ by less may change places without harm"""
Again = Callable[[Sequence[SeenPhoto]], Assembly]


@dataclass(frozen=True)
class Settled:
    """Photos, problem and solution once nothing contradicts any more, and what had to be said on the way."""

    photos: tuple[SeenPhoto, ...]
    assembly: Assembly
    solution: Solution
    findings: tuple[Finding, ...] = ()


def settle_cards(
    photos: Sequence[SeenPhoto], assembly: Assembly, solution: Solution, again: Again, settings: DoubtSettings
) -> Settled:
    """Deal with what contradicts most until nothing does.

    Raises CannotMeasure (cards-disagree, card-kind, card-plane, card-bent) where no card is left that can be trusted.
    """
    now, told, sides_left = Settled(tuple(photos), assembly, solution), set[tuple[int, str]](), settings.most_odd_sides
    while True:
        doubts = [d for d in card_doubts(now.solution, now.assembly) if (d.model, d.what) not in told]
        worst = max(doubts, key=lambda d: abs(d.score), default=None)
        most = abs(worst.score) if worst is not None else 0.0
        side, shift, score = _worst_side(now)
        far = abs(shift) > settings.far_side_px * now.photos[0].look.scale
        alone = most < settings.odd_card_sd or (
            abs(score) >= most and not far
        )  # far: further than a shadow, the card is in question
        guess = _guessed_wrongly(now, doubts, settings)
        if sides_left and abs(score) >= settings.odd_side_sd and alone:
            now, sides_left = _loosen(now, side, shift, again, settings), sides_left - 1
        elif guess is not None:
            now, told = _left_out(now, guess, again), set()
        elif worst is None or most < settings.doubted_card_sd:
            return now
        elif worst.what.startswith("bulge") and _harmless(now, worst, settings):
            now, told = _told(now, worst, "It moves no size by more than its uncertainty.", holds=False), _also(told, worst)
        elif most < settings.odd_card_sd:
            return _doubted(now, worst, doubts, again, settings)
        else:
            now, told = _without(now, worst, doubts, again, settings), set()


def _guessed_wrongly(now: Settled, doubts: Sequence[CardDoubt], settings: DoubtSettings) -> CardDoubt | None:
    """What contradicts most of a card that was taken for one by its size alone: a rail with its rungs has some rectangle of a
    sheet's size in it, to a few hundredths. Only where two others agree without it: against a single one it may be right."""
    by_scale = {now.assembly.models[c.number]: c.look.by_scale for p in now.photos for c in p.used}
    if sum(not guess for guess in by_scale.values()) < LEAST_SURE:
        return None
    guesses = [d for d in doubts if by_scale[d.model] and abs(d.score) >= settings.guessed_card_sd]
    return max(guesses, key=lambda d: abs(d.score), default=None)


def _also(told: set[tuple[int, str]], doubt: CardDoubt) -> set[tuple[int, str]]:
    """One bulge of a card said is enough: the other way of bending is no news."""
    return told | {(doubt.model, what) for what in ("bulge across", "bulge along")}


def _worst_side(now: Settled) -> tuple[int, float, float]:
    """The observation of the oddest side, its shift (px) and score; nothing odd where there is none."""
    scores = side_scores(now.solution, now.assembly)
    if not scores:
        return -1, 0.0, 0.0
    worst = max(scores, key=lambda i: abs(scores[i][1]))
    return worst, *scores[worst]


def _loosen(now: Settled, side: int, shift_px: float, again: Again, settings: DoubtSettings) -> Settled:
    photos = loosened(now.photos, now.assembly, side, abs(shift_px))
    findings = now.findings
    observation = now.assembly.observations[side]
    off_px = abs(shift_px) / now.photos[observation.photo].look.scale
    if off_px > settings.said_side_px:
        name = ("bottom", "right", "top", "left")[observation.edge[2]]
        card = _numbers(now.assembly, observation.edge[1])
        text = (
            f"The {name} {ONE_SIDE.format(card)} is {abs(shift_px):.1f} px "
            "from where the rest of the photo wants it: a shadow's border, a fold, or another shape; little rests on it."
        )
        far = off_px > settings.far_side_px
        findings = (*findings, Finding("card-bent", text, _sentence(REMEDY["card-bent"]), holds=far))
    return _solved(photos, again, findings)


def _solved(photos: Sequence[SeenPhoto], again: Again, findings: tuple[Finding, ...]) -> Settled:
    assembly = again(photos)
    return Settled(tuple(photos), assembly, assembly.problem.solve(assembly.start, assembly.camera_priors), findings)


def _without(now: Settled, worst: CardDoubt, doubts: Sequence[CardDoubt], again: Again, settings: DoubtSettings) -> Settled:
    """The oddest card left out; CannotMeasure where it is the only one, or one of two and either may be it."""
    others = [abs(d.score) for d in doubts if d.model != worst.model]
    count = len(now.assembly.nominal.cards)
    either = count == 2 and bool(others) and max(others) ** 2 > worst.score**2 - settings.rival
    if count == 1 or either:
        code = "cards-disagree" if either else _code(worst)
        numbers = " and ".join(str(n) for n in sorted(now.assembly.models)) if either else ""
        found = f"cards {numbers} that contradict each other: {_words(now, worst)}" if either else _words(now, worst)
        remedy = REMEDY[code] + (_swapped(now, worst, doubts) if either else "")
        raise CannotMeasure("adjustment", code, found=found, needed=NEEDED[code], remedy=remedy)
    return _left_out(now, worst, again, holds=count == 2)


def _swapped(now: Settled, worst: CardDoubt, doubts: Sequence[CardDoubt]) -> str:
    """What to look at besides where two cards of a kind have measured lengths and each seems to have the other's."""
    stated = {now.assembly.models[c.number]: c.spec for p in now.photos for c in p.used if c.spec.size_mm is not None}
    other = next((spec for model, spec in stated.items() if model != worst.model), None)
    own = stated.get(worst.model)
    if own is None or other is None or own.size_mm is None or other.size_mm is None or own.kind.name != other.kind.name:
        return ""
    off = float(np.log(np.divide(other.size_mm, own.size_mm)).mean())
    seems = next(d.amount for d in doubts if d.model == worst.model and d.what == "size")
    if abs(off) < LEAST_SWAPPED or off * seems <= 0:
        return ""
    return "; the measured lengths of these two may have been given the wrong way round: compare with the numbers in the picture"


def _left_out(now: Settled, worst: CardDoubt, again: Again, *, holds: bool = False) -> Settled:
    told = _told(now, worst, "It was left out.", holds=holds)
    why = f"it contradicts {_words(now, worst).partition(' contradicts ')[2]}"
    gone = {n: why for n, k in now.assembly.models.items() if k == worst.model}
    side = ONE_SIDE.format(_numbers(now.assembly, worst.model))  # what is wrong with a card that is not used holds nothing
    findings = tuple(replace(f, holds=False) if side in f.text else f for f in told.findings)
    return _solved([p.leaving_out(gone) for p in now.photos], again, findings)


def _told(now: Settled, doubt: CardDoubt, what: str, *, holds: bool = True) -> Settled:
    code = _code(doubt)
    finding = Finding(code, f"{_sentence(_words(now, doubt))} {what}", _sentence(REMEDY[code]), holds=holds)
    return Settled(now.photos, now.assembly, now.solution, (*now.findings, finding))


def _code(doubt: CardDoubt) -> str:
    return CODES.get(doubt.what, "card-plane" if doubt.what.startswith("tilt") else "card-bent")


def _words(now: Settled, doubt: CardDoubt) -> str:
    """The doubt as a fact that a person can look at."""
    amount, sd = doubt.amount, doubt.sd
    if doubt.what in ("size", "off"):
        both = {d.what: d.amount for d in card_doubts(now.solution, now.assembly) if d.model == doubt.model}
        larger = "larger" if both["size"] > 0 else "smaller"
        way = "in front of" if both["off"] > 0 else "behind"
        fact = f"as if it were {100 * abs(both['size']):.1f} % {larger}, or stood {abs(both['off']):.0f} mm {way} the wall"
    elif doubt.what == "ratio":
        off = f"{200 * abs(amount):.1f} % (give or take {400 * sd:.1f} at 95 %)"
        fact = f"the ratio of its sides is off by {off}: another kind, cut or folded"
    elif doubt.what.startswith("tilt"):
        end, way = doubt.what.split()[1], "off" if amount > 0 else "behind"
        fact = f"its {end} edge stands {way} the wall by {abs(np.degrees(amount)):.1f} degrees"
    else:
        fact = f"its face bulges by {abs(amount):.1f} mm (give or take {2 * sd:.1f} at 95 %)"
    return f"card {_numbers(now.assembly, doubt.model)} contradicts the rest of the photo ({abs(doubt.score):.1f} sd): {fact}"


def _harmless(now: Settled, doubt: CardDoubt, settings: DoubtSettings) -> bool:
    """Whether the doubt, as large as it is taken to be, moves no size by more than a part of its stated sd."""
    sizes = _sizes_by_state(now)
    moved = effects(now.solution, now.assembly, sizes, doubt.model, [doubt.what])[:, 0] * doubt.amount
    sd = np.sqrt(np.einsum("ij,jk,ik->i", sizes, now.solution.inverse(), sizes))
    return bool(np.all(np.abs(moved) < settings.harmless_sd * sd))


def _sizes_by_state(now: Settled) -> Array:
    """Derivatives of the opening's sizes by the state, (7 or 3, n)."""
    nominal, height = now.assembly.nominal, float(now.solution.state.opening[H0])
    at = {"width_top": 0.97 * height, "width_middle": 0.5 * height, "width_bottom": 0.03 * height}
    _, _, jacobian = jacobian_of(now.solution, size_functions(at, nominal.has_head, nominal.chord_mm, False))
    return jacobian[:7] if nominal.has_head else jacobian[:3]


def _doubted(now: Settled, worst: CardDoubt, doubts: Sequence[CardDoubt], again: Again, settings: DoubtSettings) -> Settled:
    """A card that contradicts, but not so much that it is left out: used, with a doubt that moves the sizes by as much as it
    would if it were what it seems to be. So is every other card that explains the contradiction nearly as well.
    """
    told, sizes = _told(now, worst, "It was used all the same, with a doubt as large as that."), _sizes_by_state(now)
    off_mm: dict[int, float] = {}
    for doubt in doubts:
        if doubt.score**2 < max(worst.score**2 - settings.rival, 1.0):
            continue
        moved = np.abs(effects(now.solution, now.assembly, sizes, doubt.model, [doubt.what, "off"])).max(axis=0)
        if moved[1] > 0:
            mm = float(min(moved[0] * abs(doubt.amount) / moved[1], MOST_SD["off"]))
            off_mm[doubt.model] = max(off_mm.get(doubt.model, 0.0), mm)
    if not off_mm:
        return told
    models = now.assembly.models
    photos = [
        replace(p, cards=tuple(replace(c, doubted_mm=off_mm.get(models.get(c.number, -1), 0.0)) for c in p.cards))
        for p in now.photos
    ]
    return _solved(photos, again, told.findings)


def _numbers(assembly: Assembly, model: int) -> str:
    return " and ".join(str(n) for n, k in sorted(assembly.models.items()) if k == model)


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."
