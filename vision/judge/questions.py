"""What to ask before ordering although nothing contradicts: notation, suspicious sets, sizes that openings seldom have.

Questions hold nothing. All numbers are common practice, no source, and settings; the arithmetic of chance is exact: five
readings that all fall on whole inches by chance at a resolution of 1/16 in are (1/16)^5, one in a million.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from vision.judge.signatures import Written, sixteenths_meant
from vision.judge.verdicts import Question
from vision.names import plain_names
from vision.settings_tape import QuestionSettings
from vision.units import MM_PER, inches_text

WIDTHS = ("width_top", "width_middle", "width_bottom")


def ask(
    lengths: Mapping[str, Written],
    levels: Mapping[str, float],
    over_mm: Mapping[str, float],
    spreads_mm: Mapping[str, float],
    settings: QuestionSettings = QuestionSettings(),  # noqa: B008 (frozen)
) -> tuple[Question, ...]:
    """All questions: `lengths` as written, `levels` signed mm over `over_mm`, `spreads_mm` of lengths read more than once."""
    return (
        *_sixteenths(lengths),
        *_feet(lengths),
        *_round(lengths, settings),
        *_identical(lengths, spreads_mm),
        *_nominal(lengths, settings),
        *_unusual(lengths, levels, over_mm, settings),
        *_third(spreads_mm, settings),
        *_fall(levels),
    )


def _sixteenths(lengths: Mapping[str, Written]) -> Iterator[Question]:
    """Decimals of an inch that no sixteenth has, but that are a number of sixteenths."""
    for name, one in lengths.items():
        count = sixteenths_meant(one)
        if count is not None:
            meant = inches_text(float((one.whole + Fraction(count, 16)) * MM_PER["in"]))
            text = (
                f"The {plain_names([name])} is written {one.text!r}: no sixteenth as a decimal, {meant} if sixteenths are meant."
            )
            yield Question("sixteenths-as-decimals", (name,), text, "Read the sheet again: a decimal, or sixteenths?")


def _feet(lengths: Mapping[str, Written]) -> Iterator[Question]:
    """Numbers that may be feet and inches run together, in a set that is written in feet and inches elsewhere."""
    if not any(one.feet for one in lengths.values()):
        return
    names = tuple(
        name for name, one in lengths.items() if one.unit == "in" and not one.feet and one.whole >= 40 and _as_feet(one.whole)
    )
    if names:
        texts = ", ".join(f"{lengths[name].text!r}" for name in names)
        verb = "is" if len(names) == 1 else "are"
        fact = f"Other readings are in feet and inches, but the {plain_names(names)} {verb} written {texts}."
        yield Question("feet-and-inches", names, fact, "Inches, or feet and inches run together? Compare with the sheet.")


def _as_feet(whole: int) -> bool:
    digits = str(whole)
    return len(digits) == 2 or int(digits[1:]) < 12


def _round(lengths: Mapping[str, Written], settings: QuestionSettings) -> Iterator[Question]:
    """All of at least five readings on a grid much coarser than the tape's."""
    if len(lengths) < settings.round_at_least:
        return
    numbers = [one.whole + one.part for one in lengths.values()]
    units = {one.unit for one in lengths.values()}
    grid = None
    if units <= {"in", "ft"}:
        inches = [number * (12 if one.unit == "ft" else 1) for number, one in zip(numbers, lengths.values(), strict=True)]
        grid = next((words for step, words in _INCH_GRIDS if all(number % step == 0 for number in inches)), None)
    elif units <= {"mm", "cm", "m"}:
        mm = [(one.whole + one.part) * MM_PER[one.unit] for one in lengths.values()]
        grid = next((words for step, words in _MM_GRIDS if all(number % step == 0 for number in mm)), None)
    if grid is not None:
        text = f"All {len(lengths)} readings are {grid}: by chance that is rare."
        yield Question("round-readings", tuple(lengths), text, "Were they rounded? Read each to the mark, or measure again.")


_INCH_GRIDS = ((Fraction(1), "whole inches"), (Fraction(1, 2), "multiples of 1/2 in"), (Fraction(1, 4), "multiples of 1/4 in"))
_MM_GRIDS = ((Fraction(10), "multiples of 10 mm"), (Fraction(5), "multiples of 5 mm"))


def _identical(lengths: Mapping[str, Written], spreads_mm: Mapping[str, float]) -> Iterator[Question]:
    """Three equal widths together with equal heights: it happens honestly, so it is only asked.

    Where a further set has other numbers for any of them, somebody read them, and nothing is asked.
    """
    heights = [name for name in ("height_left", "height_right") if name in lengths]
    if not set(WIDTHS) <= set(lengths) or len(heights) < 2:
        return
    if any(spreads_mm.get(name, 0.0) > 0 for name in (*WIDTHS, *heights)):
        return
    same = [len({lengths[name].value_mm for name in group}) == 1 for group in (WIDTHS, heights)]
    if all(same):
        names = (*WIDTHS, *heights)
        text = "The three widths are the same, and so are the heights."
        yield Question("identical-readings", names, text, "Was each of them measured, or was one written several times?")


def _nominal(lengths: Mapping[str, Written], settings: QuestionSettings) -> Iterator[Question]:
    names = tuple(n for n in WIDTHS if n in lengths and _is_one_of(lengths[n].value_mm, settings.nominal_mm))
    if names and len(names) == sum(n in lengths for n in WIDTHS):
        size = inches_text(lengths[names[0]].value_mm)
        text = f"The {plain_names(names)} {'is' if len(names) == 1 else 'are'} {size}, a size that tubs and pans are sold by."
        yield Question("nominal-size", names, text, "Was the opening measured, or is that the name of the tub?")


def _is_one_of(value_mm: float, sizes_mm: tuple[float, ...]) -> bool:
    return any(abs(value_mm - size) < 0.01 for size in sizes_mm)


def _unusual(
    lengths: Mapping[str, Written], levels: Mapping[str, float], over_mm: Mapping[str, float], settings: QuestionSettings
) -> Iterator[Question]:
    """Sizes, spreads and leans outside what openings usually have."""
    limits = {"width": settings.width_mm, "height": settings.height_mm}
    for kind, (low, high) in limits.items():
        names = tuple(n for n, one in lengths.items() if n.startswith(kind) and not low <= one.value_mm <= high)
        if names:
            verb = "is" if len(names) == 1 else "are"
            text = f"The {plain_names(names)} {verb} outside {inches_text(low)} to {inches_text(high)}."
            yield Question("unusual-size", names, text, "Is the unit right, and is every digit?")
    ends = [n for n in ("width_top", "width_bottom") if n in lengths]
    if len(ends) == 2 and abs(lengths[ends[0]].value_mm - lengths[ends[1]].value_mm) > settings.spread_mm:
        apart = inches_text(abs(lengths[ends[0]].value_mm - lengths[ends[1]].value_mm))
        yield Question("unusual-size", tuple(ends), f"Top and bottom width are {apart} apart.", "Is every digit right?")
    for name in ("plumb_left", "plumb_right"):
        if name in levels and abs(levels[name]) / over_mm[name] > settings.lean:
            text = f"The {plain_names([name])} is {inches_text(abs(levels[name]))} over {inches_text(over_mm[name])}."
            yield Question("unusual-size", (name,), text, "Is that amount right, and the length of the level?")


def _third(spreads_mm: Mapping[str, float], settings: QuestionSettings) -> Iterator[Question]:
    names = tuple(n for n, spread in spreads_mm.items() if settings.third_low_mm < spread <= settings.third_high_mm + 1e-6)
    if names:
        text = f"The readings of the {plain_names(names)} are between 1/16 and 1/8 in apart."
        yield Question("third-reading", names, text, "Take a third reading.")


def _fall(levels: Mapping[str, float]) -> Iterator[Question]:
    if "curb_fall" in levels and levels["curb_fall"] <= 0:
        way = "is level" if levels["curb_fall"] == 0 else "falls to the outside"
        yield Question("curb-fall", (), f"The top of the curb {way}: water will not run in.", "Can the curb be corrected first?")
