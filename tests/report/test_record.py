"""The JSON of format 1."""

from __future__ import annotations

import json
from dataclasses import replace

import jsonschema
import numpy as np
import pytest

from api.schemas import report_schema
from tests import made
from vision.gaussian import Gaussian
from vision.geometry.opening import QUANTITIES, SIZES
from vision.judge.verdicts import Slip
from vision.report.record import Report, to_json

REPORTS = {"ready": made.ready, "hold": made.hold, "scale refused": made.scale_refused, "failed": made.failed}
BUDGET_MM2 = 1e-9
"""the contract's own bound"""
TOP_KEYS = [
    "format", "outline", "cards", "sizes", "proportions", "walls", "curb", "door_line", "not_measured", "readings", "recorded",
    "closure", "slips", "questions", "findings", "notes", "unseen", "order",
]  # fmt: skip


@pytest.fixture(params=REPORTS.values(), ids=REPORTS.keys())
def report(request: pytest.FixtureRequest) -> Report:
    made_report: Report = request.param()
    return made_report


def test_every_kind_of_report_fits_the_schema(report: Report) -> None:
    """A ready, a held, a shape-only and a failed report all are what the published schema says."""
    jsonschema.Draft202012Validator(report_schema()).validate(json.loads(json.dumps(to_json(report))))


def test_top_level_keys_are_always_there(report: Report) -> None:
    """Every top-level key is present in every report; `cannot_measure` only where nothing was measured."""
    expected = TOP_KEYS + (["cannot_measure"] if report.cannot_measure else [])

    assert expected == list(to_json(report))


def test_budget_adds_up_to_the_stated_uncertainty() -> None:
    """The squares of a size's budget add up to the square of its standard deviation."""
    for size in to_json(made.ready())["sizes"].values():
        assert abs(sum(sd**2 for sd in size["budget_mm"].values()) - size["u_mm"] ** 2) < BUDGET_MM2


def test_a_quantity_is_either_given_or_listed_with_its_reason(report: Report) -> None:
    """No quantity is missing without a word: it is measured, or it is in `not_measured`."""
    data = to_json(report)
    walls, curb = data["walls"], data["curb"]
    given = {*data["sizes"], *data["proportions"]}
    given |= {f"{what}_{side}" for side in ("left", "right") for what in ("lean", "bow") if f"{what}_mm" in str(walls.get(side))}
    given |= {name for name, key in (("taper", "taper_mm_per_m"), ("rack", "rack_mm_per_m")) if key in walls}
    given |= {"plumb_rectangle"} & {key.removesuffix("_mm") for key in walls}
    given |= {"curb_level"} if "level_mm_per_m" in curb else set()
    given |= {"curb_against_head"} if "against_head_mm_per_m" in curb else set()

    assert set(QUANTITIES) == given | set(data["not_measured"])
    assert not given & set(data["not_measured"])


def test_only_widths_say_at_what_height_they_are() -> None:
    """`at_mm` belongs to widths and to nothing else."""
    sizes = to_json(made.ready())["sizes"]

    assert set(SIZES) == set(sizes)
    assert {name for name in SIZES if name.startswith("width")} == {name for name, size in sizes.items() if "at_mm" in size}


def test_refused_scale_leaves_proportions_and_no_millimetres() -> None:
    """Where the scale is refused there are no sizes, no bow and no plumb rectangle, whatever the record still holds."""
    full = made.opening(scale_refused=True)
    data = to_json(replace(made.scale_refused(), opening=full))

    assert data["sizes"] == {}
    assert len(data["proportions"]) == 3
    assert "plumb_rectangle_mm" not in data["walls"]
    assert "bow_mm" not in data["walls"]["left"]


def test_a_wall_without_a_vertical_has_no_lean_key() -> None:
    """Absent values have no key: a wall of which nothing is known is not in `walls` at all."""
    walls = to_json(made.scale_refused())["walls"]

    assert {"taper_mm_per_m", "u_taper_mm_per_m", "rack_mm_per_m", "u_rack_mm_per_m"} == set(walls)


def test_governing_width_is_absent_rather_than_null() -> None:
    """While a width is suspect the order carries no governing width."""
    assert "governing_width_mm" not in to_json(made.hold())["order"]
    assert to_json(made.ready())["order"]["governing_width_mm"] == 1428.0


def test_null_stands_only_in_a_reading_without_counterpart(report: Report) -> None:
    """null is allowed for the photo's side of a reading and nowhere else."""
    data = to_json(report)
    readings = data.pop("readings")
    allowed = {"photo_mm", "u_photo_mm", "difference_mm", "smallest_visible_slip_mm", "smallest_visible_common_slip_mm"}

    assert "null" not in json.dumps(data)
    for reading in readings.values():
        assert {key for key, value in reading.items() if value is None} <= allowed


def test_a_slip_that_none_fits_has_no_amount_rather_than_null() -> None:
    """A known slip carries the amount that it makes, the word that none fits carries none."""
    fits = Slip("inch-kept", ("width_top",), True, 25.4, "An inch kept.", "Where did you start?")
    none = Slip("none", ("width_top",), False, None, "No known slip fits.", "Please measure again.", named=False)
    data = to_json(replace(made.hold(), slips=(fits, none)))

    assert [slip.get("amount_mm", "left out") for slip in data["slips"]] == [25.4, "left out"]
    jsonschema.Draft202012Validator(report_schema()).validate(data)


def test_numbers_are_not_rounded() -> None:
    """A value comes out with every bit that it had."""
    value = 1428.0 + 1.0 / 3.0
    opening = made.opening()
    quantities = opening.quantities
    mean = np.array([value if name == "width_top" else m for name, m in zip(quantities.names, quantities.mean, strict=True)])
    report = replace(made.ready(), opening=replace(opening, quantities=Gaussian(quantities.names, mean, quantities.sources)))

    assert value == json.loads(json.dumps(to_json(report)))["sizes"]["width_top"]["value_mm"]


def test_a_number_that_is_not_finite_is_refused_by_its_place() -> None:
    """NaN never reaches the outside; the error names where it stood."""
    report = replace(made.ready(), order=replace(made.ready().order, governing_width_mm=float("nan")))

    with pytest.raises(ValueError, match=r"report\.order\.governing_width_mm is nan"):
        to_json(report)


def test_a_failed_check_lists_every_quantity_with_the_reason_of_the_whole() -> None:
    """Where nothing was measured each name carries the reason why."""
    data = to_json(made.failed())

    assert list(QUANTITIES) == list(data["not_measured"])
    assert all(data["cannot_measure"] == one for one in data["not_measured"].values())


def test_the_shape_of_a_wall_is_given_point_by_point() -> None:
    """Height, distance into the opening and its uncertainty; never where the scale is refused."""
    walls = to_json(made.ready())["walls"]
    shape = made.opening().wall_shapes["left"]

    assert [p["at_mm"] for p in walls["left"]["shape"]] == list(shape.at_mm)
    assert [p["value_mm"] for p in walls["left"]["shape"]] == list(shape.value_mm)
    assert [p["u_mm"] for p in walls["left"]["shape"]] == list(shape.u_mm)
    assert walls["left"]["shape_against"] == "plumb"
    assert "left" not in to_json(made.scale_refused())["walls"]
