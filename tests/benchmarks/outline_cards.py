"""Fits REFERENCES in trace_weights.py: what a reference beside an outline, or across an edge of it, says for and against it.

    python -m tests.benchmarks.outline_cards --folder FOLDER [--folder FOLDER]...

The other weights stay as they are; every photo counts as it is and in further looks, where the outline is not sure anyway. Fit on
`dev`, read on `held`.
"""

from __future__ import annotations

import argparse
import math
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from tests.benchmarks.outline import FOLDERS, FULL_PIXELS, scenes, worst_corner
from tests.benchmarks.outline_fit import RIGHT_PX
from tests.benchmarks.outline_looks import LOOKS, Looked
from vision.geometry.camera import camera_prior
from vision.geometry.trace_cards import clues_of, references
from vision.geometry.trace_choice import alike, chosen, tried
from vision.geometry.trace_frame import squared
from vision.geometry.trace_lines import view_of
from vision.geometry.trace_quads import quads
from vision.geometry.trace_weights import OUTLINE
from vision.photo.intake import read_photo
from vision.settings import Settings

Array = NDArray[np.float64]
TAKEN = ("as it is", "mirrored", "darker", "flatter", "softer")
SURE = 0.93
"""confidence over which a photo says nothing about references"""
SHRINK = 0.3
Group = tuple[Array, Array, NDArray[np.bool_]]
"""Clues (n + 1, 2), log shares without them and which are right, of n candidates and none of them"""


def group(look: Looked, focal_35mm: float | None, *, head: bool) -> Group | None:
    """One photo; None where the outline is sure anyway or none is seen."""
    high, wide = look.pixels.shape[:2]
    prior = camera_prior(wide, high, focal_35mm, Settings().camera)
    square = squared(look.pixels, prior)
    found = quads(view_of(square), has_head=head) if square is not None else []
    if square is None or not found:
        return None
    choices, none = chosen(tried(view_of(square), found), np.array(OUTLINE))
    if sum(c.share for c, s in zip(choices, alike(choices), strict=True) if s) > SURE:
        return None
    cards = references(square, prior, Settings())
    unit = math.sqrt(high * wide / FULL_PIXELS)
    off = [worst_corner(square.to_photo(c.corners), look.corners_px, has_head=head) for c in choices]
    right = np.array(off) <= RIGHT_PX * unit
    shares = np.maximum([*(c.share for c in choices), none], 1e-12)
    clues = np.array([*(clues_of(c.corners, cards) for c in choices), np.zeros(2)])
    return clues, np.log(shares), np.append(right, not right.any())


def loss(weights: Array, groups: list[Group]) -> float:
    """Penalised negative log likelihood."""
    total = SHRINK * float(weights @ weights) / 2
    for clues, odds, right in groups:
        share = np.exp(clues @ weights + odds - (clues @ weights + odds).max())
        total -= math.log(max(float(share[right].sum() / share.sum()), 1e-12))
    return total


def main() -> None:
    """Prints the weights, and the log likelihood without and with them."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--folder", type=Path, action="append", default=[])
    groups = []
    for path, truth in scenes([*FOLDERS, *parser.parse_args().folder], ""):
        photo = read_photo(path.stem, path.with_suffix(".jpg").read_bytes(), Settings().intake)
        opening = truth["opening"]
        assert isinstance(opening, dict)
        for name in TAKEN:
            look = LOOKS[name](photo.pixels, np.array(opening["corners_px"]))
            one = group(look, photo.focal_35mm, head=bool(opening["head"]))
            groups += [one] if one is not None else []
    fitted = minimize(loss, np.zeros(2), args=(groups,)).x
    print(f"{len(groups)} looks; REFERENCES = {fitted.round(2).tolist()}")
    print(f"log likelihood {-loss(np.zeros(2), groups):.1f} without, {-loss(fitted, groups):.1f} with them")


if __name__ == "__main__":
    main()
