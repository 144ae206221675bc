"""What the README promises: its commands, its options, its example over HTTP."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import socket
import subprocess
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import typer
import uvicorn
from typer.testing import CliRunner, Result

from api import cli
from api.app import create_app
from api.guard import CANNOT_MEASURE, HOLD, INTERNAL, INTERRUPTED, READY, WRONG_USE
from api.photos import usual_state
from api.settings import ApiSettings
from tests import made
from vision.check import CheckRequest
from vision.judge.doors import choose_door, hardware_from_toml, kinds
from vision.report.record import to_json

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text()
GROUP = typer.main.get_command(cli.app)
COMMANDS = GROUP.commands  # type: ignore[attr-defined]
SECTIONS = ("Two commands", "A worked check", "What a photo cannot tell", "Scope", "Safety")


def marked(mark: str) -> str:
    """The one command line between a mark and its end."""
    found = re.search(rf"<!-- {mark} -->\n```sh\n(.*?)\n```\n<!-- end -->", README, re.DOTALL)
    assert found is not None, mark
    return found[1]


@pytest.mark.parametrize("command", sorted(COMMANDS))
def test_every_option_has_help_and_is_in_the_readme(command: str) -> None:
    """No option without a word of help, none that the README leaves out."""
    for parameter in COMMANDS[command].params:
        assert parameter.help, parameter.name
        if parameter.param_type_name == "option":
            assert any(option in README for option in parameter.opts), parameter.name


def test_the_readme_names_no_option_that_is_not_there() -> None:
    """An option that was renamed or dropped does not live on in the README."""
    commands = (GROUP, *COMMANDS.values())
    there = {option for command in commands for parameter in command.params for option in parameter.opts} | {"--help"}
    text = "\n".join(line for line in README.splitlines() if not line.startswith("!["))

    assert set(re.findall(r"(?<![\w-])--[a-z][a-z-]+", text)) - {"--"} <= there


def test_the_list_of_commands_has_each_of_them() -> None:
    """With its name behind the program's, and every exit code that there is."""
    section = README[README.index("\n## The command\n") :]
    for command in COMMANDS:
        assert f"\ntapewitness {command} " in section
    told = section[section.index("Exit codes:") :].split(".")[0]
    assert {int(number) for number in re.findall(r"\b\d+\b", told)} == {
        READY,
        HOLD,
        WRONG_USE,
        CANNOT_MEASURE,
        INTERNAL,
        INTERRUPTED,
    }


def test_the_readme_says_where_answers_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """As the program does it, with and without a cache folder of one's own."""
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    assert f"`~/{usual_state().relative_to(Path.home())}`" in README
    assert "`$XDG_CACHE_HOME`" in README


def test_the_readme_tells_its_story_in_order() -> None:
    """The job first, then the two commands, a worked check, what a photo cannot tell, scope, safety."""
    places = [README.index(f"\n## {section}\n") for section in SECTIONS]

    assert sorted(places) == places
    for refused in ("corner", "neo-angle", "return-panel"):
        assert refused in README[places[3] : places[4]].lower()


@pytest.mark.parametrize("mark", ["check command", "test command", "worked check", "http example"])
def test_each_command_is_one_line_and_its_files_are_there(mark: str) -> None:
    """A command can be copied as one line, and every file that it names exists."""
    command = marked(mark)

    assert "\n" not in command
    for path in re.findall(r"(?:sample_images|\.ci)/[\w./-]+", command):
        assert (ROOT / path).is_file(), path


def test_every_picture_and_page_that_the_readme_points_to_is_there() -> None:
    """No link within the project leads nowhere."""
    for link in re.findall(r"\]\(([^)#:]+)\)", README):
        assert (ROOT / link).is_file(), link


def test_the_readings_shown_are_those_of_the_sample() -> None:
    """The readings file in the README is the sample's, line for line."""
    found = re.search(r"```toml\n# (\S+)\n(.*?)```", README, re.DOTALL)
    assert found is not None
    lines = (ROOT / found[1]).read_text().splitlines()

    assert [line for line in lines if line and not line.startswith("#")] == [line for line in found[2].splitlines() if line]


def test_both_commands_install_the_same_pinned_versions() -> None:
    """Check and tests run on the versions of one file, each of them exact."""
    pins = [line for line in (ROOT / ".ci" / "constraints.txt").read_text().splitlines() if not line.startswith("#")]

    for mark in ("check command", "test command"):
        assert "-c .ci/constraints.txt" in marked(mark)
    assert pins
    assert all(re.fullmatch(r"[\w.-]+==[\w.]+", pin) for pin in pins)


def as_written(mark: str, tmp_path: Path) -> Result:
    """What the program answers to a command of the README, its pictures written elsewhere."""
    words = shlex.split(marked(mark).split("bin/tapewitness ")[1])
    words[words.index("--pictures") + 1] = str(tmp_path)
    return CliRunner().invoke(cli.app, [str(ROOT / word) if word.startswith("sample_images/") else word for word in words])


def test_the_output_shown_is_what_the_worked_check_prints(tmp_path: Path) -> None:
    """The README's output stands word for word at the head of what its command prints, and the exit code is the one it names."""
    found = re.search(r"<!-- output -->\n```\n(.*?)\n```\n<!-- end -->", README, re.DOTALL)
    assert found is not None
    shown = found[1].splitlines()
    answer = as_written("worked check", tmp_path)

    assert [line.rstrip() for line in answer.stdout.splitlines()[: len(shown)]] == shown
    assert f"exit code {answer.exit_code}." in README[found.end() : README.index("## What a photo cannot tell")]


def test_the_first_command_is_answered_as_the_readme_says(tmp_path: Path) -> None:
    """Every reading agrees, and the answer is READY."""
    answer = as_written("check command", tmp_path)

    assert answer.exit_code == 0
    assert answer.stdout.startswith("READY")
    assert answer.stdout.count("● agrees") == 7


class Scribe:
    """Workers that note what was asked and answer with a made report."""

    busy = 0

    def __init__(self) -> None:
        self.requests: list[CheckRequest] = []

    async def run(self, request: CheckRequest) -> dict[str, object]:
        self.requests.append(request)
        return to_json(made.hold())

    def close(self) -> None: ...


@pytest.fixture
def service() -> Iterator[tuple[Scribe, int]]:
    """A real server on a free port."""
    scribe = Scribe()
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    server = uvicorn.Server(
        uvicorn.Config(create_app(ApiSettings(), workers=scribe), port=port, log_level="error", ws="none", lifespan="on")
    )
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    deadline = time.monotonic() + 20
    while not server.started and time.monotonic() < deadline:
        time.sleep(0.02)
    yield scribe, port
    server.should_exit = True
    thread.join(timeout=10)


def test_the_http_example_works_as_written(service: tuple[Scribe, int]) -> None:
    """The README's example, sent by a client that is not ours, is answered with a report."""
    if shutil.which("curl") is None:
        pytest.skip("needs Debian package curl")
    scribe, port = service
    command = marked("http example").replace(":8000/", f":{port}/")
    done = subprocess.run(["bash", "-c", command], cwd=ROOT, capture_output=True, text=True, timeout=60, check=True)

    assert json.loads(done.stdout)["order"]["status"] == "hold"
    assert [entry.name for entry in scribe.requests[0].tape.entries] == ["width_top", "width_middle"]
    assert scribe.requests[0].photos[0][1][:2] == b"\xff\xd8"


def test_the_hardware_sheet_shown_is_one() -> None:
    """The README's example is read as it stands, for a kind of door that it fits."""
    found = re.search(r"<!-- hardware sheet -->\n```toml\n(.*?)```", README, re.DOTALL)
    assert found is not None
    door = choose_door("hinged-door", hardware_from_toml(found[1]))

    assert door.hardware == "hinge sheet"
    assert door.said("gap_strike") == "5 mm (hinge sheet)"
    assert door.said("door_max") == "34 in (hinge sheet, page 3)"


def test_every_kind_of_door_is_in_the_readme() -> None:
    """The table of kinds has each of them."""
    for kind in kinds():
        assert f"`{kind}`" in README
