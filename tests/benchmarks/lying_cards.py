"""Cards that lie: what becomes of a check when a reference is not what it is taken for, at the level of edge observations.

Run by hand:  python -m tests.benchmarks.lying_cards [--scenes 20] [--layout NAME ...] [--lie NAME ...] [--write]

Scenes are those of edge_draws.py; then the first card (or all of them) is given a lie that nobody states, in steps of severity,
and the photo goes through everything from the choice of cards on. Each scene ends in one column (percent):

    named      a finding or refusal with a code that says what is wrong (CODES of the lie), the card's number in its text
    other      another finding or refusal that holds the order
    set aside  the lying card carries nothing, and the report says that it is not used, and why
    left out   the lying card carries nothing, and nobody says so
    harmless   nothing is said, and no width, height or diagonal is off by more than 3 stated sd
    unseen     nothing is said of the lie and one is, but the report says that one photo cannot show a lie of this amount
    SILENT     nothing is said, and one is, and 19 photos in 20 should have shown it
and `worst` is the largest error in stated sd of those of which nothing is said (their median).
"""

from __future__ import annotations

import argparse
import math
import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from tests.benchmarks.edge_draws import draw, observe
from tests.benchmarks.edge_truth import LAYOUTS, SETTINGS, Scene, TrueCard
from tests.benchmarks.sources import sources_digest
from vision.errors import CannotMeasure
from vision.geometry.assemble import assemble
from vision.geometry.card_seen import REFINED_PX
from vision.geometry.consistency import choose_cards
from vision.geometry.measure import Measured, conclude, solve
from vision.geometry.not_used import Patch, not_used, require_a_card, speaks_of_a_patch
from vision.geometry.opening import SIZES
from vision.geometry.seen import SeenPhoto
from vision.geometry.shapes import match_kind
from vision.geometry.unseen import edge_reach_mm, reaches
from vision.settings import CARD_KINDS

REACH = 3.0
"""stated standard deviations up to which an error is what the report says it may be"""
COLUMNS = ("named", "other", "set aside", "left out", "harmless", "unseen", "SILENT")
TABLE = Path(__file__).resolve().parent / "tables" / "lying_cards.txt"
OWN = ("edge_truth.py", "edge_draws.py", "lying_cards.py")


@dataclass(frozen=True)
class Lie:
    """One way in which cards are not what they are taken for: its steps, what a step does to a card, and codes that fit."""

    steps: tuple[float, ...]
    unit: str
    change: Callable[[TrueCard, float], TrueCard]
    codes: frozenset[str]
    everybody: bool = False
    amount: Callable[[TrueCard, float], Mapping[str, float]] | None = None
    """what of card_doubts.WHATS the lying card is by a step, and how much of each ("edge": mm that one is off the wall)"""


def _scaled(card: TrueCard, percent: float) -> TrueCard:
    return replace(card, sides_mm=(card.sides_mm[0] * (1 + percent / 100), card.sides_mm[1] * (1 + percent / 100)))


def _longer(card: TrueCard, mm: float) -> TrueCard:
    return replace(card, sides_mm=(card.sides_mm[0], card.sides_mm[1] + mm))


def _proud(card: TrueCard, mm: float) -> TrueCard:
    return replace(card, depth_mm=card.depth_mm - mm)


def _top_off(card: TrueCard, degrees: float) -> TrueCard:
    return replace(card, top_off=float(np.radians(degrees)))


def _right_off(card: TrueCard, degrees: float) -> TrueCard:
    return replace(card, right_off=float(np.radians(degrees)))


def _other_kind(card: TrueCard, _step: float) -> TrueCard:
    other = {"id-1": (85.0, 55.0), "letter": (210.0, 297.0)}.get(card.kind.name, (card.sides_mm[1], card.sides_mm[0]))
    return replace(card, sides_mm=other)


def _sides(card: TrueCard, _step: float) -> Mapping[str, float]:
    """Sides other than what is stated of them, as a size and a ratio that are off."""
    stated = card.spec.size_mm or (card.kind.width_mm, card.kind.height_mm)
    a, b = (math.log(side / said) for side, said in zip(card.sides_mm, stated, strict=True))
    return {"size": abs(a + b) / 2, "ratio": abs(a - b) / 2}


def _off(_card: TrueCard, mm: float) -> Mapping[str, float]:
    return {"off": mm}


def _end(what: str) -> Callable[[TrueCard, float], Mapping[str, float]]:
    return lambda card, degrees: {"edge": float(np.radians(degrees)) * card.sides_mm[what == "top"]}


DISAGREE = frozenset({"cards-disagree"})
TILTED = DISAGREE | {"card-plane", "card-bent"}
LIES: dict[str, Lie] = {
    "nothing": Lie((0.0,), "", lambda card, _step: card, frozenset()),
    "other kind": Lie((1.0,), "", _other_kind, DISAGREE | {"card-kind", "card-missing"}, amount=_sides),
    "scale": Lie((1.0, 2.0, 3.0, 6.0, -6.0), "%", _scaled, DISAGREE | {"card-kind", "card-plane"}, amount=_sides),
    "scale of all": Lie((2.0, 6.0), "%", _scaled, DISAGREE | {"card-kind"}, everybody=True),
    "folded": Lie((-1.0, -3.0, -6.0, -12.0), "mm", _longer, DISAGREE | {"card-kind", "card-bent", "card-missing"}, amount=_sides),
    "proud": Lie((10.0, 20.0, 40.0, 60.0, 100.0), "mm", _proud, DISAGREE | {"card-plane", "card-kind"}, amount=_off),
    "all proud": Lie((10.0, 30.0, 60.0), "mm", _proud, DISAGREE | {"card-plane"}, everybody=True),
    "top off": Lie((2.0, 5.0, 10.0, 20.0), "deg", _top_off, TILTED, amount=_end("top")),
    "right off": Lie((2.0, 5.0, 10.0, 20.0), "deg", _right_off, TILTED, amount=_end("right")),
    "bulge": Lie((2.0, 5.0, 10.0), "mm", lambda c, mm: replace(c, bulge_mm=mm), DISAGREE | {"card-bent", "card-plane"}),
}  # fmt: skip


def lied(made: Scene, lie: Lie, step: float, rng: np.random.Generator) -> Scene:
    """The same scene with the first card, or all, not what they are taken for."""
    cards = tuple(lie.change(c, step) if k == 0 or lie.everybody else c for k, c in enumerate(made.cards))
    return replace(made, cards=cards, photo=observe(made.opening, made.camera, cards, rng))


def found_by_shape(made: Scene) -> SeenPhoto:
    """The photo without cards whose shape in the first view is none of the kinds asked for (what seeing would not find)."""
    return _by_shape(made)[0]


def _by_shape(made: Scene) -> tuple[SeenPhoto, list[Patch]]:
    """That photo, and what it lacks."""
    photo, kept, gone = made.photo, [], []
    named = [k for k in CARD_KINDS.values() if k in {c.kind for c in made.cards}]
    for card in photo.cards:
        side = float(np.linalg.norm(np.roll(card.corners_px, -1, axis=0) - card.corners_px, axis=1).min())
        plane = photo.view.on_plane(card.corners_px)
        fits = match_kind(plane, named, SETTINGS.cards.aspect_tolerance, REFINED_PX / side)
        if card.spec.kind.target is not None or fits is not None:
            kept.append(card)
        else:
            gone.append(Patch(photo.look.number, card.corners_px))
    return replace(photo, cards=tuple(kept)), gone


def concluded(made: Scene) -> Measured:
    """All stages from the choice of cards on. Raises CannotMeasure."""
    photo, gone = _by_shape(made)
    require_a_card(gone, [photo], made.demands.cards.kinds, SETTINGS)
    photos, refused, _ = choose_cards([photo])
    said = not_used(gone, photos, made.demands.cards.kinds, SETTINGS)
    assembly = assemble(photos, made.demands, SETTINGS)
    return conclude(photos, assembly, solve(assembly), made.demands, SETTINGS, findings=said, scale_refused=refused)


def said_to_be_unseen(measured: Measured, made: Scene, lie: Lie, step: float) -> bool:
    """Whether the report says of the first card that a lie of this kind and amount would not show."""
    if lie.everybody:
        return any("wrong alike" in line for line in measured.opening.unseen) or len(measured.assembly.models) == 1
    found = reaches(measured.solution, measured.assembly, SETTINGS.doubts).get(measured.assembly.models.get(1, -1))
    if found is None or lie.amount is None:
        return False
    of = found | {"edge": edge_reach_mm(found, made.cards[0].sides_mm)}
    nothing_shows = of["size"] > SETTINGS.doubts.wholly  # said of its plane too; the ratio of its sides has a limit
    amounts = {w: a for w, a in lie.amount(made.cards[0], step).items() if w == "ratio" or not nothing_shows}
    return math.hypot(*(a / of[w] for w, a in amounts.items())) < 1


def outcome(made: Scene, lie: Lie, step: float) -> tuple[str, str, float]:
    """Column, codes said, and the largest error of a size in stated sd (0 where something is said)."""
    try:
        measured = concluded(made)
    except CannotMeasure as problem:
        return ("named" if problem.code in lie.codes else "other"), problem.code, 0.0
    opening = measured.opening
    said = [f for f in opening.findings if f.code.startswith(("card", "tilt", "scale")) and not speaks_of_a_patch(f)]
    codes = " ".join(sorted({f.code for f in said}))
    if any(f.code in lie.codes for f in said):
        return "named", codes, 0.0
    if any(f.holds for f in said):
        return "other", codes, 0.0
    if not any(c.number == 1 and c.used for c in opening.cards) and not lie.everybody:
        spoken = any(c.number == 1 and c.why for c in opening.cards) or any(speaks_of_a_patch(f) for f in opening.findings)
        return ("set aside" if spoken else "left out"), codes, 0.0
    true = made.opening.quantities(made.at_mm)
    q = opening.quantities
    worst = max(abs(q.value(n) - true[n]) / q.u(n) for n in SIZES if n in q.names and n in true)
    if worst <= REACH:
        return "harmless", codes, worst
    return ("unseen" if said_to_be_unseen(measured, made, lie, step) else "SILENT"), codes, worst


def cell(layout: str, name: str, step: float, scenes: int, *, seed: int = 3) -> tuple[Counter[str], Counter[str], float]:
    """Counts by column and by codes said, and the median of the worst errors where nothing is said."""
    columns: Counter[str] = Counter()
    codes: Counter[str] = Counter()
    worst = []
    for k in range(scenes):
        rng = np.random.default_rng([seed, list(LAYOUTS).index(layout), k])
        column, said, error = outcome(lied(draw(layout, rng), LIES[name], step, rng), LIES[name], step)
        columns[column] += 1
        codes[said] += bool(said)
        worst += [error] if error else []
    return columns, codes, float(np.median(worst)) if worst else 0.0


def lines(layouts: Sequence[str], lies: Sequence[str], scenes: int) -> list[str]:
    """The table, printed as it grows."""
    out = [f"{'layout':28} {'lie':13} {'step':>8} " + " ".join(f"{c:>9}" for c in COLUMNS) + f" {'worst':>6}  codes"]
    print(out[0], flush=True)
    for layout in layouts:
        for name in lies:
            if LIES[name].everybody and len(LAYOUTS[layout]) == 1:
                continue
            for step in LIES[name].steps:
                columns, codes, worst = cell(layout, name, step, scenes)
                shares = " ".join(f"{100 * columns[c] / scenes:9.0f}" for c in COLUMNS)
                said = ", ".join(f"{c} {100 * n / scenes:.0f}" for c, n in codes.most_common() if c)
                out.append(f"{layout:28} {name:13} {step:5g} {LIES[name].unit:>2} {shares} {worst:6.1f}  {said}")
                print(out[-1], flush=True)
    return out


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--scenes", type=int, default=20, help="scenes of each cell")
    parser.add_argument("--layout", action="append", choices=list(LAYOUTS), help="only this one; repeatable")
    parser.add_argument("--lie", action="append", choices=list(LIES), help="only this one; repeatable")
    parser.add_argument("--write", action="store_true", help="write the table into tables/")
    arguments = parser.parse_args()
    started, made = time.monotonic(), sources_digest(OWN)
    table = lines(arguments.layout or list(LAYOUTS), arguments.lie or list(LIES), arguments.scenes)
    print(f"{arguments.scenes} scenes a cell, {time.monotonic() - started:.0f} s")
    if arguments.write:
        head = [f"Made by sources with sha256 {made}", "(tests/benchmarks/lying_cards.py says what the columns are)"]
        TABLE.write_text("\n".join([*head, f"{arguments.scenes} scenes a cell, percent", "", *table]) + "\n")


if __name__ == "__main__":
    main()
