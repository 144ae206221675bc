"""What a row of `tapewitness screen` says of a photo's numbers, in the table, the CSV and the schema."""

from __future__ import annotations

import csv
import io
from typing import Any

from pydantic import TypeAdapter
from rich.console import Console

from api.screen_schemas import ScreeningOut
from api.screening import csv_text
from api.terminal_screening import lines

ROW: dict[str, Any] = {
    "job": "inbox", "file": "a.jpg", "verdict": "good for a rough quote only", "reasons": [], "references": ["a4"],
    "outline": "proposed", "sha256": "0", "better_u_width_mm": 1.25,
    "band": {"how": "measured", "width_mm": 1402.0, "u_width_mm": 5.5, "height_mm": 2001.0, "u_height_mm": 6.0},
}  # fmt: skip


def test_the_table_says_which_uncertainty_is_which() -> None:
    """That of this photo, for the width that is told, and that which is planned for a better one."""
    out = io.StringIO()
    console = Console(file=out, width=400)
    for line in lines([ROW]):
        console.print(line)
    said = " ".join(out.getvalue().split())

    assert (
        "at its narrowest about 1402 mm (55-3/16 in) wide, standard deviation of that, in this photo: 5.5 mm (measured)" in said
    )
    assert "standard deviation planned for a photo straight on with a measured sheet on either side: 1.2 mm" in said


def test_the_csv_has_both_under_their_names() -> None:
    """`u_` in this photo, `better_u_` planned for a better one."""
    (row,) = csv.DictReader(io.StringIO(csv_text([ROW])))
    assert (row["u_width_mm"], row["better_u_width_mm"]) == ("5.5", "1.25")


def test_the_schema_says_what_each_is() -> None:
    """In the API's description."""
    schema = TypeAdapter(ScreeningOut).json_schema()
    assert "this photo tells it" in schema["$defs"]["BandOut"]["properties"]["u_width_mm"]["description"]
    assert "not this photo's" in schema["properties"]["better_u_width_mm"]["description"]
