"""Windows round references and round other patches of rendered rooms, from which `reference_fit.py` teaches to tell them apart.

    python -m tests.benchmarks.reference_windows --hand NAME=FOLDER[,FOLDER]... --out FILE [--processes N]

Each photo with truth gives a window round every reference, up to ten round patches that the finder found and that are none, and
three round rectangles put anywhere. Windows are as those of `vision/geometry/reference_sight.py` and larger, so that place, turn
and size can be drawn from them later. FILE is a pickle of (hand, photo, windows).
"""

from __future__ import annotations

import json
import math
import zlib
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.cards import in_picture_order
from vision.geometry.finder import find_quadrilaterals, reduced
from vision.geometry.reference_sight import frame, pyramid, turned, window

from .arris_windows import write_windows

Array = NDArray[np.float64]
SIZE = (168, 126)
"""px of a window"""
MOST_OTHERS, ANYWHERE = 10, 3
ASPECTS = (0.05, 0.7)
"""logarithms between which the aspect of what may pass for a reference lies"""
LEAST_MM, MOST_MM, MEAN_SIDES_MM = 350.0, 4000.0, (68.0, 249.0)
"""mm; how large an opening is (both ways, roughly), and the mean sides of bank cards and sheets"""
SAME = 0.4
"""of a reference's mean side; a patch all of whose corners are nearer to its is left out"""


@dataclass(frozen=True)
class Window:
    """One window: WebP bytes (RGB), what it is ("reference", "patch", "anywhere"), a reference's kind, and the mean side of what
    it is round in px of the picture at working size."""

    picture: bytes
    what: str
    kind: str
    side_px: float
    others: list[list[list[float]]]
    """corners (4, 2) of references that are in sight in a window, px of the window"""


def windows_of(path: Path) -> list[Window]:
    """All windows of a photo with its truth beside it."""
    truth = json.loads(path.with_suffix(".json").read_text())
    pixels = cv2.cvtColor(cv2.imread(str(path)), cv2.COLOR_BGR2RGB)
    small, factor = reduced(np.asarray(pixels, dtype=np.uint8))
    by = float(truth["image"]["width"]) / small.shape[1]  # some generators tell the truth of the full-size photo always
    levels, rng = pyramid(small), np.random.default_rng(zlib.crc32(path.stem.encode()))
    its = [c for c in truth.get("cards", []) if c.get("corners_px")]
    cards = [in_picture_order((np.array(c["corners_px"], dtype=np.float64) + 0.5) / by - 0.5) for c in its]
    out = [_window(levels, c, "reference", str(t["kind"]), cards) for c, t in zip(cards, its, strict=True)]
    found, strength = find_quadrilaterals(np.asarray(pixels, dtype=np.uint8))
    found = (found + 0.5) / factor - 0.5
    opening = np.array(truth["opening"].get("corners_px") or truth["corners_px"], dtype=np.float64) / by
    others = [k for k in np.argsort(-strength) if _may_pass(found[k], opening) and not _is_one(found[k], cards)]
    strongest, rest = others[: MOST_OTHERS // 2], others[MOST_OTHERS // 2 :]
    chosen = [*strongest, *rng.permutation(rest)[: MOST_OTHERS - len(strongest)]]
    out += [_window(levels, found[int(k)], "patch", "", cards) for k in chosen]
    for _ in range(ANYWHERE):
        quad = _anywhere(small.shape[1], small.shape[0], rng)
        if not _is_one(quad, cards):
            out.append(_window(levels, quad, "anywhere", "", cards))
    return out


def _may_pass(quad: Array, opening: Array) -> bool:
    """True where a patch has a reference's aspect, and one that makes the opening no absurd size."""
    side, its = (np.linalg.norm(np.roll(q, -1, axis=0) - q, axis=1) for q in (quad, opening))
    share = math.sqrt(float((its[0] + its[2]) * (its[1] + its[3]) / ((side[0] + side[2]) * (side[1] + side[3]))))
    sized = any(LEAST_MM < share * mm < MOST_MM for mm in MEAN_SIDES_MM)
    return sized and ASPECTS[0] < abs(math.log((side[0] + side[2]) / (side[1] + side[3]))) < ASPECTS[1]


def _is_one(quad: Array, cards: list[Array]) -> bool:
    """True where a patch is nearly a reference."""
    for card in cards:
        side = float(np.linalg.norm(np.roll(card, -1, axis=0) - card, axis=1).mean())
        if float(np.abs(quad - card).max()) < SAME * side:
            return True
    return False


def _anywhere(wide: int, high: int, rng: np.random.Generator) -> Array:
    a = float(np.exp(rng.uniform(math.log(30), math.log(260))))
    b = a / float(np.exp(rng.uniform(0.24, 0.48)))
    a, b = (a, b) if rng.random() < 0.5 else (b, a)
    x, y = rng.uniform(a, wide - a), rng.uniform(b, high - b)
    return np.array([[x - a / 2, y + b / 2], [x + a / 2, y + b / 2], [x + a / 2, y - b / 2], [x - a / 2, y - b / 2]])


def _window(levels: list[NDArray[np.uint8]], quad: Array, what: str, kind: str, cards: list[Array]) -> Window:
    seen = window(levels, quad, SIZE)
    side = float(np.linalg.norm(np.roll(quad, -1, axis=0) - quad, axis=1).mean())
    into = _into(quad)
    others = [cv2.perspectiveTransform(c[None], into)[0] for c in cards]
    others = [o for o in others if np.isfinite(o).all() and np.abs(o).max() < 3 * SIZE[0]]
    data = cv2.imencode(".webp", np.ascontiguousarray(seen[..., 2::-1]), [cv2.IMWRITE_WEBP_QUALITY, 85])[1].tobytes()
    return Window(data, what, kind, side, [o.tolist() for o in others])


def _into(quad: Array) -> Array:
    there = frame(*SIZE).astype(np.float32)
    return np.asarray(cv2.getPerspectiveTransform(turned(quad).astype(np.float32), there), dtype=np.float64)


if __name__ == "__main__":
    write_windows(windows_of, __doc__)
