"""Cues (joints of the face, lines that run back): do they help, do they bias, and how often do they contradict a right camera?

    python -m tests.benchmarks.cues [--folder DIR ...] [--lies] [--write]

Path-traced photos with exact truth. Each is observed once, then concluded without cues, with cues held against the camera, and
with cues in the adjustment. Widths by layout: rms and mean of the errors (mm), mean stated u, and their ratio, of the photos that
have a cue; share of the photos whose cues contradict the camera beyond limits, beside how far the sizes are off (in stated sds).

--lies: then the first card's edges are moved to where a card of another size, off the wall or tilted would be seen, which nobody
states; of those of which the cards themselves say nothing (no finding that holds, no refusal), how many are off by more than
3 stated sds, and in how many the cues say so.

Grids and walls of the rendered rooms are true to the last digit, so what is measured here is the seeing; how true a tiler's
grid is (JointSettings.own_slope_sd, own_place_sd_mm, common_sd_deg, back_*) rests on its own reasons; nothing here tests it.
"""

from __future__ import annotations

import argparse
import hashlib
import pickle
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.scene_files import OPTIONS, ROOT, Scene, scenes
from vision import check as whole
from vision.errors import CannotMeasure
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly, assemble
from vision.geometry.camera import Camera
from vision.geometry.cards import parse_cards
from vision.geometry.consistency import choose_cards
from vision.geometry.cues import cues_of
from vision.geometry.joints import on_face
from vision.geometry.measure import ROUGHLY, Measured, conclude, observed_again, see_photos, solve, widened_lens
from vision.geometry.opening import SIZES, WIDTHS
from vision.geometry.seen import Demands, SeenCard, SeenPhoto
from vision.settings import Settings
from vision.tape.readings import read_tape

Array = NDArray[np.float64]
OFF = Settings()
OFF = replace(OFF, joints=replace(OFF.joints, held=False, enter=False))
HELD = replace(OFF, joints=replace(OFF.joints, held=True))
ON = replace(OFF, joints=replace(OFF.joints, enter=True))
TABLE = Path(__file__).resolve().parent / "tables" / "cues.txt"
LIMITS = (3.0, 3.5, 4.0, 5.0)
"""standard deviations at which a contradiction is counted"""
REACH = 3.0
"""stated standard deviations up to which an error is what the report says it may be"""


def _tilted(axis: int, degrees: float) -> Callable[[Array], Array]:
    def move(X: Array) -> Array:
        start, turn = X[:, axis].min(), np.radians(degrees)
        out = X.copy()
        out[:, axis] = start + (X[:, axis] - start) * np.cos(turn)
        out[:, 2] += (X[:, axis] - start) * np.sin(turn)
        return out

    return move


LIES: dict[str, Callable[[Array], Array]] = {
    "nothing": lambda X: X,
    "2 % larger": lambda X: X.mean(axis=0) + 1.02 * (X - X.mean(axis=0)),
    "6 % larger": lambda X: X.mean(axis=0) + 1.06 * (X - X.mean(axis=0)),
    "20 mm proud": lambda X: X + np.array([0, 0, 20.0]),
    "60 mm proud": lambda X: X + np.array([0, 0, 60.0]),
    "top off by 2 deg": _tilted(1, 2.0),
    "top off by 5 deg": _tilted(1, 5.0),
    "right off by 2 deg": _tilted(0, 2.0),
    "right off by 5 deg": _tilted(0, 5.0),
}


@dataclass(frozen=True)
class Observed:
    """One scene with all edges observed, before anything is concluded."""

    scene: Scene
    photos: list[SeenPhoto]
    demands: Demands
    assembly: Assembly
    solution: Solution
    refused: bool


@dataclass(frozen=True)
class Row:
    """What became of one scene under one lie: errors and u of sizes without and with cues, cues and scores, what cards said."""

    layout: str
    name: str
    lie: str
    refused: str | None
    said: tuple[str, ...] = ()
    off: dict[str, tuple[float, float]] | None = None
    on: dict[str, tuple[float, float]] | None = None
    scores: tuple[tuple[str, float], ...] = ()

    @property
    def worst(self) -> float:
        """Largest error of a size in stated sds, without cues."""
        return max((abs(e) / u for e, u in (self.off or {}).values()), default=0.0)

    @property
    def most(self) -> float:
        """Largest score of a cue."""
        return max((abs(z) for _, z in self.scores), default=0.0)


def observed(scene: Scene) -> Observed:
    """As `measure` does it up to the last adjustment. Raises CannotMeasure."""
    request = scene.request(0, OPTIONS[0])
    cards = parse_cards(request.cards, request.card_offset_mm, HELD.cards)
    demands = whole._demands(request, read_tape(request.tape, HELD), cards, HELD)
    sight = whole._look_at(request, cards, HELD)
    if sight.problem is not None:
        raise sight.problem
    photos, _ = see_photos(sight.looks, demands, HELD)
    photos, refused, _ = choose_cards(photos)
    assembly = assemble(photos, demands, HELD)
    solution, priors = solve(assembly, ROUGHLY), assembly.camera_priors
    for _ in range(3):
        widened = widened_lens(solution, priors, HELD.camera)
        photos = observed_again(photos, solution, assembly, HELD)
        assembly = assemble(photos, demands, HELD, priors=widened, before=(solution.state, assembly))
        solution = solve(assembly)
        if widened == priors:
            break
        priors = widened
    return Observed(scene, photos, demands, assembly, solution, refused)


def true_camera(scene: Scene) -> Camera:
    """The camera that the photo was rendered with."""
    c = scene.truth["camera"]
    R = np.array(c["rotation"])
    return Camera(R, -R @ np.array(c["position_mm"]), c["f_px"], c["cx"], c["cy"], c["k1"], c["k2"])


def lied(of: Observed, move: Callable[[Array], Array]) -> list[SeenPhoto]:
    """The photos with the first used card seen where it would be if `move` (n, 3) mm had been done to it."""
    camera, done, out = true_camera(of.scene), False, []
    for photo in of.photos:
        cards = []
        for card in photo.cards:
            if card.used and not done:
                cards.append(_moved(card, camera, move))
                done = True
            else:
                cards.append(card)
        out.append(replace(photo, cards=tuple(cards)))
    return out


def _moved(card: SeenCard, camera: Camera, move: Callable[[Array], Array]) -> SeenCard:
    parts = [card.corners_px, *(s.points_px for s in card.sides if s is not None)]
    flat = on_face(camera, np.concatenate(parts))
    X = np.column_stack([flat, np.zeros(len(flat))])
    shift = np.split(camera.project(move(X)) - camera.project(X), np.cumsum([len(p) for p in parts])[:-1])
    sides, k = [], 0
    for side in card.sides:
        k += side is not None
        sides.append(None if side is None else replace(side, points_px=side.points_px + shift[k]))
    return replace(card, corners_px=card.corners_px + shift[0], sides=tuple(sides))  # type: ignore[arg-type]  # four of them


def concluded(of: Observed, lie: str, settings: Settings) -> Measured:
    """From observed edges to the opening. Raises CannotMeasure."""
    if lie == "nothing":
        return conclude(of.photos, of.assembly, of.solution, of.demands, settings, scale_refused=of.refused)
    photos, refused, _ = choose_cards(lied(of, LIES[lie]))
    assembly = assemble(photos, of.demands, settings)
    return conclude(photos, assembly, solve(assembly), of.demands, settings, scale_refused=refused)


def row(of: Observed, lie: str) -> Row:
    """One scene under one lie."""
    layout, name = of.scene.layout, of.scene.name
    try:
        off, on = concluded(of, lie, OFF), concluded(of, lie, ON)
    except CannotMeasure as problem:
        return Row(layout, name, lie, problem.code)
    true = of.scene.true()
    cues, covariance = cues_of(of.photos, off.solution, HELD.joints), off.solution.inverse()
    return Row(
        layout,
        name,
        lie,
        None,
        tuple(f.code for f in off.opening.findings if f.holds),
        *({n: (m.opening.quantities.value(n) - true[n], m.opening.quantities.u(n)) for n in _named(m, true)} for m in (off, on)),
        tuple((c.name, c.score(off.solution, covariance)) for c in cues),
    )


def _named(of: Measured, true: dict[str, float]) -> list[str]:
    return [n for n in SIZES if n in of.opening.quantities.names and n in true]


@cache
def made_by() -> str:
    """sha256 over the geometry, its settings and this file."""
    digest = hashlib.sha256()
    parts = [*sorted((ROOT / "vision").glob("settings*.py")), *sorted((ROOT / "vision" / "geometry").glob("*.py"))]
    for path in [*parts, Path(__file__)]:
        digest.update(path.relative_to(ROOT).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()


def rows(found: Sequence[Scene], lies: Sequence[str], cache: Path | None) -> Iterator[Row]:
    """All rows, kept one file a scene under the hash of what made them."""
    cv2.setNumThreads(1)
    for number, scene in enumerate(found, 1):
        print(f"\r{number} of {len(found)}: {scene.name:24s}", end="", file=sys.stderr, flush=True)
        kept = None if cache is None else cache / f"{scene.name}.{len(lies)}.{made_by()[:16]}.pickle"
        if kept is not None and kept.exists():
            yield from pickle.loads(kept.read_bytes())
            continue
        made = _of_scene(scene, lies)
        if kept is not None:
            kept.parent.mkdir(parents=True, exist_ok=True)
            kept.write_bytes(pickle.dumps(made))
        yield from made
    print(file=sys.stderr)


def _of_scene(scene: Scene, lies: Sequence[str]) -> list[Row]:
    try:
        of = observed(scene)
    except CannotMeasure as problem:
        return [Row(scene.layout, scene.name, "nothing", problem.code)]
    first = row(of, "nothing")
    return [first, *(row(of, lie) for lie in lies if lie != "nothing" and first.scores)]


def helping(made: Sequence[Row]) -> Iterator[str]:
    """Widths without and with cues, by layout and over all."""
    good = [r for r in made if r.lie == "nothing" and r.off and r.on and r.scores]
    yield f"{'layout':12} {'photos':>6} {'cues':>5} {'rms':>7} {'mean':>7} {'u':>7} {'u/rms':>6}"
    for layout in (*sorted({r.layout for r in good}), "all"):
        for kinds, only in (("any", good), ("face", [r for r in good if _of_face(r)])):
            some = [r for r in only if layout in ("all", r.layout)]
            for word in ("off", "on") if some else ():
                pairs = [getattr(r, word)[n] for r in some for n in WIDTHS if n in getattr(r, word)]
                e, u = np.array(pairs).T
                rms = float(np.sqrt(np.mean(e**2)))
                yield (
                    f"{layout:12} {len(some):6d} {word:>5} {rms:7.2f} {e.mean():7.2f} {u.mean():7.2f} {u.mean() / rms:6.2f}"
                    f"  cues of {'the face among them' if kinds == 'face' else 'any kind'}"
                )


def _of_face(r: Row) -> bool:
    return any(not name.startswith("back") for name, _ in r.scores)


def contradicting(made: Sequence[Row]) -> Iterator[str]:
    """How often cues contradict where nobody lies, and how far the sizes are off there."""
    all_ = [r for r in made if r.lie == "nothing"]
    good = [r for r in all_ if r.scores]
    refused, face = sum(r.refused is not None for r in all_), sum(map(_of_face, good))
    yield f"{len(all_)} photos, {refused} refused, {len(good)} with cues, {face} with cues of the face"
    for limit in LIMITS:
        odd = [r for r in good if r.most > limit]
        names = ", ".join(f"{r.name} ({r.most:.1f}; sizes off by {r.worst:.1f})" for r in odd)
        yield f"beyond {limit:g} sd: {len(odd)} ({100 * len(odd) / max(len(good), 1):.1f} %) {names}"
    for kind in sorted({n for r in good for n, _ in r.scores}):
        z = np.array([s for r in good for n, s in r.scores if n == kind])
        rms = float(np.sqrt(np.mean(z**2)))
        yield f"{kind:16} {len(z):3d} photos, rms {rms:.2f} sd, mean {z.mean():.2f}, largest {np.abs(z).max():.2f}"


def lying(made: Sequence[Row]) -> Iterator[str]:
    """What the cues say of lies of which the cards say nothing."""
    head = f"{'lie':20} {'photos':>6} {'cards say':>9} {'silent':>6} {'off > 3u':>8}"
    yield head + "".join(f"  cues > {limit:g}" for limit in LIMITS) + "  (of the silent that are off / of the other silent)"
    for lie in LIES:
        some = [r for r in made if r.lie == lie and (r.scores or r.refused) and (lie != "nothing" or r.scores)]
        silent = [r for r in some if not r.refused and not any(c.startswith("card") for c in r.said)]
        harmful = [r for r in silent if r.worst > REACH]
        counts = "".join(
            f"  {sum(r.most > limit for r in harmful):3d} / {sum(r.most > limit for r in silent if r.worst <= REACH):2d}"
            for limit in LIMITS
        )
        yield f"{lie:20} {len(some):6d} {len(some) - len(silent):9d} {len(silent):6d} {len(harmful):8d}{counts}"


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("scenes", nargs="*", metavar="SCENE", help="only these")
    parser.add_argument("--folder", action="append", type=Path, default=[], help="more scenes; repeatable")
    parser.add_argument("--lies", action="store_true", help="with cards that are moved")
    parser.add_argument("--cache", type=Path, metavar="DIR", help="keeps the answers")
    parser.add_argument("--write", action="store_true", help="write the tables into tables/")
    arguments = parser.parse_args()
    made = list(rows(scenes(arguments.scenes, arguments.folder), list(LIES) if arguments.lies else [], arguments.cache))
    text = [f"Made by sources with sha256 {made_by()}", "(tests/benchmarks/cues.py says what the columns are)"]
    text += ["", *helping(made), "", *contradicting(made)]
    text += ["", *lying(made)] if arguments.lies else []
    print("\n".join(text))
    if arguments.write:
        TABLE.write_text("\n".join(text) + "\n")


if __name__ == "__main__":
    main()
