"""Wide windows along true and wrong edges of rendered rooms, from which `arris_fit.py` teaches the network to tell them apart.

    python -m tests.benchmarks.arris_windows --hand NAME=FOLDER[,FOLDER]... --out FILE [--processes N]

Each photo with truth gives a window along every true edge and along up to four wrong candidates of each edge that the tracing
tried, 2.5 px at 12 MP wide columns and hundredths of the edge's length as rows; what leads the network aside (place, turn, size,
colours, blur) is drawn from these later. FILE is a pickle of (hand, photo, windows).
"""

from __future__ import annotations

import argparse
import json
import math
import pickle
import zlib
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.arris_sight import INWARD, Reduced, reduced
from vision.geometry.camera import CameraPrior, camera_prior
from vision.geometry.rough_outline import OUTLINE_CORNERS
from vision.geometry.trace_choice import of_lines
from vision.geometry.trace_frame import squared
from vision.geometry.trace_lines import view_of
from vision.photo.intake import Photo, read_photo
from vision.settings import Settings

Array = NDArray[np.float64]
ROWS, COLUMNS, SUBROWS = 160, 169, 8
FIRST, LAST = -0.3, 1.3
"""places of the rows, 0 to 1 between an edge's ends"""
MOST_WRONG, NEAREST, APART = 3, 10.0, 16.0
"""wrong lines of each edge, how many columns a wrong one is off on average, and two of them from each other at both ends"""
MOST_BOW = 30.0
"""columns; an edge that bows by more (a wide lens) is taken as straight"""
NOWHERE = 400.0
"""columns beyond which the true edge does not cross a wrong one's window"""


@dataclass(frozen=True)
class Window:
    """One window: WebP bytes (RGB), the edge's name, whether it is the true one, the tangent at which it is seen.

    The true edge runs `true_at` (2,) columns inside of the window's line at its ends, bowed by `bow` columns in the middle, and
    from `along[0]` to `along[1]` of the line's length; None where it does not cross the window.
    """

    picture: bytes
    edge: str
    true: bool
    tangent: float
    true_at: tuple[float, float] | None
    bow: float
    along: tuple[float, float]


def windows_of(path: Path) -> list[Window]:
    """All windows of a photo with its truth beside it."""
    truth = json.loads(path.with_suffix(".json").read_text())
    opening = truth["opening"]
    photo = read_photo(path.stem, path.read_bytes(), Settings().intake)
    by = photo.width / float(truth["image"]["width"])  # some generators tell the truth of the full-size photo always
    corners = _at_scale(opening.get("corners_px") or truth["corners_px"], by)
    prior = camera_prior(photo.width, photo.height, photo.focal_35mm, Settings().camera)
    scale = math.hypot(photo.width, photo.height) / Settings().camera.reference_diagonal_px
    picture, head = reduced(photo.pixels, prior, scale), bool(opening["head"])
    edges = {n: picture.place(corners[list(pair)]) for n, pair in OUTLINE_CORNERS.items() if head or n != "head"}
    curves = {n: picture.place(_at_scale(c, by)) for n, c in (truth.get("edges_px") or {}).items() if c}
    out = [_true(picture, name, ends, curves.get(name)) for name, ends in edges.items() if ends.min() > -5]
    return out + _wrong(photo, picture, prior, edges, seed=zlib.crc32(path.stem.encode()))


def _at_scale(points: list[list[float]], by: float) -> Array:
    return np.asarray((np.array(points, dtype=np.float64) + 0.5) * by - 0.5)


def _true(picture: Reduced, name: str, ends: Array, curve: Array | None) -> Window:
    pixels, across = _taken(picture, name, ends)
    off = np.zeros(1) if curve is None else (curve - ends[0]) @ across
    bow = float(off[np.abs(off).argmax()])
    return _window(picture, pixels, name, ends, across, (0.0, 0.0), bow if abs(bow) <= MOST_BOW else 0.0, (0.0, 1.0), true=True)


def _wrong(photo: Photo, picture: Reduced, prior: CameraPrior, edges: dict[str, Array], *, seed: int) -> list[Window]:
    """Edges of candidates, in an order of chance, that are not the true ones, with where the true ones cross their windows."""
    square = squared(photo.pixels, prior)
    if square is None:
        return []
    every = [picture.place(square.to_photo(one)) for one in of_lines(view_of(square), has_head="head" in edges)]
    taken: dict[str, list[Array]] = {name: [] for name in edges}
    out = []
    for k in np.random.default_rng(seed).permutation(len(every)):
        for name, true in edges.items():
            ends, along = every[k][list(OUTLINE_CORNERS[name])], true[1] - true[0]
            normal = np.array([along[1], -along[0]]) / np.linalg.norm(along)
            if np.abs((ends - true[0]) @ normal).mean() < NEAREST or len(taken[name]) == MOST_WRONG:
                continue
            if any(np.abs((ends - other) @ normal).sum() < APART for other in taken[name]):
                continue
            taken[name].append(ends)
            pixels, across = _taken(picture, name, ends)
            slope = float(across @ normal)
            at = ((true[0] - ends) @ normal) / slope if abs(slope) > 0.3 else np.full(2, np.inf)
            way = (ends[1] - ends[0]) / float(np.sum((ends[1] - ends[0]) ** 2))
            low, high = sorted(((true - ends[0]) @ way).tolist())
            crosses = (float(at[0]), float(at[1])) if np.abs(at).max() < NOWHERE else None
            out.append(_window(picture, pixels, name, ends, across, crosses, 0.0, (low, high), true=False))
    return out


def _taken(picture: Reduced, name: str, ends: Array) -> tuple[NDArray[np.uint8], Array]:
    """A window's pixels (ROWS, COLUMNS, 3) along a line (2, 2) of the small picture, and the unit vector across it, inward."""
    along = ends[1] - ends[0]
    across = np.array([along[1], -along[0]]) / np.linalg.norm(along)
    across = across if across @ np.array(INWARD[name]) >= 0 else -across
    t = FIRST + (LAST - FIRST) * (np.arange(ROWS * SUBROWS) + 0.5) / (ROWS * SUBROWS)
    at = ends[0] + t[:, None, None] * along + (np.arange(COLUMNS) - COLUMNS // 2)[None, :, None] * across
    seen = cv2.remap(picture.pixels, at[..., 0].astype(np.float32), at[..., 1].astype(np.float32), cv2.INTER_LINEAR)
    mean = seen.reshape(ROWS, SUBROWS, COLUMNS, 3).astype(np.float32).mean(axis=1)
    return mean.round().astype(np.uint8), across


def _window(
    picture: Reduced,
    pixels: NDArray[np.uint8],
    name: str,
    ends: Array,
    across: Array,
    true_at: tuple[float, float] | None,
    bow: float,
    along: tuple[float, float],
    *,
    true: bool,
) -> Window:
    high, wide = picture.pixels.shape[:2]
    tangent = float((np.array([wide, high]) / 2 - ends.mean(axis=0)) @ across) / picture.f_px
    quality = 85 if true else 72
    data = cv2.imencode(".webp", np.ascontiguousarray(pixels[..., ::-1]), [cv2.IMWRITE_WEBP_QUALITY, quality])[1].tobytes()
    return Window(data, name, true, tangent, true_at, bow, along)


def jobs_of(hands: Sequence[str]) -> list[tuple[str, Path]]:
    """(hand, photo) of every photo with truth in the folders of NAME=FOLDER[,FOLDER]."""
    out = []
    for hand in hands:
        name, _, folders = hand.partition("=")
        for folder in folders.split(","):
            paths = sorted(Path(folder).glob("*.json"))
            truths: list[tuple[Path, dict[str, Any]]] = [(p, json.loads(p.read_text())) for p in paths]
            out += [(name, p.with_suffix(".jpg")) for p, t in truths if "opening" in t and p.with_suffix(".jpg").exists()]
    return out


def _job(windows_of: Callable[[Path], list[Any]], job: tuple[str, Path]) -> tuple[str, str, list[Any]]:
    cv2.setNumThreads(1)
    hand, path = job
    return hand, path.stem, windows_of(path)


def write_windows(windows_of: Callable[[Path], list[Any]], description: str | None) -> None:
    """Windows of all photos into one file, as the command line says."""
    parser = argparse.ArgumentParser(description=description, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--hand", action="append", required=True, metavar="NAME=FOLDER[,FOLDER]", help="photos of one author")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--processes", type=int, default=2)
    asked = parser.parse_args()
    with ProcessPoolExecutor(asked.processes) as executor:
        found = list(executor.map(partial(_job, windows_of), jobs_of(asked.hand), chunksize=4))
    asked.out.write_bytes(pickle.dumps([(hand, name, [dict(vars(w)) for w in windows]) for hand, name, windows in found]))
    print(f"{len(found)} photos, {sum(len(w) for _, _, w in found)} windows, {asked.out.stat().st_size / 1e6:.0f} MB")


if __name__ == "__main__":
    write_windows(windows_of, __doc__)
