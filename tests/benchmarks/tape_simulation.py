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

Random errors are split by whether a known slip would move the same reading by an amount within `REACH_MM`: those cannot be
told from it by anybody. Counts of several runs (--counts FILE, written every 500 sheets) are added up with --sum FILE...
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

from tests.judge.tape_worlds import LAYOUTS, SETS, Outcome, Sheet, is_named, near_the_catalogue, outcome, sheet
from vision.judge.catalogue import catalogue

REACH_MM = 11.0
"""mm; 2.58 standard deviations (setting slip_reach) of the least certain inch that is still recognised (an inch over 6)"""
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
            f"{self.sheets:6d} | {_percent(self.tape, self.sheets)} | {_percent(self.photo, self.sheets)} | "
            f"{_percent(self.named, self.photo)} | {_percent(self.right, self.named)} "
            f"({_percent(self.large_right, self.large_named)}) | "
            f"{_percent(self.tape_named, self.tape)} {_percent(self.tape_right, self.tape_named)} | "
            f"{_percent(self.listed, self.photo)}"
        )


def _percent(part: int, whole: int) -> str:
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
            kind = "random near" if near_the_catalogue(made, REACH_MM) else "random far"
        rows[kind].add(made, said)
        if kind in EXACT:
            rows["exact"].add(made, said)
        done += 1
        if counts is not None and (done % EVERY == 0 or done == sheets):
            counts.write_text(json.dumps({name: {k: int(v) for k, v in vars(row).items()} for name, row in rows.items()}))
    return dict(rows)


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
    print(f"clean sheets held for nothing: {_percent(rows['none'].either, rows['none'].sheets).strip()} %")
    print(f"{time.monotonic() - started:.0f} s")


if __name__ == "__main__":
    main()
