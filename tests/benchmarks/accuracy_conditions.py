"""The single conditions of issue 3: hard photos covered by their u, good ones ready, wrong planes without a reading blamed."""

from __future__ import annotations

from collections.abc import Sequence

from scipy import stats

from tests.benchmarks.accuracy_tables import ONCE_IN, squared
from tests.benchmarks.reading_draws import Draws
from tests.benchmarks.scene_records import Record
from vision.geometry.opening import SIZES

POOR = ("messenger_copy", "dark_and_grainy")
OUT_OF_PLANE = ("room9_sheet_on_back_wall", "card_on_block_curb_slopes")
"""sheet on the back wall; card 60 mm in front of the wall"""
LEVEL_MM_PER_M = 0.3
"""true lean and curb level up to which an opening with good references and a plumb line is to be ready"""
NEAREST = 4
"""scenes shown where none is that level"""


def conditions(records: Sequence[Record], drawn: Sequence[Draws]) -> list[str]:
    """All of them, scene by scene; the records are those of the first draw, with both kinds of options where there are."""
    return [*covered(records), "", *ready(records), "", *not_blamed(records, drawn)]


def covered(records: Sequence[Record]) -> list[str]:
    """One card alone, messenger's copy, dark: the sizes' errors within the stated uncertainty."""
    lines = ["u covers the error: one card alone, messenger's copy, dark"]
    for record in records:
        scene = record.scene
        alone = len(scene.truth["cards"]) == 1 and not scene.lengths_stated
        if record.job.options != "as stated" or not (alone or scene.name in POOR) or scene.name in OUT_OF_PLANE:
            continue
        if record.refused is not None:
            lines.append(f"  {scene.name:28} refused: {record.refused}")
            continue
        total, degrees = squared(record, SIZES)
        z = {n: e / u for n, (e, u) in record.errors().items() if n in SIZES}
        worst = max(z, key=lambda n: abs(z[n]))
        holds = float(stats.chi2.sf(total, degrees)) >= ONCE_IN
        lines.append(
            f"  {scene.name:28} worst {z[worst]:+.1f} sds ({worst}), squared error {total:.1f} on {degrees}: "
            f"{'covered' if holds else 'NOT covered'}"
        )
    return lines


def unlevel(record: Record) -> float:
    """The largest of both leans and the curb's level, true, without sign, mm/m."""
    true = record.scene.true()
    return max(abs(true[n]) for n in ("lean_left", "lean_right", "curb_level"))


def ready(records: Sequence[Record]) -> list[str]:
    """Four cards, or measured sheets at opposite corners, with a plumb line and nearly plumb and level: ready."""
    able = [
        r
        for r in records
        if r.job.options == "as stated"
        and "--plumb-line" in r.scene.stated
        and (r.scene.references >= 4 or (r.scene.references == 2 and r.scene.lengths_stated))
    ]
    level = [r for r in able if unlevel(r) <= LEVEL_MM_PER_M]
    lines = [
        f"ready: four cards or two measured sheets, plumb line, leans and curb within {LEVEL_MM_PER_M} mm/m: {len(level)} scenes"
    ]
    shown = level
    if not level:
        shown = sorted(able, key=unlevel)[:NEAREST]
        lines[0] += "; NOT SHOWN by any scene here, the nearest are"
    for record in shown:
        why = "; ".join(record.data["reason_texts"])
        lines.append(f"  {record.scene.name:28} {unlevel(record):.2f} mm/m: {record.data['status']}{f' ({why})' if why else ''}")
    return lines


def not_blamed(records: Sequence[Record], drawn: Sequence[Draws]) -> list[str]:
    """Sheet on the back wall, card in front: no reading blamed, not ready; with drawn clean readings too."""
    lines = ["no reading blamed, not ready: sheet on the back wall, card 60 mm in front"]
    for record in records:
        if record.scene.name not in OUT_OF_PLANE:
            continue
        blamed, status = record.data["suspect"], record.data["status"]
        good = not blamed and status != "ready"
        often = [d for d in drawn if d.record.job == record.job]
        times = f"; of {often[0].count} clean draws {often[0].clean_suspect} blame one" if often else ""
        lines.append(
            f"  {record.scene.name:28} {record.job.options:10} {status}, blamed {', '.join(blamed) or 'none'}: "
            f"{'met' if good and not (often and often[0].clean_suspect) else 'NOT met'}{times}; "
            f"findings {', '.join(record.data['findings']) or 'none'}"
        )
    return lines
