"""Both shells without a photo, through the real door."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from fastapi.testclient import TestClient

from api import cli
from api.app import create_app
from api.schemas import report_schema
from api.settings import ApiSettings
from api.terminal import show
from tests.judge.taped import GOOD, PLUMB
from vision.check import CheckRequest, check, facts_from_mapping, to_json
from vision.geometry.opening import QUANTITIES
from vision.settings import OrderSettings, Settings


class HereAndNow:
    """Workers without processes."""

    busy = 0

    async def run(self, request: CheckRequest) -> dict[str, Any]:
        return to_json(check(request))

    def close(self) -> None: ...


def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    monkeypatch.setattr(sys, "argv", ["tapewitness", *map(str, words)])
    with pytest.raises(SystemExit) as caught:
        cli.main()
    out, err = capsys.readouterr()
    return int(str(caught.value.code or 0)), out, err


def toml(readings: dict[str, str]) -> str:
    return 'unit = "in"\n[readings]\n' + "\n".join(f'{name} = "{text}"' for name, text in readings.items())


def test_readings_alone_are_held_for_want_of_a_second_witness(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Exit 1, JSON of format 1 with its usual keys, sizes empty, and the tape against itself in `closure`."""
    (tmp_path / "r.toml").write_text(toml(GOOD | PLUMB))
    code, out, err = run(monkeypatch, capsys, "check", "--readings", tmp_path / "r.toml", "--json", "-")
    data = json.loads(out)
    assert (code, err) == (1, "")
    jsonschema.Draft202012Validator(report_schema()).validate(data)
    assert data["sizes"] == {}
    assert "cannot_measure" not in data
    assert "no-second-witness" in {reason["code"] for reason in data["order"]["reasons"]}
    assert data["closure"]["redundancy"] == 3
    assert data["closure"]["readings"]["width_top"]["smallest_slip_mm"] > 0
    assert data["closure"]["figure"]["lean_right"]["u_mm_per_m"] > 0
    assert {one["verdict"] for one in data["readings"].values()} == {"cannot tell"}


def test_a_csv_says_the_same_as_a_toml(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The ending of the file decides how it is read."""
    (tmp_path / "r.toml").write_text(toml(GOOD | PLUMB))
    (tmp_path / "r.csv").write_text("unit, in\n" + "\n".join(f"{n.replace('_', ' ')}, {t}" for n, t in (GOOD | PLUMB).items()))
    answers = [
        run(monkeypatch, capsys, "check", "--readings", tmp_path / f"r.{end}", "--json", "-")[1] for end in ("toml", "csv")
    ]
    assert answers[0] == answers[1]


def test_the_terminal_tells_closure_slips_and_questions(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """What does not close, what fits, and what to ask stand under headings of their own."""
    (tmp_path / "r.toml").write_text(toml(GOOD | PLUMB | {"width_top": "48 7/16", "curb_fall": "level"}))
    _, out, _ = run(monkeypatch, capsys, "check", "--readings", tmp_path / "r.toml")
    for words in ("they do NOT close", "one-inch mark?", "The tape against itself", "Questions (they hold nothing)"):
        assert words in out
    assert "What this photo cannot tell" not in out


@pytest.mark.parametrize(
    ("width", "title"),
    [
        ("48 7/16", "Which slip? This would bring everything into agreement"),
        ("48 5/16", "Which slip? None can be named for sure"),
        ("48", "Which slip? None can be named"),
    ],
)
def test_the_heading_of_the_slips_says_what_they_say(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path, width: str, title: str
) -> None:
    """An inch is named, an inch but for an eighth is possible, nine sixteenths are nothing; no word elsewhere says more."""
    (tmp_path / "r.toml").write_text(toml(GOOD | PLUMB | {"width_top": width}))
    _, out, _ = run(monkeypatch, capsys, "check", "--readings", tmp_path / "r.toml")
    assert title in out.splitlines()
    assert "this fits" not in out
    assert ("No known slip fits" in out) == ("None can be named" in title)


def test_neither_photo_nor_readings_is_wrong_use(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 2, one line that says what to add."""
    code, out, err = run(monkeypatch, capsys, "check", "--no-head")
    assert (code, out) == (2, "")
    assert "add a photo, readings, or both" in err


def test_http_takes_readings_without_a_photo() -> None:
    """All kinds of readings, a second set and directions of their own, answered with a report of format 1."""
    client = TestClient(create_app(ApiSettings(), workers=HereAndNow()))
    facts = {
        "unit": "in", "by": "A", "level_length": "72 in",
        "readings": GOOD | {
            "plumb_left": {"text": "1/16", "way": "into"}, "plumb_right": "7/16 into", "curb_level": "1/16 right high",
        },
        "second": [{"by": "B", "tape": "class-2", "readings": {"width_top": "47 1/2"}}],
    }  # fmt: skip
    answer = client.post("/checks", files=[("facts", (None, json.dumps(facts)))])
    assert answer.status_code == 200
    data = answer.json()
    jsonschema.Draft202012Validator(report_schema()).validate(data)
    assert data["closure"]["closes"]
    assert data["closure"]["redundancy"] == 4
    assert data["order"]["governing_width_mm"] == pytest.approx(47.4375 * 25.4)


def test_corners_without_their_photo_are_named() -> None:
    """Who forgets the photo is told so, not how many sets of corners none may have."""
    client = TestClient(create_app(ApiSettings(), workers=HereAndNow()))
    facts = {"unit": "in", "readings": GOOD, "corners": [[[0, 9], [9, 9], [9, 0], [0, 0]]]}
    answer = client.post("/checks", files=[("facts", (None, json.dumps(facts)))])
    assert answer.status_code == 422
    assert "no photo" in answer.json()["found"]


@pytest.mark.parametrize(
    ("option", "value", "named"),
    [
        ("--card", "a4", "card but no photo"),
        ("--card-offset", "5", "card offset but no photo"),
        ("--level-card", "1", "level card but no photo"),
        ("--corners", "0,9 9,9 9,0 0,0", "corners but no photo"),
        ("--corners-within", "3", "corners within but no photo"),
        ("--plumb-line", "1,1 2,9", "plumb line but no photo"),
        ("--grout", "1,1 2,9", "level or joint but no photo"),
        ("--door-line", "60", "door line but no photo"),
        ("--pictures", "out", "pictures but no photo"),
    ],
)
def test_what_is_stated_about_a_photo_needs_one(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path, option: str, value: str, named: str
) -> None:
    """Wrong use, by the option's name; nothing is accepted that could not count."""
    (tmp_path / "r.toml").write_text(toml(GOOD))
    monkeypatch.chdir(tmp_path)
    code, _, err = run(monkeypatch, capsys, "check", "--readings", tmp_path / "r.toml", option, value)
    assert (code, named in err) == (2, True)
    assert not (tmp_path / "out").exists()


def test_what_nothing_checks_has_no_residual(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A reading by itself: the keys are absent rather than null, and the terminal says that nothing checks it."""
    (tmp_path / "r.toml").write_text(toml({"width_top": "56"}))
    out = run(monkeypatch, capsys, "check", "--readings", tmp_path / "r.toml", "--json", "-")[1]
    data = json.loads(out)
    jsonschema.Draft202012Validator(report_schema()).validate(data)
    assert {"w", "smallest_slip_mm"}.isdisjoint(data["closure"]["readings"]["width_top"])
    assert "nothing checks it" in run(monkeypatch, capsys, "check", "--readings", tmp_path / "r.toml")[1]


@pytest.mark.parametrize(("width", "doubt"), [("48 7/16", True), (GOOD["width_top"], False)])
def test_a_governing_width_of_readings_that_do_not_close_is_in_doubt(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path, width: str, doubt: bool
) -> None:
    """The line that people copy says it, in the report and on the order sheet."""
    (tmp_path / "r.toml").write_text(toml(GOOD | PLUMB | {"width_top": width}))
    sheet = tmp_path / "sheet.html"
    out = run(monkeypatch, capsys, "check", "--readings", tmp_path / "r.toml", "--order-sheet", sheet)[1]
    assert ("in doubt until the readings close" in " ".join(out.split())) == doubt
    assert ("in doubt until the readings close" in sheet.read_text()) == doubt


def test_a_setting_waives_the_second_witness() -> None:
    """With it, readings that close and walls within the limits are ready; without it they are not."""
    readings = {
        "width_bottom": "47 15/16", "width_middle": "47 15/16", "width_top": "47 7/8", "height_left": "76", "height_right": "76",
        "diagonal_rising": "89 13/16", "diagonal_falling": "89 13/16", "curb_level": "level",
        "plumb_left": "plumb over 72", "plumb_right": "plumb over 72",
    }  # fmt: skip
    request = CheckRequest((), facts_from_mapping({"unit": "in", "readings": readings}))
    waived = Settings(order=OrderSettings(tape_alone_may_order=True))
    assert check(request, waived).order.status == "ready"
    assert {reason.code for reason in check(request).order.reasons} == {"no-second-witness"}


@pytest.mark.parametrize("offset", ["nan", "inf", "-inf", "1e9"])
def test_an_offset_that_no_card_has_is_wrong_use_in_both_shells(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path, offset: str
) -> None:
    """2 on the command line, with what was found, needed and is to be done; the same as problem details."""
    (tmp_path / "r.toml").write_text(toml(GOOD))
    photo = tmp_path / "a.jpg"
    photo.write_bytes(b"not a picture")
    code, out, err = run(monkeypatch, capsys, "check", photo, "--readings", tmp_path / "r.toml", "--card-offset", offset)
    assert (code, out) == (2, "")
    assert "found" in err
    assert "at most 5000 either way" in err
    client = TestClient(create_app(ApiSettings(), workers=HereAndNow()), raise_server_exceptions=False)  # type: ignore[arg-type]
    number = {"nan": "NaN", "inf": "1e999", "-inf": "-1e999"}.get(offset, offset)
    sent = f'{{"unit": "in", "readings": {{"width_top": "56"}}, "card_offset": {number}}}'
    problem = client.post("/checks", files=[("photo", ("a.jpg", b"not a picture")), ("facts", (None, sent))])
    assert problem.status_code == 422
    assert all(problem.json()[key] for key in ("found", "needed", "remedy"))


def test_what_no_photo_measures_is_listed_as_not_measured() -> None:
    """Each quantity is absent and listed with the reason that there is no photo; the text does not list them one by one."""
    data = to_json(check(CheckRequest((), facts_from_mapping({"unit": "in", "readings": GOOD}))))
    jsonschema.Draft202012Validator(report_schema()).validate(data)
    out = io.StringIO()
    show(data, out, width=200)

    assert (data["sizes"], data["proportions"]) == ({}, {})
    assert list(data["not_measured"]) == list(QUANTITIES)
    assert {(one["code"], one["found"]) for one in data["not_measured"].values()} == {("no-second-witness", "no photo")}
    assert "cannot_measure" not in data
    assert "Not measured" not in out.getvalue()
    assert "What this photo cannot tell" not in out.getvalue()
