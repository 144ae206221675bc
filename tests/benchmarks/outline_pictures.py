"""Pictures turned square to the room, with where their openings are, from which `outline_sight_fit.py` teaches two networks.

    python -m tests.benchmarks.outline_pictures --hand NAME=FOLDER[,FOLDER]... --out FILE [--processes N]

FILE is a pickle of one record a photo: hand, name, the small picture of `trace_frame.py` as JPEG, its opening's corners (4, 2),
whether it has a head, where lines into the depth meet (2,), the focal length, all px of that picture, and some outlines of lines
(n, 4, 2) that the tracing would try.
"""

from __future__ import annotations

import argparse
import json
import pickle
import zlib
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import cv2
import numpy as np

from tests.benchmarks.arris_windows import jobs_of
from vision.geometry.camera import camera_prior
from vision.geometry.trace_choice import of_lines
from vision.geometry.trace_frame import squared
from vision.geometry.trace_lines import view_of
from vision.photo.intake import read_photo
from vision.settings import Settings

QUALITY, OUTLINES = 66, 64
"""of the JPEG, and how many outlines of lines are kept, by chance"""


def picture_of(job: tuple[str, Path]) -> dict[str, Any] | None:
    """One photo's record; None where no frame of the room is found in it."""
    cv2.setNumThreads(1)
    hand, path = job
    truth = json.loads(path.with_suffix(".json").read_text())
    opening, photo = truth["opening"], read_photo(path.stem, path.read_bytes(), Settings().intake)
    by = (
        photo.width / float(truth["image"]["width"]) if "image" in truth else 1.0
    )  # some truths are of the full-size photo always
    true = (np.array(opening.get("corners_px") or truth["corners_px"], dtype=np.float64) + 0.5) * by - 0.5
    square = squared(photo.pixels, camera_prior(photo.width, photo.height, photo.focal_35mm, Settings().camera))
    if square is None:
        return None
    lines = of_lines(view_of(square), has_head=bool(opening["head"]))
    kept = np.random.default_rng(zlib.crc32(path.stem.encode())).permutation(len(lines))[:OUTLINES]
    jpeg = cv2.imencode(".jpg", cv2.cvtColor(square.small, cv2.COLOR_RGB2BGR), [cv2.IMWRITE_JPEG_QUALITY, QUALITY])[1]
    return {
        "hand": hand,
        "name": path.stem,
        "jpg": jpeg.tobytes(),
        "corners": square.from_photo(true).astype(np.float32),
        "head": bool(opening["head"]),
        "depth": square.depth.astype(np.float32),
        "f": square.f_px,
        "cand": lines[kept].astype(np.float16),
    }


def main() -> None:
    """All photos into one file."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--hand", action="append", required=True, metavar="NAME=FOLDER[,FOLDER]", help="photos of one author")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--processes", type=int, default=2)
    asked = parser.parse_args()
    with ProcessPoolExecutor(asked.processes) as executor:
        found = [one for one in executor.map(picture_of, jobs_of(asked.hand), chunksize=4) if one is not None]
    asked.out.write_bytes(pickle.dumps(found))
    print(f"{len(found)} pictures, {asked.out.stat().st_size / 1e6:.0f} MB")


if __name__ == "__main__":
    main()
