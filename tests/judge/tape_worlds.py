"""Openings, readings and slips at random: what somebody would have written on a sheet, and what the judge makes of it.

An opening is a figure with walls that lean and bow, head and curb out of level, drawn from the settings' own priors. Each
reading is the figure's, with the errors that the tape's record states, rounded to the mark and written as text. One slip is
put into the text's value, or an amount that no slip of the catalogue makes. Openings have the shape of the layouts' one, at
any scale, so that their covariances hold.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache

import numpy as np

from tests.judge.layouts import HEIGHT, WIDTH, photo_sizes
from vision.errors import BadInput
from vision.gaussian import Array, Gaussian
from vision.judge.adjust import Adjusted, adjust
from vision.judge.catalogue import Candidate, candidates, catalogue
from vision.judge.closure import Closure, places_of
from vision.judge.compare import Judgement, judge
from vision.judge.plane_figure import UNKNOWNS, Places, readings_of
from vision.judge.signatures import Written, written
from vision.judge.slips import name_slips
from vision.judge.verdicts import Slip
from vision.settings import Settings
from vision.tape.readings import READING_NAMES, Taped, facts_from_mapping, read_tape

SETTINGS = Settings()
INCH = 25.4
SETS = {
    "five": READING_NAMES[:5],
    "seven": READING_NAMES,
    "seven and plumb": (*READING_NAMES, "plumb_left", "plumb_right"),
    "all": (*READING_NAMES, "plumb_left", "plumb_right", "curb_level"),
}
LAYOUTS = ("1 A4 measured beside", "4 bank cards", "4 A4 measured")
MARGIN = SETTINGS.top_margin_mm
RANDOM = (3.0, 30.0)
"""mm; amounts of errors that are in no catalogue"""


@dataclass(frozen=True)
class Sheet:
    """What stands on the sheet, what is true, and what was put in: `added` mm on the readings of `touched`."""

    taped: Taped
    truth: Array
    photo: Gaussian
    kind: str
    touched: tuple[str, ...]
    added: Array

    @property
    def written(self) -> dict[str, Written]:
        """Lengths as written."""
        return {name: written(length) for name, length in self.taped.lengths.items()}

    @property
    def signed(self) -> dict[str, float]:
        """Level readings, mm."""
        return {name: level.value_mm for name, level in self.taped.levels.items()}


@dataclass(frozen=True)
class Outcome:
    """What the judge says of one sheet, by the tape alone and with the photo."""

    tape_speaks: bool
    photo_speaks: bool
    tape_slips: tuple[Slip, ...]
    photo_slips: tuple[Slip, ...]
    adjusted: Adjusted
    judgement: Judgement


def sheet(rng: np.random.Generator, kind: str, set_name: str, layout: str) -> Sheet | None:
    """One sheet with a slip of this kind ("none", "random", or a code of the catalogue); None where it cannot be made here."""
    metric = bool(rng.random() < 0.3)
    x, places, scale = _opening(rng)
    names = SETS[set_name]
    values = readings_of(x, places)
    truth = np.array([float(values[name]) for name in names])
    clean = _write(truth, names, rng, metric)
    photo = _photo(truth, scale, layout, rng)
    none = np.zeros(len(names))
    if kind == "none":
        return Sheet(clean, truth, photo, kind, (), none)
    if kind == "random":
        return _random(clean, truth, photo, rng)
    found = _with_slip(kind, metric, clean, rng)
    if found is None:
        return None
    taped, candidate = found
    return Sheet(taped, truth, photo, kind, candidate.touched, candidate.added)


def _opening(rng: np.random.Generator) -> tuple[Array, Places, float]:
    scale = rng.uniform(0.6, 1.2)
    w, h = WIDTH * scale, HEIGHT * scale
    x = np.zeros(len(UNKNOWNS))
    bent = SETTINGS.level.straight_sd_mm
    spread = {"w": 8.0 * scale, "l": 3.0, "r": 3.0, "h": 8.0 * scale, "s": 2.0, "g": 1.5, "b_l": bent, "b_r": bent, "c": bent}
    for k, name in enumerate(UNKNOWNS):
        x[k] = {"w": w, "h": h}.get(name, 0.0) + rng.normal(0.0, spread[name])
    at = {"width_top": h - MARGIN, "width_middle": h / 2, "width_bottom": MARGIN}
    over = {"plumb_left": 1219.2, "plumb_right": 1219.2}
    return x, Places(at, over, h, w), scale


def _write(truth: Array, names: tuple[str, ...], rng: np.random.Generator, metric: bool) -> Taped:
    """Readings with their errors, rounded to the mark and written down."""
    exact = _typed(names, truth, metric)
    error = np.zeros(len(names))
    for source, factor in exact.everything.sources.items():
        if source != "reading resolution":
            error += factor @ rng.standard_normal(factor.shape[1])
    return _typed(names, truth + error, metric)


def _typed(names: tuple[str, ...], values: Array, metric: bool) -> Taped:
    readings = {}
    for name, value in zip(names, values, strict=True):
        amount = f"{round(abs(value))} mm" if metric else _sixteenths(abs(value))
        if name.startswith("plumb"):
            readings[name] = f"{amount} {'into' if value >= 0 else 'out'} over 48 in"
        elif name == "curb_level":
            readings[name] = f"{amount} {'right high' if value >= 0 else 'left high'}"
        else:
            readings[name] = amount
    return read_tape(facts_from_mapping({"unit": "mm" if metric else "in", "readings": readings}))


def _sixteenths(mm: float) -> str:
    ticks = round(mm / INCH * 16)
    whole, part = divmod(ticks, 16)
    if not part:
        return f"{whole} in"
    fraction = Fraction(part, 16)
    head = f"{whole}-" if whole else ""
    return f"{head}{fraction.numerator}/{fraction.denominator} in"


def _photo(truth: Array, scale: float, layout: str, rng: np.random.Generator) -> Gaussian:
    """What the photo says of the sizes that were also read."""
    base = _layout(layout)
    n = min(len(truth), len(READING_NAMES))
    sources = {source: scale * factor[:n] for source, factor in base.sources.items()}
    error = np.sum([factor @ rng.standard_normal(factor.shape[1]) for factor in sources.values()], axis=0)
    return Gaussian(READING_NAMES[:n], truth[:n] + error, sources)


@cache
def _layout(layout: str) -> Gaussian:
    """The layout's sizes; the tape that measured a card is another one here, so that tape and photo share nothing."""
    of = photo_sizes(layout)
    return Gaussian(of.names, of.mean, {"card by another tape" if s == "tape" else s: f for s, f in of.sources.items()})


# --- slips


def _with_slip(kind: str, metric: bool, clean: Taped, rng: np.random.Generator) -> tuple[Taped, Candidate] | None:
    """The sheet with one slip of this kind on it, and what was added; None where no reading can have it.

    Slips that depend on the digits are their own opposite or nearly so: what the catalogue would have read back is written.
    """
    lengths = {name: written(length) for name, length in clean.lengths.items()}
    signed = {name: level.value_mm for name, level in clean.levels.items()}
    names = clean.everything.names
    if kind in FORWARD:
        return _by_hand(kind, clean, lengths, rng)
    mine = [c for c in candidates(names, lengths, signed) if c.slip.code == kind]
    for pick in rng.permutation(len(mine)):
        candidate = mine[pick]
        forward = candidate.slip.signature in ("add", "range", "shared")
        amount = rng.uniform(*candidate.span) if candidate.span is not None else 1.0 if forward else -1.0
        moved = clean.everything.mean + candidate.added * amount
        if all(100 < m < 9000 for m, n in zip(moved, names, strict=True) if n in lengths):
            return _rewritten(clean, moved, metric), Candidate(candidate.slip, candidate.touched, candidate.added * amount)
    return None


FORWARD = ("feet-run-together", "tenths-of-a-foot", "sixteenths-as-decimals", "wrong-unit")
"""slips that are not undone by doing them again: written forward, from the true number to the wrong text"""


def _by_hand(kind: str, clean: Taped, lengths: dict[str, Written], rng: np.random.Generator) -> tuple[Taped, Candidate] | None:
    """One of these on one reading, or on all widths."""
    pick = (str(rng.choice(list(lengths))),) if rng.random() < 0.5 else READING_NAMES[:3]
    texts = {name: length.text for name, length in clean.lengths.items()}
    slip = next(one for one in catalogue() if one.code == kind)
    for name in pick:
        text = _wrong_text(kind, lengths[name], rng)
        if text is None:
            return None
        texts[name] = text
    try:
        anew = read_tape(facts_from_mapping({"unit": "in", "readings": texts}))
    except BadInput:
        return None
    moved = clean.everything.mean.copy()
    moved[: len(texts)] = anew.everything.mean
    added = moved - clean.everything.mean
    return replace(clean, lengths=anew.lengths, everything=replace(clean.everything, mean=moved)), Candidate(slip, pick, added)


def _wrong_text(kind: str, one: Written, rng: np.random.Generator) -> str | None:
    """What is written for this length, or None where this slip cannot happen to it."""
    if kind == "wrong-unit":
        number = one.value_mm
        return f"{number / 25.4:.2f} cm" if one.unit == "in" else f"{number / 10:.1f} in"
    if one.unit != "in":
        return None
    feet, inches = divmod(one.whole, 12)
    if kind == "feet-run-together":
        return f"{feet}{inches}" + (f" {one.part}" if one.part else "")
    if kind == "sixteenths-as-decimals":
        count = int(one.part * 16)
        return (
            None if count * 16 != one.part * 256 or Fraction(str(f"0.{count}")) % Fraction(1, 16) == 0 else f"{one.whole}.{count}"
        )
    whole, ticks = divmod(round((inches + float(one.part)) / 1.2 * 16), 16)
    return f"{feet}' {whole} {ticks}/16\"" if ticks else f"{feet}' {whole}\""


def _rewritten(clean: Taped, moved: Array, metric: bool) -> Taped:
    """The sheet with the wrong numbers on it."""
    names = clean.everything.names
    levels = {name: replace(level, value_mm=float(moved[names.index(name)])) for name, level in clean.levels.items()}
    anew = _typed(tuple(n for n in names if n in clean.lengths), moved[: len(clean.lengths)], metric)
    return replace(clean, lengths=anew.lengths, levels=levels, everything=replace(clean.everything, mean=moved))


def _random(clean: Taped, truth: Array, photo: Gaussian, rng: np.random.Generator) -> Sheet:
    """One length wrong by an amount of no meaning."""
    names = clean.everything.names
    i = int(rng.integers(len(clean.lengths)))
    added = np.zeros(len(names))
    added[i] = rng.choice([-1.0, 1.0]) * rng.uniform(*RANDOM)
    moved = clean.everything.mean + added
    return Sheet(_rewritten(clean, moved, False), truth, photo, "random", (names[i],), added)


# --- judgement


def outcome(of: Sheet) -> Outcome:
    """Both judgements of one sheet."""
    taped = of.taped
    x, places = places_of(taped.everything, {}, taped.over_mm, None, MARGIN)
    adjusted = adjust(taped.everything, x, places, SETTINGS.judge, SETTINGS.level)
    judgement = judge(of.photo, taped.everything, taped.texts, places=places, level=SETTINGS.level)
    closure = Closure(adjusted=adjusted)
    alone = name_slips(Judgement(judgement.comparison), closure, taped.everything, of.written, of.signed)
    together = name_slips(judgement, Closure(), taped.everything, of.written, of.signed)
    return Outcome(adjusted.doubt.kind != "none", judgement.doubt.kind != "none", alone, together, adjusted, judgement)


def is_named(slips: tuple[Slip, ...], of: Sheet) -> bool:
    """Whether the top of the list is what was put in: the same readings, by the same amount but for rounding to a sixteenth."""
    if not slips or slips[0].code == "none":
        return False
    top = slips[0]
    first = of.taped.everything.names.index(top.readings[0])
    return (
        set(top.readings) == set(of.touched) and top.amount_mm is not None and abs(top.amount_mm - of.added[first]) <= INCH / 16
    )
