"""Fits the weights of the tracing's clues: `last` and OUTLINE in trace_weights.py.

    python -m tests.benchmarks.outline_fit --folder FOLDER [--folder FOLDER]... [--write]

A conditional logit twice: the front edge's line among the level lines between the true walls, then the outline among the
candidates of a photo or none of them. Every photo is taken with its head and once more as if it had none. Beside the weights it
prints how the outline would be chosen in each tenth of the photos by weights fitted to the other nine tenths. Fit on `dev`, read
on `held`.
"""

from __future__ import annotations

import argparse
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from tests.benchmarks.outline import FULL_PIXELS, scenes, worst_corner
from vision.geometry import trace_weights
from vision.geometry.camera import camera_prior
from vision.geometry.trace_choice import SAME_PX, tried
from vision.geometry.trace_frame import squared
from vision.geometry.trace_lines import Line, View, across, polished, uprights, view_of
from vision.geometry.trace_marks import Between, closely, judged, level_lines
from vision.geometry.trace_quads import CLEARANCE, KEEP, SHORTEST_WALL, quads
from vision.photo.intake import read_photo
from vision.settings import Settings

Array = NDArray[np.float64]
RIGHT_PX = 13.0
"""px at 12 MP of a candidate's worst corner before it is refined in the photo"""
LEVEL_PX, WALL_PX = 2.5, 5.0
"""px of the small picture"""
SHRINK_LEVELS, SHRINK_OUTLINES = 0.5, 0.3
"""weight of the squares of the standardised weights against the log likelihood"""
MISSING = 0.03
"""how much a photo counts from whose candidates the right ones were taken away: so often none is right"""
FOLDS = 10


@dataclass(frozen=True)
class Group:
    """One choice: clues (n, k), which of the n are right, how much it counts, and for outlines their corners (n, 4, 2)."""

    name: str
    clues: Array
    right: NDArray[np.bool_]
    counts: float = 1.0
    corners: Array | None = None


@dataclass(frozen=True)
class Seen:
    """One photo squared, with its true corners in px of the small picture and in px."""

    name: str
    view: View
    true: Array
    true_px: Array
    unit: float
    head: bool


def seen(folders: Sequence[Path]) -> list[Seen]:
    """Every photo with truth."""
    out = []
    for path, truth in scenes(folders, ""):
        photo = read_photo(path.stem, path.with_suffix(".jpg").read_bytes(), Settings().intake)
        square = squared(photo.pixels, camera_prior(photo.width, photo.height, photo.focal_35mm, Settings().camera))
        opening = truth["opening"]
        assert isinstance(opening, dict)
        assert square is not None
        corners = np.array(opening["corners_px"])
        unit = math.sqrt(photo.width * photo.height / FULL_PIXELS)
        out.append(Seen(path.stem, view_of(square), square.from_photo(corners), corners, unit, bool(opening["head"])))
    return out


def level_group(one: Seen, kind: str) -> Group | None:
    """The level lines between the true walls as the program sees these; None where it does not see them or the line."""
    walls = [_wall(one, pair) for pair in ((0, 3), (1, 2))]
    if any(w is None for w in walls):
        return None
    h, w = one.view.square.small.shape[:2]
    middle = (max(one.true[2:, 1].max(), 4) + min(one.true[:2, 1].min(), h - 5)) / 2
    rows = (4.0, middle - CLEARANCE * h) if kind == "head" else (middle + CLEARANCE * h, h - 5.0)
    between = Between(one.view, *walls, rows, kind == "head")  # type: ignore[arg-type]
    ((lines, _, clues),) = closely([between], judged([between], [[scored.line for scored in level_lines(between)]]))
    i, j = (3, 2) if kind == "head" else (0, 1)
    off = [max(abs(float(across(line, one.true[k, 0], w)) - one.true[k, 1]) for k in (i, j)) for line in lines]
    right = np.array(off) <= LEVEL_PX
    return Group(one.name, clues, right) if right.any() else None


def _wall(one: Seen, pair: tuple[int, int]) -> Line | None:
    """The program's line of a true wall, drawn once more between its corners."""
    h = one.view.square.small.shape[0]

    def off(line: Line) -> float:
        return max(abs(float(across(line, one.true[k, 1], h)) - one.true[k, 0]) for k in pair)

    best = min((u.line for u in uprights(one.view, KEEP, SHORTEST_WALL)), key=off)
    ends = (max(float(one.true[pair[1], 1]), 4.0), min(float(one.true[pair[0], 1]), h - 5.0))
    return polished(one.view.square, best, ends, upright=True, reach=3.0) if off(best) <= WALL_PX else None


def outline_groups(one: Seen) -> list[Group]:
    """The candidates or none of them, with and without the head looked for, and once more without the right ones."""
    out = []
    for head in {one.head, False}:
        choices = tried(one.view, quads(one.view, has_head=head))
        clues = np.array([c.clues for c in choices])
        corners = np.array([c.corners for c in choices])
        off = [worst_corner(one.view.square.to_photo(c), one.true_px, has_head=head) for c in corners]
        right = np.array(off) <= RIGHT_PX * one.unit
        name = one.name + ("" if head == one.head else ", head not looked for")
        out.append(_or_none(name, clues, right, 1.0, corners))
        if right.any() and not right.all():
            out.append(_or_none(name + ", taken away", clues[~right], right[~right], MISSING, corners[~right]))
    return out


def _or_none(name: str, clues: Array, right: NDArray[np.bool_], counts: float, corners: Array) -> Group:
    return Group(name, np.vstack([clues, np.zeros(clues.shape[1])]), np.append(right, not right.any()), counts, corners)


def fitted(groups: Sequence[Group], shrink: float) -> Array:
    """Weights of the clues by penalised likelihood; a column that is 1 for every candidate but none is the constant."""
    rows = np.vstack([g.clues for g in groups])
    kept = rows[rows.any(axis=1)]
    mean, sd = kept.mean(axis=0), kept.std(axis=0)
    constant = sd < 1e-9
    mean[constant], sd[constant] = 0.0, 1.0
    has_none = bool(constant.any())
    scaled = [(g.clues - (g.clues.any(axis=1)[:, None] * mean if has_none else mean)) / sd for g in groups]
    penalty = np.where(constant, 1e-3, shrink)

    def loss(weights: Array) -> tuple[float, Array]:
        total, slope = float(penalty @ weights**2) / 2, penalty * weights
        for group, z in zip(groups, scaled, strict=True):
            share = np.exp(z @ weights - (z @ weights).max())
            share /= share.sum()
            right = max(float(share[group.right].sum()), 1e-300)
            total -= group.counts * math.log(right)
            slope = slope - group.counts * z.T @ (np.where(group.right, share / right, 0.0) - share)
        return total, slope

    weights = minimize(loss, np.zeros(len(sd)), jac=True, method="L-BFGS-B").x
    out = np.asarray(weights / sd)
    out[constant] -= float((weights / sd) @ mean)
    return out


def crossed(groups: Sequence[Group], shrink: float) -> list[tuple[str, bool, float]]:
    """Of each group by weights fitted without its photo's tenth: its name, whether the likeliest is right, and its share."""
    photos = sorted({g.name.split(",")[0] for g in groups})
    out = []
    for fold in range(FOLDS):
        apart = set(photos[fold::FOLDS])
        weights = fitted([g for g in groups if g.name.split(",")[0] not in apart], shrink)
        for group in groups:
            if group.name.split(",")[0] in apart and group.counts == 1.0:
                share = np.exp(group.clues @ weights - (group.clues @ weights).max())
                share /= share.sum()
                n = len(share) if group.corners is None else len(group.corners)
                best = int(share[:n].argmax())
                same = np.arange(n) == best
                if group.corners is not None:
                    same = np.linalg.norm(group.corners - group.corners[best], axis=2).max(axis=1) <= SAME_PX
                out.append((group.name, bool(group.right[best]), float(share[:n][same].sum())))
    return out


def report(title: str, groups: Sequence[Group], shrink: float) -> Array:
    """Prints the cross-validated choice and gives the weights fitted to all."""
    results = crossed(groups, shrink)
    print(f"{title}: {len(results)}, likeliest right {sum(r[1] for r in results)}")
    for limit in (0.5, 0.65, 0.8, 0.9):
        used = [r for r in results if r[2] > limit]
        print(f"  over {limit}: {sum(r[1] for r in used)} right, {sum(not r[1] for r in used)} wrong")
    for name, right, share in sorted(results, key=lambda r: r[2]):
        if share < 0.8 or not right:
            print(f"    {share:.2f} {'right' if right else 'WRONG'} {name}")
    return fitted(groups, shrink)


def write(pattern: str, weights: Array, digits: int) -> None:
    """Writes weights over those in the text of trace_weights.py."""
    path = Path(trace_weights.__file__)
    text = ", ".join(f"{w + 0.0:.{digits}f}" for w in weights)
    path.write_text(re.sub(pattern, lambda m: f"{m[1]}({text})", path.read_text(), flags=re.DOTALL))


def main() -> None:
    """Both fits, the second by the first one's weights."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--folder", type=Path, action="append", required=True)
    parser.add_argument("--write", action="store_true", help="into trace_weights.py")
    chosen = parser.parse_args()
    photos = seen(chosen.folder)
    for kind in ("curb", "head"):
        groups = [g for one in photos if kind == "curb" or one.head if (g := level_group(one, kind)) is not None]
        weights = report(f"lines of the {kind}", groups, SHRINK_LEVELS).round(1)
        print(f"{kind.upper()}.last = {weights.tolist()}")
        object.__setattr__(getattr(trace_weights, kind.upper()), "last", tuple(weights))
        if chosen.write:
            write(rf"(\n{kind.upper()} = Weights\(.*?-6\.3,\n    )\([^)]*\)", weights, 1)
    outlines = report("outlines", [g for one in photos for g in outline_groups(one)], SHRINK_OUTLINES)
    print(f"OUTLINE = {outlines.round(2).tolist()}")
    if chosen.write:
        write(r"(\nOUTLINE = )\([^)]*\)", outlines, 2)


if __name__ == "__main__":
    main()
