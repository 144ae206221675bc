"""The table of accuracy at the level of edge observations: 2 000 random scenes a layout, made by processes, resumable.

    python -m tests.benchmarks.edge_table --folder DIR [--scenes 2000] [--processes 2] [--layout NAME ...]
    python -m tests.benchmarks.edge_table --folder DIR --write      tables/edge_table.txt from what DIR holds

Blocks of scenes are kept in DIR under the hash of what made them (the sources of vision/ and of the scenes), so that a run that
was broken off goes on, and a change anywhere starts anew. A scene whose check is refused (tilt-two-ways) is counted and in no
other column, as the user gets no size of it; its errors are in DIR all the same.

Columns, for each layout and quantity (mm, mm/m, ratios):
    u, rms     mean stated sd, root mean square error
    u/rms      0.8 to 1.5
    rms/bound  rms over the root mean square of the scenes' own bound, 0.8 to 1.3. The bound is the covariance at the TRUE state
               with the true edges' information (Cramer-Rao for these priors), not at the solution
    95 %       coverage of 95 % intervals, 93 to 97
and for each layout the Mahalanobis test: mean squared whitened error over its dimension, with its p-value (Kolmogorov-Smirnov
against chi-square). Slips: the share whose reading the judge touches, the share that the reading's own test alone notices, the
power that the scenes' covariances predict for it with the difference in binomial sds, and the readings suspect of a clean set.
"""

from __future__ import annotations

import argparse
import hashlib
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy import stats
from threadpoolctl import threadpool_limits

from tests.benchmarks.edge_draws import draw
from tests.benchmarks.edge_scenes import HONEST, INDEPENDENT, NORMAL_95, adjust
from tests.benchmarks.edge_slips import SLIPS_IN, planted
from tests.benchmarks.edge_truth import LAYOUTS, Array
from vision.errors import CannotMeasure

BLOCK = 50
"""scenes of one job and one file"""
HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
TABLE = HERE / "tables" / "edge_table.txt"
OWN = ("edge_truth.py", "edge_draws.py", "edge_scenes.py", "edge_slips.py", "edge_table.py")
WITHIN_95 = (0.93, 0.97)
EFFICIENT = (0.8, 1.3)
IN_TABLE = tuple(n for n in LAYOUTS if n != "2 letters measured opposite")
"""the seven layouts of the issue"""


def made_by() -> str:
    """sha256 over the geometry, the judge, the tape and the scenes: path and bytes of each file in order."""
    digest = hashlib.sha256()
    parts = [ROOT / "vision" / name for name in ("settings.py", "settings_tape.py", "gaussian.py")]
    parts += [p for part in ("geometry", "judge", "tape") for p in sorted((ROOT / "vision" / part).glob("*.py"))]
    for path in [*parts, *(HERE / name for name in OWN)]:
        digest.update(path.relative_to(ROOT).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()


@dataclass(frozen=True)
class Block:
    """Some scenes of one layout; errors, sd and bound (scenes, quantities); slips (scenes, 3 x 5 + 1)."""

    names: tuple[str, ...]
    errors: Array
    sd: Array
    bound: Array
    whitened: Array
    refused: Array
    slips: Array


def block(layout: str, first: int, seed: int = 1) -> Block:
    """BLOCK scenes from number `first` on; each has its own seed, so that any block can be made alone."""
    rows: list[tuple[Array, ...]] = []
    names: tuple[str, ...] = ()
    with threadpool_limits(limits=1):
        for k in range(first, first + BLOCK):
            rng = np.random.default_rng([seed, list(LAYOUTS).index(layout), k])
            scene = draw(layout, rng)
            try:
                one = adjust(scene, with_checks=True)
            except CannotMeasure:
                continue
            names = one.stated.names
            record = np.array([float(one.two_tilts), float(one.odd_card)])
            rows.append((one.error, one.stated.sd, one.bound, np.array(one.whitened()), record, planted(scene, one.stated, rng)))
    return Block(names, *(np.array(column) for column in zip(*rows, strict=True)))


def _file(folder: Path, layout: str, first: int, made: str) -> Path:
    return folder / f"{made[:16]}_{layout.replace(' ', '-')}_{first:05d}.npz"


def _job(layout: str, first: int, to: Path) -> Path:
    """Make one block and keep it; the name is only there once all of it is."""
    part = to.with_suffix(".part.npz")
    np.savez(part, **vars(block(layout, first)))
    part.rename(to)
    return to


def make(folder: Path, layouts: Sequence[str], scenes: int, processes: int) -> None:
    """All blocks that are not there yet."""
    folder.mkdir(parents=True, exist_ok=True)
    made, started = made_by(), time.monotonic()
    jobs = [(n, k, _file(folder, n, k, made)) for k in range(0, scenes, BLOCK) for n in layouts]
    jobs = [job for job in jobs if not job[2].exists()]
    with ProcessPoolExecutor(processes) as pool:
        for i, done in enumerate(pool.map(_job, *zip(*jobs, strict=True)) if jobs else (), 1):
            print(f"{i} of {len(jobs)} blocks, {time.monotonic() - started:.0f} s: {done.name}", flush=True)


def kept(folder: Path, layout: str, made: str) -> Block:
    """Everything of one layout that these sources have made."""
    files = sorted(folder.glob(f"{made[:16]}_{layout.replace(' ', '-')}_?????.npz"))
    if not files:
        raise SystemExit(f"{folder} holds nothing of {layout!r} by these sources")
    blocks = [np.load(f) for f in files]
    columns = ("errors", "sd", "bound", "whitened", "refused", "slips")
    return Block(tuple(str(n) for n in blocks[0]["names"]), *(np.concatenate([b[c] for b in blocks]) for c in columns))


def lines(layout: str, of: Block) -> Iterator[str]:
    """The table of one layout."""
    good = of.refused[:, 0] == 0
    whitened, n = of.whitened[good], len(INDEPENDENT)
    p = float(stats.kstest(whitened, stats.chi2(n).cdf).pvalue)
    yield f"{layout}: {len(good)} scenes, {np.sum(~good)} refused (tilt-two-ways), {int(of.refused[:, 1].sum())} with an odd card"
    yield f"  Mahalanobis: mean {whitened.mean() / n:.3f} (sd of it {np.sqrt(2 / n / len(whitened)):.3f}), p {p:.3f}"
    yield f"  {'quantity':24s} {'u':>8s} {'rms':>8s} {'u/rms':>6s} {'rms/bound':>9s} {'95 %':>6s}"
    for k, name in enumerate(of.names):
        e, u, bound = of.errors[good, k], of.sd[good, k], of.bound[good, k]
        rms = float(np.sqrt(np.mean(e**2)))
        honest, efficient = float(u.mean()) / rms, rms / float(np.sqrt(np.mean(bound**2)))
        inside = float(np.mean(np.abs(e) <= NORMAL_95 * u))
        limits = ((honest, HONEST), (efficient, EFFICIENT), (inside, WITHIN_95))
        mark = "" if all(low <= value <= high for value, (low, high) in limits) else "  outside"
        yield f"  {name:24s} {u.mean():8.4f} {rms:8.4f} {honest:6.2f} {efficient:9.2f} {100 * inside:6.1f}{mark}"
    yield from slip_lines(of.slips[good])


def slip_lines(slips: Array) -> Iterator[str]:
    """Planted slips: noticed against predicted, with how many binomial sds lie between."""
    scenes, m = len(slips), len(SLIPS_IN)
    yield f"  {'slip of one reading of seven, in':34s} {'touched':>8s} {'own test':>8s} {'predicted':>9s} {'sds':>6s}"
    for i, inch in enumerate(SLIPS_IN):
        touched, own, power = slips[:, i], slips[:, m + i], slips[:, 2 * m + i]
        spread = float(np.sqrt(np.sum(power * (1 - power)))) or 1.0
        off = (own.sum() - power.sum()) / spread
        yield f"  {inch:<34g} {100 * touched.mean():8.1f} {100 * own.mean():8.1f} {100 * power.mean():9.1f} {off:6.1f}"
    yield f"  nothing wrong: {100 * slips[:, -1].sum() / (7 * scenes):.2f} % of the readings suspect"


def main() -> None:
    """Make what is missing, or write the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--folder", type=Path, required=True, help="keeps the blocks")
    parser.add_argument("--scenes", type=int, default=2000, help="scenes of each layout")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--layout", action="append", choices=list(LAYOUTS), help="only this one; repeatable")
    parser.add_argument("--write", action="store_true", help="write the table from what is there")
    arguments = parser.parse_args()
    layouts = arguments.layout or list(IN_TABLE)
    if not arguments.write:
        make(arguments.folder, layouts, arguments.scenes, arguments.processes)
    made = made_by()
    text = [f"Made by sources with sha256 {made}", "(tests/benchmarks/edge_table.py says what the columns are)"]
    for layout in layouts:
        text += ["", *lines(layout, kept(arguments.folder, layout, made))]
    print("\n".join(text))
    if arguments.write:
        TABLE.parent.mkdir(exist_ok=True)
        TABLE.write_text("\n".join(text) + "\n")


if __name__ == "__main__":
    main()
