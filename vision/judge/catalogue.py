"""The catalogue of known slips, from slips.toml, and what each of them could have done to a set of readings."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from itertools import product

import numpy as np

from vision.gaussian import Array
from vision.judge.signatures import SIGNATURES, Written, digits_of
from vision.units import MM_PER

INEXACT = frozenset({"range", "shared"})
_NAMES = {"width": "width", "height": "height", "diagonal": "diagonal", "plumb": "plumb", "level": "curb_level"}
_GROUPS = {
    "widths": ("width",), "heights": ("height",), "inside": ("width", "diagonal"), "all": ("width", "height", "diagonal"),
    "plumbs": ("plumb",),
}  # fmt: skip


@dataclass(frozen=True)
class KnownSlip:
    """One entry of the catalogue; see the head of slips.toml. `amounts_mm` reading less truth."""

    code: str
    says: str
    ask: str
    signature: str
    readings: tuple[str, ...]
    together: tuple[str, ...]
    confirmed: str
    exact: bool
    units: tuple[str, ...] = ()
    amounts_mm: tuple[float, ...] = ()
    factors: tuple[float, ...] = ()
    pairs: tuple[str, ...] = ()


@dataclass(frozen=True)
class Candidate:
    """What one slip would have added to each reading (mm, shape (n,)).

    Where `span` is given the amount is not fixed: `added` is for one millimetre, from span[0] to span[1] mm of it.
    """

    slip: KnownSlip
    touched: tuple[str, ...]
    added: Array
    span: tuple[float, float] | None = None


@lru_cache(maxsize=1)
def catalogue() -> tuple[KnownSlip, ...]:
    """All known slips, in the order of the file."""
    data = tomllib.loads(files("vision.judge").joinpath("slips.toml").read_text(encoding="utf-8"))
    return tuple(_known(entry) for entry in data["slip"])


def _known(entry: Mapping[str, object]) -> KnownSlip:
    def texts(key: str) -> tuple[str, ...]:
        value = entry.get(key, [])
        assert isinstance(value, list)
        return tuple(str(one) for one in value)

    signature = str(entry["signature"])
    factors = entry.get("factors", [])
    assert isinstance(factors, list)
    return KnownSlip(
        code=str(entry["code"]),
        says=str(entry["says"]),
        ask=str(entry["ask"]),
        signature=signature,
        readings=texts("readings"),
        together=texts("together"),
        confirmed=str(entry["confirmed"]),
        exact=bool(entry.get("exact", signature not in INEXACT)),
        units=texts("units"),
        amounts_mm=tuple(_mm(text) for text in texts("amounts")),
        factors=tuple(float(one) for one in factors),
        pairs=texts("pairs"),
    )


def _mm(text: str) -> float:
    number, unit = text.split()
    return float(number) * float(MM_PER[unit])


def candidates(names: Sequence[str], lengths: Mapping[str, Written], levels: Mapping[str, float]) -> Iterator[Candidate]:
    """Everything that known slips could have done to these readings: `lengths` as written, `levels` signed mm by name."""
    for slip in catalogue():
        if slip.signature == "unseen":
            continue
        if slip.signature == "swapped":
            yield from _swapped(slip, names, lengths, levels)
            continue
        for members in _members(slip, names):
            yield from _of_group(slip, members, names, lengths, levels)


def _members(slip: KnownSlip, names: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """The sets of readings that the slip may have touched."""
    prefixes = tuple(_NAMES.get(kind, kind) for kind in slip.readings)
    mine = [name for name in names if name.startswith(prefixes)]
    seen: set[tuple[str, ...]] = set()
    for together in slip.together:
        if together == "one":
            yield from ((name,) for name in mine)
            continue
        group = tuple(name for name in mine if name.startswith(_GROUPS[together]))
        if len(group) > 1 and group not in seen:
            seen.add(group)
            yield group


def _of_group(
    slip: KnownSlip, members: tuple[str, ...], names: Sequence[str], lengths: Mapping[str, Written], levels: Mapping[str, float]
) -> Iterator[Candidate]:
    one = np.isin(names, members).astype(float)
    if slip.units and any(name not in lengths or lengths[name].unit not in slip.units for name in members):
        return
    if slip.signature == "add":
        yield from (Candidate(slip, members, one * amount) for amount in slip.amounts_mm)
    elif slip.signature == "range":
        yield Candidate(slip, members, one, (min(slip.amounts_mm), max(slip.amounts_mm)))
    elif slip.signature == "shared":
        yield Candidate(slip, members, one, (-slip.amounts_mm[0], slip.amounts_mm[0]))
    elif slip.signature == "ratio":
        for factor in slip.factors:
            added = [lengths[n].value_mm * (1 - 1 / factor) if n in members else 0.0 for n in names]
            yield Candidate(slip, members, np.array(added))
    elif slip.signature == "turned":
        added = [2 * levels[n] if n in members else 0.0 for n in names]
        if all(levels[n] for n in members):
            yield Candidate(slip, members, np.array(added))
    else:
        yield from _by_number(slip, members, names, lengths)


def _by_number(
    slip: KnownSlip, members: tuple[str, ...], names: Sequence[str], lengths: Mapping[str, Written]
) -> Iterator[Candidate]:
    """Slips that depend on the number as written; in a group each member takes its own."""
    signature = digits_of(slip.pairs) if slip.signature == "digits" else SIGNATURES[slip.signature]
    choices = [list(dict.fromkeys(signature(lengths[name]))) for name in members]
    for truths in product(*choices):
        added = np.zeros(len(names))
        for name, truth in zip(members, truths, strict=True):
            added[list(names).index(name)] = lengths[name].value_mm - truth
        yield Candidate(slip, members, added)


def _swapped(
    slip: KnownSlip, names: Sequence[str], lengths: Mapping[str, Written], levels: Mapping[str, float]
) -> Iterator[Candidate]:
    """Pairs of readings changed over, each alone or all of them at once."""
    values = {name: one.value_mm for name, one in lengths.items()} | dict(levels)
    pairs = [pair for text in slip.readings if set(pair := tuple(text.split(":"))) <= set(names)]
    groups = [[pair] for pair in pairs] if "one" in slip.together else []
    if "all" in slip.together and (len(pairs) > 1 or not groups) and pairs:
        groups.append(pairs)
    for group in groups:
        added = np.zeros(len(names))
        for first, second in group:
            difference = values[first] - values[second]
            i, j = list(names).index(first), list(names).index(second)
            if not added[i] and not added[j]:
                added[i], added[j] = difference, -difference
            elif not added[i]:
                added[i] = difference
        if np.any(added):
            touched = tuple(name for name, amount in zip(names, added, strict=True) if amount)
            yield Candidate(slip, touched, added)
