"""Sizes for a kind of door in the JSON of format 1."""

from __future__ import annotations

import io
import json
from dataclasses import replace

import jsonschema
import pytest

from api.schemas import report_schema
from api.terminal import show
from tests import made
from tests.judge.openings import INCH, ordered, photo, suiting, tape, walls
from tests.tolerances import EXACT
from vision.judge.doors import kinds
from vision.judge.verdicts import Order
from vision.report.record import to_json

PLUMB = {"Wb": "48", "Wm": "48", "Wt": "48", "Hl": "76", "Hr": "76", "D1": "89 7/8", "D2": "89 7/8"}
HARDWARE = {
    "name": "sheet A", "panel_width": {"value": "24 in", "source": "page 2"}, "panel_height": "58 in", "kit_min": "44 in",
    "kit_max": "49 in",
}  # fmt: skip


def order(kind: str, *, well: bool = True) -> Order:
    taped = tape(PLUMB)
    return ordered(
        kind, taped, photo(taped) if well else None, walls(0.0, 0.0) if well else None, hardware=suiting(kind, HARDWARE)
    )


@pytest.mark.parametrize("kind", kinds())
@pytest.mark.parametrize("well", [True, False])
def test_every_kind_of_door_fits_the_schema(kind: str, well: bool) -> None:
    """Given or withheld, each kind's order is what the published schema says."""
    data = json.loads(json.dumps(to_json(replace(made.ready(), order=order(kind, well=well)))))

    jsonschema.Draft202012Validator(report_schema()).validate(data)
    for size in data["order"]["door"]["sizes"]:
        assert (size["status"] == "given") == ("value_mm" in size) == (size["because"] == [])


def test_without_a_kind_of_door_nothing_is_added() -> None:
    """The order keeps the four keys that it had."""
    assert set(to_json(made.ready())["order"]) == {"status", "governing_width_mm", "reasons", "next"}


def test_each_number_says_whose_it_is() -> None:
    """Value, unit, trust, source and owner, the hardware sheet's under its name."""
    numbers = {n["key"]: n for n in to_json(replace(made.ready(), order=order("fixed-screen")))["order"]["door"]["numbers"]}

    assert numbers["panel_width"] == {
        "key": "panel_width", "text": "24 in", "value": pytest.approx(24 * INCH, rel=EXACT), "unit": "mm",
        "trust": "hardware sheet", "source": "page 2", "owner": "sheet A",
    }  # fmt: skip
    assert numbers["clear_way"]["source"] == "IRC P2708.1.1"
    assert numbers["gap_panel"]["owner"] == "built in"


def test_a_ready_order_s_sizes_stand_under_no_condition() -> None:
    """'Once every hold is cleared' is said only while one is left."""
    for well, said in ((True, False), (False, True)):
        out = io.StringIO()
        made_order = order("hinged-kit", well=well)
        assert made_order.status == ("ready" if well else "hold")
        show(to_json(replace(made.ready(), order=made_order)), out, width=200)
        assert ("once every hold is cleared" in out.getvalue()) == said


@pytest.mark.parametrize("free", [True, False])
def test_a_hinge_wall_that_is_a_choice_is_called_one(free: bool) -> None:
    """Where neither wall is shown to be better, JSON and table say so beside the wall that was worked out."""
    taped = tape(PLUMB)
    sheet = {"name": "sheet A"} | ({} if free else {"hinge_wall": "left"})
    one = ordered("panel-and-door", taped, photo(taped), walls(0.0, 0.0), hardware=sheet)
    data = to_json(replace(made.ready(), order=one))
    assert data["order"]["door"]["either_wall"] == free
    out = io.StringIO()
    show(data, out, width=200)
    assert ("(a choice;" in out.getvalue()) == free


def test_the_table_tells_sizes_weight_and_what_to_ask() -> None:
    """On the terminal: sizes in inches and mm, withheld ones with their reason, and no line wider than 80."""
    shown = []
    for well in (True, False):
        stream = io.StringIO()
        show(to_json(replace(made.ready(), order=order("panel-and-door", well=well))), stream)
        shown.append(stream.getvalue())

    assert "panel width: 19-1/2 in (495.3 mm)" in shown[0]
    assert "carried by 2 people" in " ".join(shown[0].split())
    assert "panel width: withheld (no-second-witness" in shown[1]
    assert max(len(line.rstrip()) for text in shown for line in text.splitlines()) <= 80
