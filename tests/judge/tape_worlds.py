"""Openings, readings and slips at random: what somebody would have written on a sheet, and what the judge makes of it.

An opening is a figure with walls that lean and bow, head and curb out of level, drawn from the settings' own priors. Each
reading is the figure's, with the errors that the tape's record states, rounded to the mark and written as text. One slip is
put into the text's value, or an amount that no slip of the catalogue makes. Openings have the shape of the layouts' one, at
any scale, so that their covariances hold.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from tests.judge.layouts import HEIGHT, WIDTH, photo_sizes
from vision.gaussian import Array, Gaussian
from vision.judge.adjust import Adjusted, adjust
from vision.judge.catalogue import Candidate, candidates
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
    found = [c for c in _possible(kind, metric, clean, truth, rng) if c is not None]
    if not found:
        return None
    taped, candidate = found[rng.integers(len(found))]
    return Sheet(taped, truth, photo, kind, candidate.touched, candidate.added)


def _opening(rng: np.random.Generator) -> tuple[Array, Places, float]:
    scale = rng.uniform(0.6, 1.2)
    w, h = WIDTH * scale, HEIGHT * scale
    x = np.zeros(len(UNKNOWNS))
    spread = {"w": 8.0 * scale, "l": 3.0, "r": 3.0, "h": 8.0 * scale, "s": 2.0, "g": 1.5, "b_l": SETTINGS.level.straight_sd_mm, "b_r": SETTINGS.level.straight_sd_mm, "c": SETTINGS.level.straight_sd_mm}
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
    common = math.gcd(part, 16)
    return f"{whole} in" if not part else f"{whole}-{part // common}/{16 // common} in" if whole else f"{part // common}/{16 // common} in"


def _photo(truth: Array, scale: float, layout: str, rng: np.random.Generator) -> Gaussian:
    base = _layout(layout)
    error = sum(f @ rng.standard_normal(f.shape[1]) for f in base.sources.values())
    return Gaussian(READING_NAMES, truth[:7] + scale * np.asarray(error)[:7], {s: scale * f for s, f in base.sources.items()}) if (
        len(truth) >= 7
    ) else Gaussian(READING_NAMES[:5], truth[:5] + scale * np.asarray(error)[:5], {s: scale * f[:5] for s, f in base.sources.items()})


@lru_cache(maxsize=None)
def _layout(layout: str) -> Gaussian:
    """The layout's sizes; the tape that measured a card is another one here, so that tape and photo share nothing."""
    of = photo_sizes(layout)
    return Gaussian(of.names, of.mean, {"card by another tape" if s == "tape" else s: f for s, f in of.sources.items()})


# --- slips


def _possible(kind: str, metric: bool, clean: Taped, truth: Array, rng: np.random.Generator) -> list[tuple[Taped, Candidate] | None]:
    """Sheets with this slip that the catalogue would explain as it: put in by asking what a wrong reading may have been.

    A slip turns t into r. The catalogue knows what t may have been, given r; so r is sought among what such slips make of t,
    by applying the catalogue's own signature backwards to trial readings.
    """
    lengths = {name: written(length) for name, length in clean.lengths.items()}
    signed = {name: level.value_mm for name, level in clean.levels.items()}
    names = clean.everything.names
    out: list[tuple[Taped, Candidate] | None] = []
    for candidate in candidates(names, lengths, signed):
        if candidate.slip.code != kind:
            continue
        amount = 1.0
        if candidate.span is not None:
            amount = rng.uniform(*candidate.span)
        moved = clean.everything.mean + candidate.added * amount
        if candidate.slip.signature not in ("add", "range", "shared", "ratio"):
            moved = clean.everything.mean - candidate.added
        if any(m <= 100 for m, n in zip(moved, names, strict=True) if n in candidate.touched and n in lengths):
            continue
        added = moved - clean.everything.mean
        out.append((_rewritten(clean, moved, metric), Candidate(candidate.slip, candidate.touched, added)))
    return out


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
    """Whether the top of the list is what was put in: the same readings, by the same amount within half a millimetre."""
    if not slips or slips[0].code == "none":
        return False
    top = slips[0]
    first = of.taped.everything.names.index(top.readings[0])
    return set(top.readings) == set(of.touched) and top.amount_mm is not None and abs(top.amount_mm - of.added[first]) < 0.5


def near_the_catalogue(of: Sheet, reach_mm: float) -> bool:
    """Whether some known slip would have moved this one reading by nearly the same amount."""
    i = of.taped.everything.names.index(of.touched[0])
    for candidate in candidates(of.taped.everything.names, of.written, of.signed):
        if of.touched[0] in candidate.touched and len(candidate.touched) == 1:
            low, high = candidate.span or (1.0, 1.0)
            a = candidate.added[i]
            if min(low * a, high * a) - reach_mm <= of.added[i] <= max(low * a, high * a) + reach_mm:
                return True
    return False
