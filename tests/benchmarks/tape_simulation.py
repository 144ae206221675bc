"""How much the tape alone sees, how much tape and photo together, and how often the right slip is named.

Run by hand:  python -m tests.benchmarks.tape_simulation [--sheets 20000] [--seed 1]

A quarter of the sheets is clean. Of the others a third carries an error of 3 to 30 mm, random, on one length; the rest one
slip of the catalogue. Columns, in percent of the sheets of a row:

    tape      the readings alone contradict one another
    photo     readings and photo contradict one another
    named     of those that the photo contradicts: a slip is named, that is the list does not begin with "no known slip fits"
              (at all, or well enough to be named)
    right     of those that are named: the first slip of the list is the one that was put in (same readings, same amount); in
              brackets only those that were put in with an amount of half an inch or more
    tape      the same two by the tape alone, of those that do not close
    listed    of those that the photo contradicts: what was put in is on the list, named or as possible

Random errors are split by whether they lie within the stated uncertainty (2.58 sd, by photo and tape) of an amount that a
known slip would show on the same reading: "near" cannot be told from it by anybody. The lines below the table do the same for
the tape alone, beside what is to be expected by calculation (tests/judge/random_errors.py).
Counts of several runs (--counts FILE, written every 500 sheets) are added up with --sum FILE...
On the rows of random errors `right` means nothing: no slip was put in.
"""

from __future__ import annotations

import argparse
import json
import time
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tests.judge.random_errors import Expected, expected
from tests.judge.tape_worlds import LAYOUTS, SETS, Outcome, Sheet, is_named, outcome, sheet
from vision.judge.catalogue import catalogue

LARGE_MM = 12.7
EVERY = 500
CLEAN_SHARE, RANDOM_SHARE = 0.25, 1 / 3
KINDS = tuple(slip.code for slip in catalogue() if slip.signature != "unseen")
EXACT = frozenset(slip.code for slip in catalogue() if slip.exact)


@dataclass
class Row:
    """Counts of one kind of sheet."""

    sheets: int = 0
    tape: int = 0
    photo: int = 0
    either: int = 0
    named: int = 0
    right: int = 0
    large_named: int = 0
    large_right: int = 0
    tape_named: int = 0
    tape_right: int = 0
    listed: int = 0
    seen: float = 0
    """this and what follows: random errors that a witness sees; how many of them are near a known amount by its uncertainty"""
    near: float = 0
    near_named: float = 0
    far_named: float = 0
    like_known: float = 0
    """sum of the shares of the range that are near a known amount"""
    by_rule: float = 0
    """sum of the shares of the range that the rule's windows cover"""

    def random(self, by: Expected, named: bool) -> None:
        """Count one random error that this witness sees."""
        self.seen += 1
        self.near += by.near
        self.near_named += by.near and named
        self.far_named += (not by.near) and named
        self.like_known += by.like_known
        self.by_rule += by.by_rule

    def add(self, of: Sheet, said: Outcome) -> None:
        """Count one sheet."""
        self.sheets += 1
        self.tape += said.tape_speaks
        self.photo += said.photo_speaks
        self.either += said.tape_speaks or said.photo_speaks
        if said.tape_speaks:
            self.tape_named += said.tape_slips[0].code != "none"
            self.tape_right += is_named(said.tape_slips, of)
        if said.photo_speaks:
            named, right = said.photo_slips[0].code != "none", is_named(said.photo_slips, of)
            large = float(np.max(np.abs(of.added), initial=0.0)) >= LARGE_MM
            self.named += named
            self.right += right
            self.large_named += large and named
            self.large_right += large and right
            self.listed += any(is_named((slip,), of) for slip in said.photo_slips)

    def __str__(self) -> str:
        return (
            f"{self.sheets:6.0f} | {_percent(self.tape, self.sheets)} | {_percent(self.photo, self.sheets)} | "
            f"{_percent(self.named, self.photo)} | {_percent(self.right, self.named)} "
            f"({_percent(self.large_right, self.large_named)}) | "
            f"{_percent(self.tape_named, self.tape)} {_percent(self.tape_right, self.tape_named)} | "
            f"{_percent(self.listed, self.photo)}"
        )


def _percent(part: float, whole: float) -> str:
    return f"{100 * part / whole:5.1f}" if whole else "    -"


def simulate(sheets: int, seed: int, counts: Path | None = None) -> dict[str, Row]:
    """Rows by kind; "random far" and "random near" split the random errors, "exact" gathers the exact slips."""
    rng = np.random.default_rng(seed)
    rows: dict[str, Row] = defaultdict(Row)
    done = 0
    while done < sheets:
        kind = _kind(rng)
        made = sheet(rng, kind, str(rng.choice(list(SETS))), str(rng.choice(LAYOUTS)))
        if made is None:
            continue
        said = outcome(made)
        if kind == "random":
            rows["random"].add(made, said)
            kind = _count_random(made, said, rows)
        rows[kind].add(made, said)
        if kind in EXACT:
            rows["exact"].add(made, said)
        done += 1
        if counts is not None and (done % EVERY == 0 or done == sheets):
            counts.write_text(json.dumps({name: {k: float(v) for k, v in vars(row).items()} for name, row in rows.items()}))
    return dict(rows)


def _count_random(made: Sheet, said: Outcome, rows: dict[str, Row]) -> str:
    """Count a random error for each witness that sees it; returns the row it belongs to by photo and tape."""
    assert said.judgement.case is not None
    by_photo = expected(made, said.judgement.case, alone=False)
    by_tape = expected(made, said.adjusted.case, alone=True)
    if by_photo is not None and said.photo_speaks:
        rows["by photo and tape"].random(by_photo, said.photo_slips[0].code != "none")
    if by_tape is not None and said.tape_speaks:
        rows["by the tape alone"].random(by_tape, said.tape_slips[0].code != "none")
    return "random near" if by_photo is not None and by_photo.near else "random far"


def summed(files: Sequence[Path]) -> dict[str, Row]:
    """Rows of several runs together."""
    rows: dict[str, Row] = defaultdict(Row)
    for file in files:
        for name, counts in json.loads(file.read_text()).items():
            rows[name] = Row(**{key: value + vars(rows[name])[key] for key, value in counts.items()})
    return dict(rows)


def _kind(rng: np.random.Generator) -> str:
    if rng.random() < CLEAN_SHARE:
        return "none"
    return "random" if rng.random() < RANDOM_SHARE else str(rng.choice(KINDS))


def _random_words(witness: str, row: Row) -> str:
    far = row.seen - row.near
    return (
        f"random errors seen {witness}: {row.seen:.0f}\n"
        f"  within 2.58 sd of a known amount: {_percent(row.like_known, row.seen).strip()} % by calculation, "
        f"{_percent(row.near, row.seen).strip()} % drawn; of these named {_percent(row.near_named, row.near).strip()} %\n"
        f"  further away: named {_percent(row.far_named, far).strip()} % of {far:.0f}\n"
        f"  named of all: at most 10 % by the rule, {_percent(row.by_rule, row.seen).strip()} % by its windows, "
        f"{_percent(row.near_named + row.far_named, row.seen).strip()} % measured; "
        f'"no known slip fits": {_percent(row.seen - row.near_named - row.far_named, row.seen).strip()} %'
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sheets", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--counts", type=Path)
    parser.add_argument("--sum", type=Path, nargs="+")
    arguments = parser.parse_args()
    started = time.monotonic()
    rows = summed(arguments.sum) if arguments.sum else simulate(arguments.sheets, arguments.seed, arguments.counts)
    print(f"{'kind':24s} | sheets |  tape | photo | named | right (>= 1/2 in) | tape        | listed")
    for kind in ("none", *KINDS, "exact", "random", "random far", "random near"):
        if kind in rows:
            print(f"{kind:24s} | {rows[kind]}")
    for witness in ("by photo and tape", "by the tape alone"):
        if witness in rows:
            print(_random_words(witness, rows[witness]))
    print(f"clean sheets held for nothing: {_percent(rows['none'].either, rows['none'].sheets).strip()} %")
    print(f"{time.monotonic() - started:.0f} s")


if __name__ == "__main__":
    main()
