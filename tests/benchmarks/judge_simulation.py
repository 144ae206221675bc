"""How often the judge is right: a table over six layouts of references and 3, 5 and 7 readings, at the level of sizes.

Run by hand:  python -m tests.benchmarks.judge_simulation [--draws 5000] [--workers 2]

Columns, in percent of the draws of a cell:
    clean     nothing is wrong, yet something is named
    power     one reading is wrong by its own smallest visible slip: it is noticed
    inch      one reading is wrong by an inch: it alone is suspect
    2 in      two readings are wrong by an inch each: a good one is suspect
    2 any     two readings are wrong by 5 to 50 mm each: a good one is suspect
    factor    all readings are 1.025 times too long: scale-in-doubt / somebody is suspect
    constant  all readings are an inch too long: scale-in-doubt / somebody is suspect (a count, out of the draws)
"""

from __future__ import annotations

import argparse
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

from tests.judge.layouts import LAYOUTS
from tests.judge.simulation import (
    INCH,
    SETS,
    World,
    common_slips,
    constant,
    factor,
    in_doubt_of_scale,
    one_slip,
    own_slips,
    share,
    speaks,
    suspects,
    touched,
    two_slips,
    world,
)

HEADS = (
    "layout                 | n  slip   | common slip | clean | power |   inch |  2 in | 2 any |  factor/blame | constant/blame",
    "goals                  |           |             |  <= 2 | 75-85 | >= 95* |  <= 1 |  <= 1 |    >= 95 / 0  |         / 0",
)
FOOTNOTE = "* asked for with 7 readings and four references or a measured sheet"


@dataclass(frozen=True)
class Row:
    """One cell of the table; shares are fractions of the draws."""

    layout: str
    readings: int
    slips: tuple[float, float]
    common: tuple[float, float]
    shares: tuple[float, ...]

    def __str__(self) -> str:
        clean, power, inch, two, any_two, scale, blamed, constant_scale, constant_blamed = self.shares
        return (
            f"{self.layout:22s} | {self.readings}  {self.slips[0]:3.0f}-{self.slips[1]:<2.0f} | "
            f"{self.common[0]:5.1f}-{self.common[1]:<5.1f} | {100 * clean:5.2f} | {100 * power:5.1f} | {100 * inch:6.1f} | "
            f"{100 * two:5.2f} | {100 * any_two:5.2f} | {100 * scale:6.1f} / {100 * blamed:4.2f} | "
            f"{100 * constant_scale:7.1f} / {constant_blamed:g}"
        )


def row(layout: str, readings: int, draws: int) -> Row:
    """Simulate one cell."""
    of = world(layout, readings, seed=20 + readings)
    own, common = own_slips(of), common_slips(of)
    clean = share(speaks(check) for check, _ in of.draws(draws))
    power = share(speaks(check) for check, _ in of.draws(draws, one_slip(sizes=own)))
    inch = share(suspects(check) == touched(check, added) for check, added in of.draws(draws, one_slip(INCH)))
    two = share(bool(suspects(check) - touched(check, added)) for check, added in of.draws(draws, two_slips(INCH, INCH)))
    any_two = share(bool(suspects(check) - touched(check, added)) for check, added in of.draws(draws, two_slips(5.0, 50.0)))
    scale, blamed = _scale(of, draws, 1.025)
    constant_scale, constant_blamed = _constant(of, draws)
    shares = (clean, power, inch, two, any_two, scale, blamed, constant_scale, constant_blamed)
    return Row(layout, readings, (own.min(), own.max()), (common.min(), common.max()), shares)


def _scale(of: World, draws: int, by: float) -> tuple[float, float]:
    outcomes = [(in_doubt_of_scale(check), bool(suspects(check))) for check, _ in of.draws(draws, factor(by))]
    return share(doubt for doubt, _ in outcomes), share(blamed for _, blamed in outcomes)


def _constant(of: World, draws: int) -> tuple[float, float]:
    outcomes = [(in_doubt_of_scale(check), bool(suspects(check))) for check, _ in of.draws(draws, constant(INCH))]
    return share(doubt for doubt, _ in outcomes), float(sum(blamed for _, blamed in outcomes))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--draws", type=int, default=5000, help="draws of each cell and column")
    parser.add_argument("--workers", type=int, default=1, help="processes")
    arguments = parser.parse_args()
    started = time.monotonic()
    print(f"{arguments.draws} draws of each cell and column; slips in mm, the rest in percent")
    print("\n".join(HEADS))
    cells = [(layout, readings) for layout in LAYOUTS for readings in SETS]
    with ProcessPoolExecutor(arguments.workers) as pool:
        for line in pool.map(row, *zip(*cells, strict=True), [arguments.draws] * len(cells)):
            print(line, flush=True)
    print(FOOTNOTE)
    print(f"{time.monotonic() - started:.0f} s")


if __name__ == "__main__":
    main()
