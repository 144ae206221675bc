"""What came of photos with faults: how often a fault costs accuracy, how often it is told, and which sizes were wrong."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from tests.benchmarks.scene_files import Scene
from tests.benchmarks.screening_faults import FAULTS
from vision.check import AGAIN, GOOD

MOST_SDS = 3.0
"""sds of its u that a size may be off"""


@dataclass(frozen=True)
class Screened:
    """What is said, and of the check at these corners: u of the middle width (mm) and its true error in u, None if refused.

    `levels` by reason; `told_u_mm` is u of the size that was told and `told_sds` its true error in that u.
    """

    verdict: str
    levels: dict[str, str]
    u_mm: float | None
    off_sds: float | None
    told_u_mm: float | None
    told_sds: float | None

    def worse_than(self, before: Screened) -> bool:
        """u doubles, the error passes three u, or the check refuses."""
        return self.u_mm is None or before.u_mm is None or self.u_mm > 2 * before.u_mm or (self.off_sds or 0) > MOST_SDS

    def says_more_than(self, before: Screened) -> bool:
        """A reason that was not given before, or a graver one."""
        graver = {c for c, level in self.levels.items() if level == "again" and before.levels.get(c) == "rough"}
        return self.verdict != GOOD and bool(self.levels.keys() - before.levels.keys() or graver)

    def says_how_uncertain(self, before: Screened) -> bool:
        """No more reasons than before, but `uncertain` is one of them, and the u that is told has doubled as the check's has.

        Only where u is what has become worse: a size that is off by more than it says is not told by that.
        """
        doubled = self.told_u_mm is not None and before.told_u_mm is not None and self.told_u_mm > 2 * before.told_u_mm
        return "uncertain" in self.levels and doubled and (self.off_sds or 0) <= MOST_SDS


@dataclass(frozen=True)
class Row:
    """One photo: of which scene, with which fault (None: as it was), and what came of it."""

    scene: str
    fault: str | None
    screened: Screened

    @classmethod
    def of(cls, line: dict[str, Any]) -> Row:
        """From its record."""
        return cls(line["scene"], line["fault"], Screened(**line["screened"]))


def off_sds(width_mm: float, u_mm: float, scene: Scene) -> float:
    """How far a width is off the nearest of the true ones, in its u."""
    return min(abs(width_mm - v) for n, v in scene.true().items() if n.startswith("width")) / u_mm


def tell(rows: Iterable[Row]) -> None:
    """Prints the table.

    Of faults that cost accuracy "found" counts those of which a reason is given that was not given before, or a graver one;
    "u told" are those beside them that say nothing new but the doubled u, under a reason `uncertain` that stood there before.
    """
    by_scene = defaultdict[str, list[Row]](list)
    for row in rows:
        by_scene[row.scene].append(row)
    firsts = {name: next(r.screened for r in of if r.fault is None) for name, of in by_scene.items()}
    good = {name: one for name, one in firsts.items() if one.u_mm is not None}
    again = [name for name, one in good.items() if one.verdict == AGAIN]
    verdicts = ", ".join(f"{n} {verdict}" for verdict, n in Counter(one.verdict for one in good.values()).items())
    print(f"{len(firsts)} rooms, {len(good)} of them measured by the check ({verdicts})")
    print(f"{len(again)} asked for again ({len(again) / max(len(good), 1):.1%}; limit 3 %) {again}")
    made, named, costs, found, kept = (Counter[str]() for _ in range(5))
    codes = {fault.name: fault.codes for fault in FAULTS}
    for name, before in good.items():
        for row in by_scene[name]:
            if row.fault is None:
                continue
            after = row.screened
            made[row.fault] += 1
            named[row.fault] += bool(codes[row.fault] & after.levels.keys())
            if after.worse_than(before):
                costs[row.fault] += 1
                found[row.fault] += (more := after.says_more_than(before))
                kept[row.fault] += (told := not more and after.says_how_uncertain(before))
                if not more and not told:
                    print(f"   missed: {name}, {row.fault}, {after}")
    for fault, n in made.items():
        share = f" ({found[fault] / costs[fault]:.0%})" if costs[fault] else ""
        print(
            f"{fault:18s} made {n:3d}, its own reason given {named[fault]:3d}, costs accuracy in {costs[fault]:3d}, "
            f"found in {found[fault]:3d}{share}, u told {kept[fault]}"
        )
    n = max(costs.total(), 1)
    print(
        f"all faults: cost accuracy in {costs.total()}, found in {found.total()} ({found.total() / n:.1%}; at least 95 %), "
        f"u told in {kept.total()} more ({(found.total() + kept.total()) / n:.1%})"
    )
    _tell_sizes([row for of in by_scene.values() for row in of])


def _tell_sizes(rows: list[Row]) -> None:
    told = [row for row in rows if row.screened.told_sds is not None]
    off = [row for row in told if (row.screened.told_sds or 0) > MOST_SDS]
    words = [f"{r.scene}, {r.fault}: {r.screened.told_sds:.1f} u, {r.screened.verdict}, {sorted(r.screened.levels)}" for r in off]
    called_good, every = ([row for row in some if row.screened.verdict == GOOD] for some in (off, told))
    print(f"a wrong number called good to measure: {len(called_good)} (must be 0) of {len(every)}")
    print(f"sizes told, also rough ones: {len(told)}, beyond 3 u: {len(off)}", *words, sep="\n   ")
