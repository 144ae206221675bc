"""`tapewitness screen`: a row for every file, nothing looked at twice, and an exit code for whoever waits."""

from __future__ import annotations

import csv
import io
import json
import os
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

import api.screening
from api import cli
from api.photos import photos_below
from api.screening import ScreenOutputs

Run = Callable[..., tuple[int, str, str]]
PLAIN = 64, 48


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Run:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))

    def run_command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["tapewitness", "screen", *map(str, words)])
        with pytest.raises(SystemExit) as caught:
            cli.main()
        out, err = capsys.readouterr()
        return int(str(caught.value.code or 0)), out, err

    return run_command


@pytest.fixture
def inbox(tmp_path: Path) -> Path:
    """Two jobs: a small grey picture and its copy, a broken file, a text, and something that is no photo by its name."""
    folder = tmp_path / "inbox"
    (folder / "room 4" / "more").mkdir(parents=True)
    grey = io.BytesIO()
    Image.new("RGB", PLAIN, (120, 120, 120)).save(grey, "PNG")
    (folder / "room 4" / "a.png").write_bytes(grey.getvalue())
    (folder / "room 4" / "more" / "b.png").write_bytes(grey.getvalue())
    (folder / "room 4" / "cut.jpg").write_bytes(b"\xff\xd8\xff\xe0half")
    (folder / "room 4" / "notes.txt").write_text("not a photo")
    return folder


def rows(run: Run, *words: object) -> tuple[int, list[dict[str, object]]]:
    code, out, _ = run(*words, "--json", "-", "--workers", 1)
    photos: list[dict[str, object]] = json.loads(out)["photos"]
    return code, photos


def test_every_photo_below_the_folder_is_a_row_and_a_broken_one_too(run: Run, inbox: Path) -> None:
    """By job folder and name, other files passed over; exit 1 because these need a person."""
    code, photos = rows(run, inbox)
    assert code == 1
    places = [(Path(str(p["job"])).name, p["file"]) for p in photos]
    assert places == [("room 4", "a.png"), ("room 4", "cut.jpg"), ("more", "b.png")]
    assert photos[1]["verdict"] == "ask again"


def test_the_same_bytes_are_said_to_be_so(run: Run, inbox: Path) -> None:
    """The second copy has the answer of the first, and names it."""
    _, photos = rows(run, inbox)
    assert str(photos[2]["same_as"]).endswith("a.png")
    first, again = ([(r["code"], r["text"]) for r in p["reasons"]] for p in (photos[0], photos[2]))  # type: ignore[attr-defined]
    assert again == [(code, text.replace("a.png", "b.png")) for code, text in first]


def test_a_second_run_looks_at_nothing_again(run: Run, inbox: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Answers come from the state file; with `none` they do not."""
    _, first = rows(run, inbox)
    handed: list[object] = []

    def none_of_it(work: object, jobs: object, *_: object) -> list[object]:
        handed.extend(jobs)  # type: ignore[arg-type]
        return []

    monkeypatch.setattr(api.screening, "outcomes", none_of_it)
    assert rows(run, inbox)[1] == first
    assert handed == []
    with pytest.raises(KeyError):
        api.screening.run([inbox], (), ScreenOutputs(state="none"), api.screening.Engine(1))
    assert len(handed) == 2


def test_a_line_that_a_broken_run_left_half_written_is_looked_at_again(run: Run, inbox: Path, tmp_path: Path) -> None:
    """Nothing is lost and nothing breaks."""
    state = tmp_path / "state.jsonl"
    _, first = rows(run, inbox, "--state", state)
    state.write_text(state.read_text()[:-40])
    assert rows(run, inbox, "--state", state)[1] == first


def test_csv_and_messages_are_written(run: Run, inbox: Path, tmp_path: Path) -> None:
    """One line a photo, and for each a text and a drawing."""
    run(inbox, "--csv", tmp_path / "out.csv", "--messages", tmp_path / "send", "--workers", 1)
    table = list(csv.DictReader((tmp_path / "out.csv").read_text().splitlines()))
    assert [line["file"] for line in table] == ["a.png", "cut.jpg", "b.png"]
    assert {p.suffix for p in (tmp_path / "send").iterdir()} == {".txt", ".svg"}
    assert len(list((tmp_path / "send").iterdir())) == 6


@pytest.mark.parametrize("name", ["=1+1.png", "+a.png", "-a.png", "@a.png", "\ta.png", "a=1.png"])
def test_no_name_of_a_file_becomes_a_formula(run: Run, tmp_path: Path, name: str) -> None:
    """In the table for a spreadsheet it is a text, by an apostrophe before it; other names stay."""
    folder = tmp_path / "job"
    folder.mkdir()
    Image.new("RGB", PLAIN).save(folder / name)
    run(folder, "--csv", tmp_path / "out.csv", "--workers", 1, "--state", "none")
    (line,) = csv.DictReader((tmp_path / "out.csv").read_text().splitlines())
    assert line["file"] == (name if name[0] == "a" else f"'{name}")


@pytest.mark.parametrize(
    ("words", "said"),
    [(["nowhere"], "no file or folder nowhere"), ([".", "--card", "b5"], "b5"), (["{empty}"], "no photo in")],
)
def test_wrong_use_is_two_and_says_what_was_found(run: Run, tmp_path: Path, words: list[str], said: str) -> None:
    """Before any photo is opened."""
    (tmp_path / "empty").mkdir()
    code, _, err = run(*(str(tmp_path / "empty") if w == "{empty}" else w for w in words))
    assert code == 2
    assert said in " ".join(err.split())


def test_what_a_folder_without_photos_needs_are_the_formats_that_are_taken(run: Run, tmp_path: Path) -> None:
    """No ending of a format is named there that is refused when it comes."""
    (tmp_path / "empty").mkdir()
    _, _, err = run(tmp_path / "empty")
    assert ".heic" in err
    assert not [ending for ending in (".tif", ".bmp", ".gif", ".avif") if ending in err]


def test_a_photo_in_another_format_is_a_row_that_says_so(run: Run, tmp_path: Path) -> None:
    """It is not passed over in silence."""
    Image.new("RGB", PLAIN).save(tmp_path / "scan.tif")
    _, photos = rows(run, tmp_path / "scan.tif", "--state", "none")
    assert "a TIFF picture" in photos[0]["reasons"][0]["text"]  # type: ignore[index]


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "GIF", "BMP", "TIFF", "JPEG2000"])
def test_a_picture_under_another_name_is_a_row(tmp_path: Path, form: str) -> None:
    """By its first bytes, whatever its ending, and without one; a text under the same names is none."""
    for name in ("noext", "c.jpg_large", "l.jpg ", "m.JPG.txt", "d.dng"):
        Image.new("RGB", PLAIN).save(tmp_path / name, form)
    (tmp_path / "letter.txt").write_text("BMW or not, no picture")
    below = photos_below([tmp_path])

    assert sorted(one.path.name for one in below.found) == ["c.jpg_large", "d.dng", "l.jpg ", "m.JPG.txt", "noext"]
    assert (below.other, below.hidden) == (1, 0)


def test_what_is_passed_over_is_counted_and_said(run: Run, inbox: Path) -> None:
    """In a line before the last of the table, or on standard error beside the JSON; hidden things are not looked into."""
    (inbox / ".trash").mkdir()
    (inbox / ".trash" / "a.png").write_bytes((inbox / "room 4" / "a.png").read_bytes())
    (inbox / ".hidden.png").write_bytes(b"")
    (inbox / "room 4" / "deal.docx").write_bytes(b"PK")
    said = "2 files that begin like no picture, 2 hidden files or folders"
    _, out, _ = run(inbox, "--workers", 1)
    assert f"Passed over: {said}. 3 photos: 0 good" in " ".join(out.split())
    _, out, err = run(inbox, "--workers", 1, "--json", "-")
    assert json.loads(out)["passed_over"] == {"other": 2, "hidden": 2}
    assert f"Passed over: {said}." in " ".join(err.split())


def test_one_photo_is_not_photos(run: Run, inbox: Path) -> None:
    """And its row says in words what is wrong with it."""
    _, out, _ = run(inbox / "room 4" / "a.png", "--workers", 1)
    assert out.strip().splitlines()[-1].startswith("1 photo: 0 good")
    start = next(line.index("why,") for line in out.splitlines() if "why," in line)
    assert "needed at least 200 pixels on the shorter side" in " ".join(line[start:].strip() for line in out.splitlines())


def test_the_table_says_how_many_there_are_of_each(run: Run, inbox: Path) -> None:
    """The last line sums up, for whoever reads nothing else."""
    _, out, _ = run(inbox, "--workers", 1)
    assert out.strip().splitlines()[-1].startswith("3 photos: 0 good to measure")


def test_a_pipe_in_a_folder_is_passed_over(run: Run, inbox: Path) -> None:
    """Nobody may ever write to it: a name like a photo's makes it none. A link that leads nowhere is a row."""
    os.mkfifo(inbox / "pipe.jpg")
    (inbox / "gone.jpg").symlink_to(inbox / "nowhere")
    _, out, _ = run(inbox, "--json", "-", "--workers", 1)
    data = json.loads(out)
    assert "pipe.jpg" not in {p["file"] for p in data["photos"]}
    assert next(p for p in data["photos"] if p["file"] == "gone.jpg")["reasons"][0]["code"] == "unreadable"
    assert data["passed_over"]["other"] == 2


def test_a_reason_names_the_file_of_its_row(run: Run, inbox: Path) -> None:
    """Also where the bytes had another name, in this run or in an earlier one that kept its answers."""
    (inbox / "zwei.jpg").write_bytes((inbox / "room 4" / "cut.jpg").read_bytes())
    rows(run, inbox)
    (inbox / "room 4" / "cut.jpg").rename(inbox / "room 4" / "renamed.jpg")
    _, photos = rows(run, inbox)
    for name in ("renamed.jpg", "zwei.jpg"):
        (row,) = (p for p in photos if p["file"] == name)
        assert row["reasons"][0]["text"].startswith(f"{name}: ")  # type: ignore[index]


def test_answers_of_another_version_are_not_taken_over(
    run: Run, inbox: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Limits and words may have changed: every photo is looked at again, and the file keeps both answers."""
    state = tmp_path / "kept.jsonl"
    rows(run, inbox, "--state", state)
    before = len(state.read_text().splitlines())
    monkeypatch.setattr("api.photos.version", lambda: "another")
    rows(run, inbox, "--state", state)
    assert len(state.read_text().splitlines()) == 2 * before


def test_a_line_left_half_written_spoils_no_other(run: Run, inbox: Path, tmp_path: Path) -> None:
    """What is kept after it stands on a line of its own, so that a third run looks at nothing again."""
    state = tmp_path / "kept.jsonl"
    state.write_text('{"about": "x", "ans')
    rows(run, inbox, "--state", state)
    kept = state.read_text().splitlines()
    assert len(kept) == 3
    assert all("sha256" in json.loads(line)["answer"] for line in kept[1:])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--csv", "nowhere/x.csv"), "no folder"), (("--csv", "."), "is a folder"), (("--json", "room 4/a.png"), "the photo"),
        (("--csv", "room 4/a.png"), "the photo"), (("--state", "room 4/a.png"), "the photo"),
        (("--csv", "x", "--json", "x"), "the file of --json"), (("--state", "x", "--csv", "x"), "the file of --csv"),
    ],
)  # fmt: skip
def test_nothing_is_written_over_a_photo_or_over_another_file(
    run: Run, inbox: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], said: str
) -> None:
    """And what cannot be written is said before any photo is looked at, not after hours of work."""
    monkeypatch.chdir(inbox)
    before = (inbox / "room 4" / "a.png").read_bytes()
    code, out, err = run("room 4", *words)
    assert (code, out) == (2, "")
    assert said in " ".join(err.split())
    assert (inbox / "room 4" / "a.png").read_bytes() == before
