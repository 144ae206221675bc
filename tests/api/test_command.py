"""The command line: exit codes, where output goes, and what errors say."""

from __future__ import annotations

import json
import re
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

import vision.check
from api import cli
from api.schemas import report_schema
from tests import made, made_checks
from vision.check import CheckRequest

ROOT = Path(__file__).resolve().parent.parent.parent
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def requests() -> list[CheckRequest]:
    return []


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], requests: list[CheckRequest]) -> Run:
    def check(request: CheckRequest, settings: object) -> object:
        requests.append(request)
        return made_checks.by_name(request, settings)  # type: ignore[arg-type]

    monkeypatch.setattr(vision.check, "check", check)

    def run_command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["tapewitness", *map(str, words)])
        with pytest.raises(SystemExit) as caught:
            cli.main()
        out, err = capsys.readouterr()
        return int(str(caught.value.code or 0)), out, err

    return run_command


@pytest.fixture
def photo(tmp_path: Path) -> Callable[..., Path]:
    def write(word: str, name: str = "room3.jpg") -> Path:
        path = tmp_path / name
        path.write_bytes(word.encode())
        return path

    return write


Photo = Callable[..., Path]


@pytest.mark.parametrize(
    ("word", "code"),
    [("ready", 0), ("hold", 1), ("scale refused", 1), ("needs-corners", 3), ("not-an-image", 3), ("too-large", 3)],
)
def test_exit_code_and_json_say_the_same(run: Run, photo: Photo, tmp_path: Path, word: str, code: int) -> None:
    """0 ready, 1 hold, 3 cannot be measured; JSON is written in each case and fits the schema."""
    path = tmp_path / "out.json"
    found, out, err = run("check", photo(word), "--json", path)
    data = json.loads(path.read_text())

    assert (code, "") == (found, err)
    assert ("cannot_measure" in data) == (code == 3)
    assert ("ready" if code == 0 else "hold") == data["order"]["status"]
    jsonschema.Draft202012Validator(report_schema()).validate(data)
    assert out.startswith("READY" if code == 0 else "HOLD")


def test_a_missing_photo_is_wrong_use(run: Run, tmp_path: Path) -> None:
    """A path that is not there ends with 2 and says what to do; no JSON is written."""
    code, out, err = run("check", tmp_path / "nothing.jpg", "--json", "-")

    assert (code, out) == (2, "")
    assert "no such file" in err
    assert "check the name" in err


def test_a_folder_is_not_a_photo(run: Run, tmp_path: Path) -> None:
    """A folder given as photo ends with 2."""
    assert run("check", tmp_path)[0] == 2


@pytest.mark.parametrize(
    "words",
    [
        ("--corners", "1,2 3,4"), ("--plumb-line", "2: 1,2 3,4"), ("--card-corners", "1,1 2,2 3,3 4,4"), ("--card-offset", "two"),
        ("--level", "1,2"), ("--level", "1,2 3,4 =72"), ("--level", "1,2 3,4 =72mm"), ("--level", "1,2 3,400 =72in+-200"),
        ("--grout", "1,2 1,2"), ("--grout", "2: 1,2 3,4"), ("--door-line", "deep"), ("--door-line", "60+-0"),
        ("--door-line", "900"), ("--side-joint", "1,2 3,4"), ("--side-joint", "middle 1,2 3,4"),
        ("--side-joint", "left 1,2 3,4"),
        ("--corners", "-", "--corners", "-"), ("--level-card", "x"), ("--nonsense",), ("--json", "/no/such/folder/out.json"),
        ("--paper", "a5"), ("--order-sheet", "sheet.doc"), ("--order-sheet", "/no/such/folder/sheet.pdf"),
        ("--hardware", "/no/such/sheet.toml"),
        ("--card-corners", "0: id-1 1,1 2,2 3,3 4,4"), ("--corners-within", "0.5"), ("--corners-within", "41"),
        ("--corners-within", "nan"), ("--corners-within", "few"), ("--level-card", "0"), ("--level-card", "-1"),
        ("--level", "1,2 3,400 @501"), ("--plumb-line", "1,2 100001,4"), ("--grout", "1,2 1,-100001"), ("--door-line", "nan"),
    ],
)  # fmt: skip
def test_an_option_that_cannot_be_used_is_wrong_use(run: Run, photo: Photo, words: tuple[str, ...]) -> None:
    """Wrong options end with 2, an explanation, and nothing on standard output."""
    code, out, err = run("check", photo("ready"), *words)

    assert (code, out) == (2, "")
    assert err.strip()


def test_a_readings_file_that_is_no_text_is_wrong_use(run: Run, photo: Photo, tmp_path: Path) -> None:
    """Readings that cannot be decoded, or are not TOML, end with 2 before any photo is opened."""
    path = tmp_path / "room3.readings.toml"
    for content in (b"\xff\xfe\x00", b"this is = = not"):
        path.write_bytes(content)
        assert run("check", photo("ready"), "--readings", path)[0] == 2


def test_an_unreadable_reading_is_wrong_use_and_named(run: Run, photo: Photo) -> None:
    """What the door refuses to read ends with 2 and the reading's name."""
    code, _, err = run("check", photo("unreadable"))

    assert code == 2
    assert "reading width_top" in err


def test_an_internal_error_is_one_line_and_70(run: Run, photo: Photo) -> None:
    """A defect ends with 70, one line with a hint, and no traceback anywhere."""
    code, out, err = run("check", photo("broken"), "--json", "-")

    assert (code, out) == (70, "")
    assert len(err.strip().splitlines()) == 1
    assert "Traceback" not in err
    assert "TAPEWITNESS_DEBUG" in err


def test_a_dash_puts_json_alone_on_standard_output(run: Run, photo: Photo) -> None:
    """With `--json -` standard output parses as JSON, whole."""
    code, out, err = run("check", photo("hold"), "--json", "-")

    assert (code, err) == (1, "")
    assert json.loads(out)["order"]["status"] == "hold"


@pytest.mark.parametrize("name", ["plan.docx", "plan.jpg", "plan"])
def test_a_plan_s_picture_is_a_png_and_named_so(run: Run, tmp_path: Path, name: str) -> None:
    """Nothing is written under the name of another kind of file."""
    code, _, err = run(*PLAN, "--picture", tmp_path / name)
    assert code == 2
    assert ".png" in err
    assert not (tmp_path / name).exists()


def test_pictures_are_named_after_the_photos(run: Run, photo: Photo, tmp_path: Path) -> None:
    """Each usable photo gives NAME-seen.jpg and NAME-opening.png, the first NAME-walls.png, in a folder that is made."""
    folder = tmp_path / "new" / "pictures"
    code, out, _ = run("check", photo("hold"), "--pictures", folder)

    assert code == 1
    assert sorted(path.name for path in folder.iterdir()) == ["room3-opening.png", "room3-seen.jpg", "room3-walls.png"]
    assert "room3-seen.jpg" in out


@pytest.mark.parametrize(("name", "start"), [("sheet.pdf", b"%PDF"), ("sheet.HTML", b"<!doctype html>")])
def test_the_order_sheet_is_written_as_its_ending_says(run: Run, photo: Photo, tmp_path: Path, name: str, start: bytes) -> None:
    """A PDF or an HTML file, for the paper that was named."""
    code, out, _ = run("check", photo("hold"), "--order-sheet", tmp_path / name, "--paper", "a4")
    data = (tmp_path / name).read_bytes()

    assert code == 1
    assert data.startswith(start)
    assert b"size: A4" in data or b"595.276" in data
    assert f"Order sheet: {tmp_path / name}" in out.replace("\n", "")


def test_a_photo_without_measured_opening_still_gives_the_seen_picture(run: Run, photo: Photo, tmp_path: Path) -> None:
    """Where nothing can be rectified the command says so and writes the other picture."""
    code, out, _ = run("check", photo("needs-corners"), "--pictures", tmp_path / "p")

    assert code == 3
    assert [path.name for path in (tmp_path / "p").iterdir()] == ["room3-seen.jpg"]
    assert "No picture room3-opening.png" in out


def test_photos_of_one_name_are_told_apart(run: Run, photo: Photo, tmp_path: Path, requests: list[CheckRequest]) -> None:
    """Two photos that would give pictures of the same name get different names."""
    (tmp_path / "b").mkdir()
    run("check", photo("ready"), photo("ready", "b/room3.jpg"), photo("ready", "room3.png"))

    assert [name for name, _ in requests[0].photos] == ["room3.jpg", "room3-2.jpg", "room3-3.png"]


def test_every_option_reaches_the_door(run: Run, photo: Photo, tmp_path: Path, requests: list[CheckRequest]) -> None:
    """What is typed arrives as the request that the API would make of the same facts."""
    readings = tmp_path / "r.toml"
    readings.write_text('unit = "in"\n[readings]\nwidth_top = {text = "56 1/4", at = "72 in"}\n')
    hardware = tmp_path / "h.toml"
    hardware.write_text('name = "sheet A"\ngap_strike = "5 mm"\n')
    words = (
        "--readings", readings, "--card", "a4#1@3", "--card", "letter", "--card-offset", "-1.5", "--card-corners",
        "2: id-1 1,4 3,4 3,1 1,1", "--corners", "-", "--corners", "0,9 9,9 9,0 0,0", "--plumb-line", "2: 5,0 5,9",
        "--level-card", 2, "--no-head", "--height", "80 in", "--door", "hinged-door", "--hardware", hardware,
        "--level", "2: 5,9 5,0 @-20+-3 =72in+-0.5", "--grout", "1,9 1,0", "--level-curb", "--door-line", "60+-2.5",
        "--side-joint", "2: left 1,9 3,8", "--corners-within", "3.5",
    )  # fmt: skip
    run("check", photo("ready", "a.jpg"), photo("ready", "b.jpg"), *words)
    request = requests[0]

    assert list(request.photos) == [("a.jpg", b"ready"), ("b.jpg", b"ready")]
    assert request.cards == ("a4#1@3", "letter")
    assert request.card_offset_mm == -1.5
    assert (request.card_corners[0].photo, request.card_corners[0].kind) == (2, "id-1")
    assert request.corners == (None, ((0.0, 9.0), (9.0, 9.0), (9.0, 0.0), (0.0, 0.0)))
    assert request.plumb_lines[0].line == ((5.0, 0.0), (5.0, 9.0))
    assert (request.level_cards, request.head, request.height) == ((2,), False, "80 in")
    level, joint, back = request.lines
    assert (back.photo, back.kind, back.side, back.line) == (2, "back", "left", ((1.0, 9.0), (3.0, 8.0)))
    assert (level.photo, level.kind, level.line) == (2, "level", ((5.0, 9.0), (5.0, 0.0)))
    assert (level.length_mm, level.length_sd_mm, level.offset_mm, level.offset_sd_mm) == (72 * 25.4, 0.5, -20.0, 3.0)
    assert (joint.photo, joint.kind, joint.line, joint.length_mm) == (1, "grout", ((1.0, 9.0), (1.0, 0.0)), None)
    assert (request.level_curb, request.door_line_mm, request.corners_within_px) == (True, (60.0, 2.5), 3.5)
    assert (request.door, request.hardware) == ("hinged-door", {"name": "sheet A", "gap_strike": "5 mm"})
    assert (
        request.tape.entries[0].name, request.tape.entries[0].text, request.tape.entries[0].at,
    ) == ("width_top", "56 1/4", "72 in")  # fmt: skip


def test_an_unstated_offset_is_not_a_stated_zero(run: Run, photo: Photo, requests: list[CheckRequest]) -> None:
    """Leaving out --card-offset leaves the door to decide; stating 0 states it."""
    run("check", photo("ready"))
    run("check", photo("ready"), "--card-offset", "0")

    assert [request.card_offset_mm for request in requests] == [None, 0.0]


def test_corners_may_be_said_to_be_good_to_one_to_forty_pixels(run: Run, photo: Photo, requests: list[CheckRequest]) -> None:
    """Both limits reach the door, unstated is not a stated 15, and beyond them the limits are named."""
    for words in ((), ("--corners-within", "1"), ("--corners-within", "40")):
        run("check", photo("ready"), *words)
    err = run("check", photo("ready"), "--corners-within", "40.5")[2]

    assert [request.corners_within_px for request in requests] == [None, 1.0, 40.0]
    assert all(word in err for word in ("corners within", "40.5 px", "1 to 40 px"))


def test_the_table_fits_eighty_columns_and_has_no_colour_in_a_pipe(run: Run, photo: Photo) -> None:
    """Written to a pipe, no line is wider than 80 and there is no escape sequence."""
    for word in ("ready", "hold", "scale refused", "needs-corners"):
        _, out, _ = run("check", photo(word))

        assert max(len(line.rstrip()) for line in out.splitlines()) <= 80
        assert "\x1b" not in out


def test_the_table_tells_what_a_photo_cannot_and_the_cautions(run: Run, photo: Photo) -> None:
    """Every report names its blind spots and the dangers, and a held one its next step."""
    _, out, _ = run("check", photo("hold"))
    words = " ".join(out.split())

    for expected in (
        "toward or away from the camera",
        "an eighth of an inch",
        "cannot be cut",
        "payment card",
        "▲ suspect",
        "1. Measure the width",
    ):
        assert expected in words


def test_control_characters_in_a_reading_do_not_reach_the_terminal(
    run: Run, photo: Photo, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A reading's text cannot send escape sequences to the terminal."""
    verdict = made.verdict("width_top", text="56\x1b[31m 1/4")
    monkeypatch.setattr(made, "verdict", lambda *_, **__: verdict)

    assert "\x1b" not in run("check", photo("ready"))[1]


def test_a_port_that_is_taken_is_wrong_use(run: Run) -> None:
    """A service that cannot listen ends with 2 and says which port it was."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        code, _, err = run("serve", "--port", port)

    assert code == 2
    assert f"127.0.0.1:{port}" in err


@pytest.mark.parametrize("option", ["--json", "--order-sheet", "--readings", "--height"])
def test_an_option_of_one_value_given_twice_is_wrong_use(run: Run, photo: Photo, tmp_path: Path, option: str) -> None:
    """The last one does not win in silence; nothing is written."""
    code, out, err = run("check", photo("ready"), option, tmp_path / "a.pdf", f"{option}={tmp_path / 'b.pdf'}")
    assert (code, out) == (2, "")
    assert option in err
    assert "2 times" in err
    assert not list(tmp_path.glob("*.pdf"))


def test_an_option_that_may_be_repeated_still_may(run: Run, photo: Photo, requests: list[CheckRequest]) -> None:
    """Two cards are two cards."""
    run("check", photo("ready"), "--card", "a4", "--card", "letter")
    assert requests[0].cards == ("a4", "letter")


@pytest.mark.parametrize(
    ("words", "said"),
    [(("check",), "nothing was decided"), (("screen", "--state", "none"), "nothing was decided"), (("screen",), "to go on")],
)
def test_an_interrupted_command_says_so_in_one_line(
    run: Run, photo: Photo, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, words: tuple[str, ...], said: str
) -> None:
    """Exit 130, no traceback; where answers are kept, that the same command goes on."""

    def interrupted(*_: object, **__: object) -> int:
        raise KeyboardInterrupt

    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setattr("api.checking.run", interrupted)
    monkeypatch.setattr("api.screening.run", interrupted)
    code, out, err = run(words[0], photo("ready"), *words[1:])
    assert (code, out) == (130, "")
    assert err.count("\n") == 1
    assert said in err


@pytest.mark.parametrize("module", ["api", "api.cli"])
def test_the_command_is_a_module_too_and_says_its_version(module: str) -> None:
    """`python -m api --version` prints one line."""
    done = subprocess.run([sys.executable, "-m", module, "--version"], cwd=ROOT, capture_output=True, text=True, check=True)
    assert re.fullmatch(r"tapewitness \S+\n", done.stdout)


def test_the_reference_card_is_a_pdf_by_its_name_too(run: Run, tmp_path: Path) -> None:
    """A PDF in a file called .txt would not be opened by anybody."""
    code, _, err = run("print-card", "-o", tmp_path / "x.txt")
    assert code == 2
    assert ".pdf" in err
    assert not list(tmp_path.iterdir())


def test_no_command_shows_the_help() -> None:
    """The bare command, in a process of its own, shows its help and ends as wrong use does."""
    code = "import sys; sys.argv[0] = 'tapewitness'; from api.cli import main; main()"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)

    assert done.returncode == 2
    assert "check" in done.stdout + done.stderr
    assert "serve" in done.stdout + done.stderr


def test_the_reference_card_is_written_as_a_pdf(run: Run, tmp_path: Path) -> None:
    """print-card writes a PDF and says to print it at 100 %; a paper that it does not have is wrong use."""
    file = tmp_path / "card.pdf"
    code, out, _ = run("print-card", "--paper", "letter", "-o", file)

    assert (code, file.read_bytes()[:5]) == (0, b"%PDF-")
    assert "100 %" in out
    assert run("print-card", "--paper", "a3", "-o", file)[0] == 2
    assert run("print-card", "-o", tmp_path / "no" / "card.pdf")[0] == 2


PLAN = ("plan", "--width", "56 in", "--height", "78 in", "--reference", "id-1 left-middle")


def test_a_plan_is_shown_written_and_drawn(run: Run, tmp_path: Path) -> None:
    """A table with what would help, the plan as JSON, and a drawing."""
    code, out, _ = run(*PLAN, "--json", tmp_path / "plan.json", "--picture", tmp_path / "plan.png")

    data = json.loads((tmp_path / "plan.json").read_text())
    assert code == 0
    assert "What would help most" in out
    assert f"{data['sizes']['width_top']['u_mm']:.1f} mm" in out
    assert (tmp_path / "plan.png").read_bytes()[:4] == b"\x89PNG"


def test_the_options_of_a_plan_reach_it(run: Run) -> None:
    """Without a head there are no heights, with a plumb line there are leans, from nearer and without metadata u is another."""
    plain_, other = (
        json.loads(run(*PLAN, *more, "--json", "-")[1])
        for more in ((), ("--no-head", "--plumb", "--no-metadata", "--distance", "3 m"))
    )

    assert "height_left" not in other["sizes"]
    assert "u_lean_left_mm_per_m" in other["walls"]
    assert (plain_["distance_mm"], other["distance_mm"]) == (2400.0, 3000.0)
    assert other["sizes"]["width_top"]["u_mm"] > plain_["sizes"]["width_top"]["u_mm"]
    wide = json.loads(run(*PLAN, "--focal", 23, "--json", "-")[1])
    assert wide["sizes"]["width_top"]["u_mm"] > plain_["sizes"]["width_top"]["u_mm"]


def test_a_plan_that_cannot_be_is_wrong_use(run: Run) -> None:
    """2 and one line, with the place of the mistake."""
    code, out, err = run("plan", "--width", "56 in", "--height", "78 in", "--reference", "id-1 somewhere")

    assert (code, out) == (2, "")
    assert "the place 'somewhere'" in err
