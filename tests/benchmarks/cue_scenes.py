"""Cues at the level of edge observations: what they do to widths, how often they contradict, and what they tell of lies.

    python -m tests.benchmarks.cue_scenes [--scenes 40] [--lies 20] [--layout NAME ...] [--write]

Scenes are those of edge_draws.py, with the segments of tiled surfaces that are as untrue as JointSettings says (cue_grids.py), so
this is right if those figures are; tests/benchmarks/cues.py has rendered photos, where grids are perfect and cards are not.

widths: rms and mean error, mean stated u (mm), u over rms; of the same scenes without cues and with them in the adjustment
beyond:  share of honest scenes in which a cue contradicts the camera beyond so many standard deviations
lies:    of the scenes in which the first card lies and the cards say nothing (lying_cards.py), how many are off by more than 3
         stated sds, and in how many of these, and of the others, a cue contradicts
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from tests.benchmarks.cue_grids import Grid, with_segments
from tests.benchmarks.edge_draws import draw
from tests.benchmarks.edge_truth import LAYOUTS, Scene
from tests.benchmarks.lying_cards import LIES, found_by_shape, lied
from tests.benchmarks.sources import sources_digest
from vision.errors import CannotMeasure
from vision.geometry.assemble import assemble
from vision.geometry.consistency import choose_cards
from vision.geometry.cues import cues_of
from vision.geometry.measure import Measured, conclude, solve
from vision.geometry.opening import SIZES, WIDTHS
from vision.settings import Settings

GRIDS = {"face and side walls": Grid(150.0), "side walls": Grid(None)}
LIMITS = (3.0, 3.5, 4.0)
TOLD = (
    ("scale", 3.0),
    ("scale", 6.0),
    ("proud", 60.0),
    ("top off", 2.0),
    ("top off", 5.0),
    ("right off", 2.0),
    ("right off", 5.0),
)
REACH = 3.0
"""stated standard deviations up to which an error is what the report says it may be"""
OFF = Settings()
OFF = replace(OFF, joints=replace(OFF.joints, held=False, enter=False))
ON = replace(OFF, joints=replace(OFF.joints, enter=True))
TABLE = Path(__file__).resolve().parent / "tables" / "cue_scenes.txt"
OWN = ("edge_truth.py", "edge_draws.py", "lying_cards.py", "cue_grids.py", "cue_scenes.py")


@dataclass(frozen=True)
class Told:
    """One scene: errors and u of sizes without and with cues, what the cards said, and the largest score of a cue."""

    off: dict[str, tuple[float, float]]
    on: dict[str, tuple[float, float]]
    said: bool
    most: float

    @property
    def worst(self) -> float:
        """Largest error of a size in stated sds, without cues."""
        return max(abs(e) / u for e, u in self.off.values())


def concluded(made: Scene, settings: Settings) -> Measured:
    """All stages from the choice of cards on. Raises CannotMeasure."""
    photos, refused, _ = choose_cards([found_by_shape(made)])
    assembly = assemble(photos, made.demands, settings)
    return conclude(photos, assembly, solve(assembly), made.demands, settings, scale_refused=refused)


def told(layout: str, grid: Grid, lie: str, step: float, k: int) -> Told | None:
    """One scene, or None where it is refused, or what lies is not seen as a card."""
    rng = np.random.default_rng([11, list(LAYOUTS).index(layout), k])
    made = draw(layout, rng)
    if lie != "nothing":
        made = lied(made, LIES[lie], step, rng)
    made = replace(made, photo=with_segments(made, grid, OFF.joints, rng))
    try:
        off, on = concluded(made, OFF), concluded(made, ON)
    except CannotMeasure:
        return None
    if not any(c.number == 1 and c.used for c in off.opening.cards):
        return None
    true = made.opening.quantities(made.at_mm)
    cues, covariance = cues_of([made.photo], off.solution, OFF.joints), off.solution.inverse()
    scores = [abs(c.score(off.solution, covariance)) for c in cues]
    errors = [{n: (m.opening.quantities.value(n) - true[n], m.opening.quantities.u(n)) for n in SIZES} for m in (off, on)]
    return Told(errors[0], errors[1], any(f.code.startswith("card") for f in off.opening.findings), max(scores, default=0.0))


def honest(layout: str, scenes: int) -> Iterator[str]:
    """Widths without and with cues, and how often they contradict."""
    for name, grid in GRIDS.items():
        found = [t for k in range(scenes) if (t := told(layout, grid, "nothing", 0.0, k)) is not None]
        if not found:
            continue
        seen = [t for t in found if t.most > 0]
        shares = " ".join(f"{100 * sum(t.most > limit for t in seen) / max(len(seen), 1):8.1f}" for limit in LIMITS)
        for word in ("off", "on"):
            e, u = np.array([getattr(t, word)[n] for t in found for n in WIDTHS]).T
            rms = float(np.sqrt(np.mean(e**2)))
            tail = shares if word == "off" else ""
            numbers = f"{rms:7.2f} {e.mean():7.2f} {u.mean():7.2f} {u.mean() / rms:6.2f}"
            yield f"{layout:28} {name:20} {word:3} {len(found):4d} {numbers} {tail}"


def lying(layout: str, scenes: int) -> Iterator[str]:
    """What the cues say of lies of which the cards say nothing, with a tiled face."""
    for lie, step in TOLD:
        found = [
            t for k in range(scenes) if (t := told(layout, GRIDS["face and side walls"], lie, step, k)) is not None and not t.said
        ]
        off = [t for t in found if t.worst > REACH]
        counts = " ".join(
            f"{sum(t.most > limit for t in off):4d} / {sum(t.most > limit and t.worst <= REACH for t in found):3d}"
            for limit in LIMITS
        )
        yield f"{layout:28} {lie:10} {step:4g} {LIES[lie].unit:3} {len(found):6d} {len(off):6d}  {counts}"


def lines(layouts: Sequence[str], scenes: int, lies: int) -> Iterator[str]:
    """Both tables, row by row."""
    limits = " ".join(f"beyond {x:g}" for x in LIMITS)
    yield f"{'widths':28} {'tiled':20} {'cues':4} {'n':>3} {'rms':>7} {'mean':>7} {'u':>7} {'u/rms':>6} {limits}"
    for layout in layouts:
        yield from honest(layout, scenes)
    yield ""
    yield f"{'lies':28} {'lie':10} {'step':8} {'silent':>6} {'off>3u':>6}  {limits}  (off / others)"
    for layout in layouts if lies else ():
        yield from lying(layout, lies)


def main() -> None:
    """Print the tables as they grow."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--scenes", type=int, default=40, help="honest scenes of each layout")
    parser.add_argument("--lies", type=int, default=20, help="scenes of each lie and layout")
    parser.add_argument("--layout", action="append", choices=list(LAYOUTS), help="only this one; repeatable")
    parser.add_argument("--write", action="store_true", help="write the tables into tables/")
    arguments = parser.parse_args()
    text = [
        f"Made by sources with sha256 {sources_digest(OWN)}",
        "(tests/benchmarks/cue_scenes.py says what the columns are)",
        "",
    ]
    for line in lines(arguments.layout or list(LAYOUTS), arguments.scenes, arguments.lies):
        print(line, flush=True)
        text.append(line)
    if arguments.write:
        TABLE.write_text("\n".join(text) + "\n")


if __name__ == "__main__":
    main()
