"""How often the program finds the opening's outline alone, how often it is wrong without saying so, how often it asks.

    python -m tests.benchmarks.outline [--folder FOLDER]... [--only WORD] [--costs] [--looks]

Scenes: the samples, tests/benchmarks/scenes and every folder named, each NAME.jpg with its NAME.json (truth). A corner is right
within 10 px at 12 MP; without a head the upper corners may lie anywhere along the walls' edges. `--looks`: each photo also
mirrored, turned, darker and so on (`outline_looks.py`).
"""

from __future__ import annotations

import argparse
import io
import json
import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tests.benchmarks.outline_looks import LOOKS
from vision.geometry.trace import Outline, trace
from vision.photo.intake import read_photo
from vision.settings import Settings

ROOT = Path(__file__).resolve().parent.parent.parent
FOLDERS = (ROOT / "sample_images", ROOT / "tests" / "benchmarks" / "scenes")
RIGHT_PX = 10.0
"""px at 12 MP, of every corner"""
FULL_PIXELS = 12.0e6
BORDER_PX = 4.0
"""px; a true corner nearer to the border of a look makes it a photo of an opening that is cut off"""


@dataclass(frozen=True)
class Tried:
    """One scene: the worst corner of the best candidate in px at 12 MP (inf without one), and what the program said."""

    name: str
    worst_px: float
    outline: Outline
    decodes: float

    @property
    def verdict(self) -> str:
        """Found, wrong (used though it is not right), or asks."""
        if self.outline.corners_px is None:
            return "asks"
        return "found" if self.worst_px <= RIGHT_PX else "WRONG"


def scenes(folders: Sequence[Path], only: str) -> Iterator[tuple[Path, dict[str, object]]]:
    """Photos with truth."""
    for folder in folders:
        for path in sorted(folder.glob("*.json")):
            truth = json.loads(path.read_text())
            if only in path.stem and "opening" in truth and path.with_suffix(".jpg").exists():
                if "corners_px" in truth:  # the flat rooms' truth keeps the corners beside the opening
                    truth["opening"]["corners_px"] = truth["corners_px"]
                yield path, truth


def worst_corner(corners: NDArray[np.float64], truth: NDArray[np.float64], *, has_head: bool) -> float:
    """Largest distance (px) of a corner from its true place, or, of the upper ones without a head, from the wall's true edge."""
    off = corners - truth
    if not has_head:
        for top, foot in ((3, 0), (2, 1)):
            along = (truth[top] - truth[foot]) / np.linalg.norm(truth[top] - truth[foot])
            off[top] = corners[top] - truth[foot] - ((corners[top] - truth[foot]) @ along) * along
    return float(np.linalg.norm(off, axis=1).max())


def tried(path: Path, truth: dict[str, object], *, costs: bool = False, look: str = "as it is") -> Tried | None:
    """One scene through the tracing, in one of LOOKS; None where the opening is no longer in that picture."""
    data = path.with_suffix(".jpg").read_bytes()
    photo = read_photo(path.stem, data, Settings().intake)
    opening = truth["opening"]
    assert isinstance(opening, dict)
    true = np.array(opening["corners_px"], dtype=np.float64)
    if look != "as it is":
        seen = LOOKS[look](photo.pixels, true)
        photo, true = replace(photo, pixels=seen.pixels), seen.corners_px
        inside = true if opening["head"] else true[:2]
        if inside.min() < BORDER_PX or np.any(inside.max(axis=0) > np.array([photo.width, photo.height]) - 1 - BORDER_PX):
            return None
    start = time.process_time()
    outline = trace(photo, 1, has_head=bool(opening["head"]), settings=Settings())
    spent = time.process_time() - start
    unit = math.sqrt(photo.width * photo.height / FULL_PIXELS)
    best = outline.corners_px if outline.corners_px is not None else next(iter(outline.candidates), None)
    worst = math.inf if best is None else worst_corner(best, true, has_head=bool(opening["head"])) / unit
    return Tried(
        path.stem if look == "as it is" else f"{path.stem}, {look}", worst, outline, spent / _decode(data) if costs else math.nan
    )


def _decode(data: bytes) -> float:
    """Processor time (s) of one Pillow decode."""
    start = time.process_time()
    with Image.open(io.BytesIO(data)) as image:
        image.load()
    return time.process_time() - start


def main() -> int:
    """The table; ends with 1 where an outline is wrong without saying so."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--folder", type=Path, action="append", default=[], help="another folder of scenes with truth")
    parser.add_argument("--alone", action="store_true", help="only the folders named")
    parser.add_argument("--only", default="", help="scenes whose name contains this")
    parser.add_argument("--costs", action="store_true", help="processor time as a multiple of Pillow's decode")
    parser.add_argument("--looks", action="store_true", help="each photo also mirrored, turned, darker, flatter, softer, smaller")
    chosen = parser.parse_args()
    folders = chosen.folder if chosen.alone else [*FOLDERS, *chosen.folder]
    results = []
    print(f"{'scene':32} {'worst corner px':>15} {'confidence':>10}  verdict")
    each = [(p, t, look) for p, t in scenes(folders, chosen.only) for look in (LOOKS if chosen.looks else ["as it is"])]
    for path, truth, look in each:
        one = tried(path, truth, costs=chosen.costs, look=look)
        if one is None:
            continue
        results.append(one)
        doubt = f"({one.outline.doubt})" if one.verdict != "found" else "".join(f.text for f in one.outline.findings)
        print(f"{one.name:32} {one.worst_px:15.1f} {one.outline.confidence or 0.0:10.2f}  {one.verdict} {doubt}", flush=True)
    count = {v: sum(r.verdict == v for r in results) for v in ("found", "WRONG", "asks")}
    n = max(len(results), 1)
    print(
        f"{len(results)} scenes: found {count['found']} ({count['found'] / n:.0%}), wrong without a word {count['WRONG']}", end=""
    )
    asked_well = sum(r.verdict == "asks" and r.worst_px <= RIGHT_PX for r in results)
    print(f" ({count['WRONG'] / n:.1%}), asks {count['asks']}, {asked_well} of them with the right candidate drawn first")
    if chosen.costs and results:
        print(f"processor time: {np.median([r.decodes for r in results]):.1f} decodes (median)")
    return 1 if count["WRONG"] else 0


if __name__ == "__main__":
    raise SystemExit(main())
