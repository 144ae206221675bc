"""The screening's rows on a terminal of 80 columns, grouped by job folder."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from rich.console import RenderableType
from rich.table import Table

from api.console import plain
from vision.check import inches_text

MARKS = {"good to measure": "o", "good for a rough quote only": "~", "ask again": "x"}
"""a shape for each verdict beside its words"""
BETTER = "standard deviation planned for a photo straight on with a measured sheet on either side"


def lines(rows: Sequence[dict[str, Any]], passed_over: str = "") -> Iterator[RenderableType]:
    """A table for each job, then how many there are of each verdict, and what was `passed_over` in the folders."""
    numbered = list(enumerate(rows, 1))
    for job, of in groupby(numbered, key=lambda pair: pair[1]["job"]):
        yield plain(job)
        table = Table(box=None, padding=(0, 2, 0, 1), pad_edge=False)
        for title, width in (("", 3), ("photo", 22), ("verdict", 17), ("why, and the size so far", None)):
            table.add_column(title, max_width=width, overflow="fold")
        for number, row in of:
            table.add_row(str(number), plain(row["file"]), f"{MARKS[row['verdict']]} {row['verdict']}", plain(_why(row)))
        yield table
        yield ""
    count = Counter(row["verdict"] for row in rows)
    counts = ", ".join(f"{count[verdict]} {verdict}" for verdict in MARKS)
    if passed_over:
        yield f"Passed over: {passed_over}."
    yield f"{len(rows)} photo{'s' if len(rows) != 1 else ''}: {counts}"


def _why(row: dict[str, Any]) -> str:
    said = ["same file as " + row["same_as"]] if "same_as" in row else []
    said += [_short(reason) for reason in row["reasons"]]
    band = row.get("band")
    if band is not None:
        width, u = band["width_mm"], band["u_width_mm"]
        taken = f", if what was taken for {band['assumes']} is one" if "assumes" in band else ""
        what = "at its narrowest " if band["how"] == "measured" else ""
        spread = f"standard deviation of that, in this photo: {u:.1f} mm ({band['how']}{taken})"
        said.append(f"{what}about {width:.0f} mm ({inches_text(width)}) wide, {spread}")
    if "better_u_width_mm" in row:
        said.append(f"{BETTER}: {row['better_u_width_mm']:.1f} mm for its least certain width")
    return "; ".join(said) or "-"


def _short(reason: dict[str, Any]) -> str:
    """What was found and needed; the limits' sources are in the JSON."""
    source = f" ({reason['source']})"
    return f"{reason['code']}: {str(reason['text']).removesuffix(source)}"
