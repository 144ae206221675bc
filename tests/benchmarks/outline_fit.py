"""Fits OUTLINE in trace_weights.py: what the clues say of a candidate outline against the others and against none of them.

    python -m tests.benchmarks.outline_fit --hand FOLDER[@NETS] [--hand FOLDER,FOLDER[@NETS]]... [--keep FILE] [--write]

NETS is a folder with arris.onnx, outline.onnx and corner.onnx that have not seen rooms of this author (`arris_fit.py` and
`outline_sight_fit.py` make them); without one the program's own are asked, which may have. Conditional logits over photos with
truth, in the looks that COUNTS names: one fitted to all, and one without each author.
`--hand` names the folders of one author. First it prints what becomes of each author's photos by weights that were fitted to
the others' alone in the same way: that is what to expect of a room that nobody here has seen. `--keep` remembers what was
measured.
"""

from __future__ import annotations

import argparse
import math
import pickle
import re
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from threadpoolctl import threadpool_limits

from tests.benchmarks.outline import BORDER_PX, FULL_PIXELS, scenes, worst_corner
from tests.benchmarks.outline_looks import LOOKS
from vision.geometry import trace_weights
from vision.geometry.arris_sight import ARRIS, reduced
from vision.geometry.camera import camera_prior
from vision.geometry.corner_sight import CORNER
from vision.geometry.outline_sight import OUTLINE
from vision.geometry.trace_choice import SAME_PX, Sights, candidates, of_lines, shares_of
from vision.geometry.trace_frame import squared
from vision.geometry.trace_lines import view_of
from vision.photo.intake import Photo, read_photo
from vision.settings import Settings

Array = NDArray[np.float64]
RIGHT_PX, WRONG_PX = 9.0, 14.0
"""px at 12 MP of a candidate's worst corner before it is refined in the photo; what lies between is neither"""
FOUND_PX = 13.0
"""px; the refining brings these within 10"""
COUNTS = {"as it is": 1.0}
"""looks, and how much each counts: any of LOOKS, and "as if without a head"; a look is no photo of another room"""
SHRINK = 30.0
"""weight of the squares of the standardised weights against the log likelihood; at 2, 8, 30 and 100 the log likelihood of 267
photos, each author's by weights fitted to the others', was -117, -111, -110 and -112 (2026-12-01)"""
LIMITS = (0.45, 0.55, 0.65, 0.75, 0.85)
"""of confidence, that are printed"""


@dataclass(frozen=True)
class Group:
    """One photo in one look: clues (n, k), the worst corner (n,) px at 12 MP and corners (n, 4, 2) px of the small picture."""

    hand: str
    name: str
    look: str
    clues: Array
    off: Array
    corners: Array

    @property
    def counts(self) -> float:
        """How much it counts."""
        return COUNTS[self.look]


def measured(hands: Sequence[str], processes: int) -> tuple[list[str], list[Group]]:
    """The clues' names, and every photo of every hand in every look in which the opening is still in the picture."""
    jobs = [
        (hand, *scene) for hand in hands for scene in scenes([Path(folder) for folder in hand.partition("@")[0].split(",")], "")
    ]
    with ProcessPoolExecutor(processes) as pool:
        made = list(pool.map(_groups, jobs, chunksize=4))
    return next(names for names, _ in made if names), [group for _, groups in made for group in groups]


def _groups(job: tuple[str, Path, dict[str, object]]) -> tuple[list[str], list[Group]]:
    """One photo in every look."""
    hand, path, truth = job
    nets = hand.partition("@")[2]
    for network, name in ((ARRIS, "arris"), (OUTLINE, "outline"), (CORNER, "corner")):
        network.ask(Path(nets) / f"{name}.onnx" if nets else None)
    photo = read_photo(path.stem, path.with_suffix(".jpg").read_bytes(), Settings().intake)
    opening, image = truth["opening"], truth["image"]
    assert isinstance(opening, dict)
    assert isinstance(image, dict)
    by = photo.width / float(image["width"])  # some generators tell the truth of the full-size photo always
    true, head = (np.array(opening["corners_px"]) + 0.5) * by - 0.5, bool(opening["head"])
    names: list[str] = []
    groups = []
    with threadpool_limits(1):
        for look, clues, off, corners in _looks(photo, true, head=head):
            names = list(clues)
            groups.append(Group(hand, path.stem, look, np.array(list(clues.values())).T, off, corners))
    return names, groups


def _looks(photo: Photo, true: Array, *, head: bool) -> Iterator[tuple[str, dict[str, Array], Array, Array]]:
    """Each look's clues, worst corners and corners."""
    for look in COUNTS:
        headless = look not in LOOKS
        if headless and not head:
            continue
        seen = LOOKS["as it is" if headless else look](photo.pixels, true)
        high, wide = seen.pixels.shape[:2]
        inside = seen.corners_px if head else seen.corners_px[:2]
        if look != "as it is" and (
            inside.min() < BORDER_PX or np.any(inside.max(axis=0) > np.array([wide, high]) - 1 - BORDER_PX)
        ):
            continue
        prior = camera_prior(wide, high, photo.focal_35mm, Settings().camera)
        square, has_head = squared(seen.pixels, prior), head and not headless
        if square is not None:
            unit = math.sqrt(wide * high / FULL_PIXELS)
            sights = Sights(square, reduced(seen.pixels, prior, unit), has_head)
            corners, clues = candidates(sights, of_lines(view_of(square), has_head=has_head))
            if not len(corners):
                continue
            off = np.array([worst_corner(square.to_photo(c), seen.corners_px, has_head=has_head) for c in corners]) / unit
            yield look, clues, off, corners


def fitted(groups: Sequence[Group], shrink: float = SHRINK) -> Array:
    """Weights of the clues and the constant (k + 1,), by penalised likelihood."""
    every = np.vstack([g.clues for g in groups])
    mean, sd = every.mean(axis=0), every.std(axis=0)
    sd[sd < 1e-9] = 1.0
    rows, right, counts = [], [], []
    for group in groups:
        z = np.column_stack([(group.clues - mean) / sd, np.ones(len(group.clues))])
        is_right = group.off <= RIGHT_PX
        these = is_right | (group.off > WRONG_PX)
        rows.append(np.vstack([z[these], np.zeros(z.shape[1])]))
        right.append(np.append(is_right[these], not is_right.any()))
        counts.append(group.counts)
    weights = _likeliest(rows, np.concatenate(right), np.array(counts), shrink)
    return np.append(weights[:-1] / sd, weights[-1] - float((weights[:-1] / sd) @ mean))


def _likeliest(rows: Sequence[Array], right: NDArray[np.bool_], counts: Array, shrink: float) -> Array:
    """Weights of standardised clues; the last row of each group is "none of them"."""
    every, ends = np.vstack(rows), np.cumsum([len(r) for r in rows])
    starts, group = np.append(0, ends[:-1]), np.repeat(np.arange(len(rows)), [len(r) for r in rows])
    penalty = np.full(every.shape[1], shrink)
    penalty[-1] = 1e-3

    def loss(weights: Array) -> tuple[float, Array]:
        z = every @ weights
        odds = np.exp(z - np.maximum.reduceat(z, starts)[group])
        share = odds / np.add.reduceat(odds, starts)[group]
        of_right = np.maximum(np.add.reduceat(np.where(right, share, 0.0), starts), 1e-300)
        pull = counts[group] * (np.where(right, share / of_right[group], 0.0) - share)
        return float(penalty @ weights**2 / 2 - counts @ np.log(of_right)), penalty * weights - every.T @ pull

    found = minimize(loss, np.zeros(every.shape[1]), jac=True, method="L-BFGS-B", options={"maxiter": 3000})
    return np.asarray(found.x, dtype=np.float64)


def panel(groups: Sequence[Group], shrink: float = SHRINK) -> Array:
    """Weights (m, k + 1) fitted to all the groups, then to all but those of each author in turn."""
    hands = list(dict.fromkeys(g.hand for g in groups))
    return np.array([fitted(groups, shrink)] + [fitted([g for g in groups if g.hand != hand], shrink) for hand in hands])


def told(group: Group, weights: Array) -> tuple[float, float]:
    """The likeliest candidate's worst corner, and the least share of its outline by any of the models (m, k + 1)."""
    share = shares_of(group.clues @ weights[:, :-1].T + weights[:, -1])[:-1]
    best = int(share.mean(axis=1).argmax())
    same = np.linalg.norm(group.corners - group.corners[best], axis=2).max(axis=1) <= SAME_PX
    return float(group.off[best]), float(share[same].sum(axis=0).min())


def report(hand: str, groups: Sequence[Group], weights: Array) -> None:
    """Prints what becomes of photos, as they are and in all looks, before they are refined and looked at again."""
    for title, of in (("as they are", [g for g in groups if g.look == "as it is"]), ("all looks", list(groups))):
        results = [(g, *told(g, weights)) for g in of]
        print(f"{hand}, {title}: {len(of)}, likeliest right {sum(off <= FOUND_PX for _, off, _ in results)}", end="")
        for limit in LIMITS:
            used = [(g, off) for g, off, share in results if share > limit]
            print(
                f"; over {limit}: found {sum(o <= FOUND_PX for _, o in used)} wrong {sum(o > FOUND_PX for _, o in used)}", end=""
            )
        print()
        if title == "as they are":
            wrong = [f"{g.name} ({off:.0f} px, {share:.2f})" for g, off, share in results if share > LIMITS[0] and off > FOUND_PX]
            print("    wrong: " + ", ".join(wrong))


def write(names: Sequence[str], weights: Array) -> None:
    """Writes weights (m, k + 1) over those in the text of trace_weights.py."""
    path = Path(trace_weights.__file__)
    each = [", ".join(f"{weight + 0.0:.2f}" for weight in of) for of in weights.T]
    lines = "".join(f'    "{name}": ({of}),\n' for name, of in zip([*names, ""], each, strict=True))
    path.write_text(re.sub(r"(\nOUTLINE = \{\n).*?\}", lambda m: m[1] + lines + "}", path.read_text(), flags=re.DOTALL))


def main() -> None:
    """Each hand by the others' weights, then the weights of all."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--hand", action="append", required=True, help="folders of one author, with commas between them")
    parser.add_argument("--keep", type=Path, help="file with what was measured, made where it is missing")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--write", action="store_true", help="into trace_weights.py")
    chosen = parser.parse_args()
    if chosen.keep is not None and chosen.keep.exists():
        names, groups = pickle.loads(chosen.keep.read_bytes())
    else:
        names, groups = measured(chosen.hand, chosen.processes)
        if chosen.keep is not None:
            chosen.keep.write_bytes(pickle.dumps((names, groups)))
    for hand in chosen.hand:
        report(hand, [g for g in groups if g.hand == hand], panel([g for g in groups if g.hand != hand]))
    weights = panel(groups)
    print("all of them, by weights fitted to them")
    report("all", groups, weights)
    if chosen.write:
        write(names, weights)


if __name__ == "__main__":
    main()
