"""What was seen and holds nothing is told as a note, and a finding holds: by CONTRACT.md, to the letter."""

from __future__ import annotations

import html
import io
from dataclasses import replace

import pytest
from pydantic import TypeAdapter

from api.schemas import ReportOut
from api.terminal import show
from tests.geometry.scenery import LETTER_MM, Patch, Picture, Shot, Wall, picture
from tests.test_check import ALL_SEVEN, HEIGHT, MEASURED, SHEETS, WIDTH, plumb, readings, request
from vision.check import check, sheet_html, to_json
from vision.errors import Finding
from vision.report.record import Report

FOLDED = Patch((-330.0, 950.0), (LETTER_MM[0], LETTER_MM[1] - 45.0))
"""beside the opening, of no kind's shape"""
SHORT = replace(SHEETS.patches[0], sides_mm=(LETTER_MM[0], LETTER_MM[1] * 0.97))
"""one of four sheets, cut short by 8 mm"""


def report_of(wall: Wall) -> Report:
    of: Picture = picture(wall, Shot((2640, 3520)))
    cards = ("letter@0+-0.3=215.9x279.4mm+-0.2",)
    return check(request(of, tape=readings(), plumb_lines=(plumb(of),), cards=cards))


@pytest.fixture(scope="module")
def folded() -> Report:
    return report_of(replace(SHEETS, patches=(*SHEETS.patches, FOLDED)))


def test_a_patch_that_is_not_used_is_a_note_beside_an_order_that_is_ready(folded: Report) -> None:
    """No finding, since a finding holds; the note has its code, its fact and what to do."""
    data = to_json(folded)
    TypeAdapter(ReportOut).validate_python(data)

    assert (data["order"]["status"], data["findings"]) == ("ready", [])
    (note,) = data["notes"]
    assert note["code"] == "card-kind"
    assert "It was not used." in note["text"]
    assert note["next"]


def test_the_note_stands_in_the_text_and_on_the_order_sheet(folded: Report) -> None:
    """Under a heading that says that it holds nothing, beside 'Holds: None'."""
    text = io.StringIO()
    show(to_json(folded), text, width=200)
    page = html.unescape(sheet_html(folded))

    for words in (text.getvalue(), page):
        assert "Also seen (it holds nothing)" in words
        assert "It was not used." in words


def test_an_excluded_card_beside_others_is_a_note_and_stands_unused_in_the_list() -> None:
    """One of four sheets is cut short: three carry the plane, so nothing holds by it."""
    data = to_json(report_of(replace(SHEETS, patches=(SHORT, *SHEETS.patches[1:]))))

    assert [card["used"] for card in data["cards"]].count(False) == 1
    assert data["findings"] == []
    assert [note["code"] for note in data["notes"]] == ["card-kind"]


def test_a_difference_that_the_readings_share_is_a_note_beside_an_order_that_is_ready() -> None:
    """All readings 0.3 % long, less than would show: the diagonals exceed what would show in one of them alone."""
    of = picture(SHEETS, Shot((2640, 3520)))
    diagonal = (WIDTH**2 + HEIGHT**2) ** 0.5
    long = {name: 0.003 * (WIDTH if "width" in name else HEIGHT if "height" in name else diagonal) for name in ALL_SEVEN}
    data = to_json(check(request(of, tape=readings(long), plumb_lines=(plumb(of),), cards=MEASURED)))

    assert {one["verdict"] for one in data["readings"].values()} == {"agrees"}
    assert (data["order"]["status"], [note["code"] for note in data["notes"]]) == ("ready", ["no-second-witness"])
    assert "rising diagonal" in data["notes"][0]["text"]
    assert "top width" not in data["notes"][0]["text"]


@pytest.mark.parametrize(
    ("finding", "note"),
    [
        (Finding("card-kind", "A thing.", "Look.", holds=False), True),
        (Finding("no-metadata", "A copy.", "Send it.", holds=False), False),
        (Finding("card-kind", "A thing.", "Look."), False),
    ],
)
def test_only_the_missing_focal_length_is_a_finding_that_may_not_hold(folded: Report, finding: Finding, note: bool) -> None:
    """Whatever else does not hold is a note; what holds never is one."""
    data = to_json(replace(folded, findings=(finding, finding)))

    assert len(data["notes"]) == int(note), "each once"
    assert [one["code"] for one in data["findings"]] == ([] if note else [finding.code] * 2)
