"""Both shells over the real check, with pictures small enough to be quick and one sample photo."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from fastapi.testclient import TestClient
from PIL import Image

from api import cli
from api.app import create_app
from api.deps import EXAMPLES
from api.schemas import report_schema
from api.settings import ApiSettings
from api.workers import ProcessWorkers
from vision.settings import IntakeSettings, Settings

ROOT = Path(__file__).resolve().parent.parent.parent
SAMPLE = ROOT / "sample_images" / "room3_sheet_beside.jpg"
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    def run_command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["tapewitness", *map(str, words)])
        with pytest.raises(SystemExit) as caught:
            cli.main()
        out, err = capsys.readouterr()
        return int(str(caught.value.code or 0)), out, err

    return run_command


@pytest.fixture(scope="module")
def client() -> Iterator[TestClient]:
    limits, vision = ApiSettings(workers=1), Settings(intake=IntakeSettings(max_bytes=5_000_000))
    workers = ProcessWorkers(limits, vision)
    yield TestClient(create_app(limits, vision=vision, workers=workers))
    workers.close()


def grey_picture() -> bytes:
    """A picture with nothing in it."""
    out = io.BytesIO()
    Image.fromarray(np.full((900, 700, 3), 180, dtype=np.uint8)).save(out, format="PNG")
    return out.getvalue()


def assert_format_1(data: object) -> None:
    jsonschema.Draft202012Validator(report_schema()).validate(data)


def test_bytes_that_are_no_image_end_with_3_and_say_so(run: Run, tmp_path: Path) -> None:
    """A text file with a photo's name cannot be measured, and the JSON says why."""
    path = tmp_path / "room3.jpg"
    path.write_text("not a picture")
    code, out, _ = run("check", path, "--json", "-")
    data = json.loads(out)

    assert code == 3
    assert data["cannot_measure"]["code"] == "not-an-image"
    assert_format_1(data)


def test_a_picture_of_nothing_ends_with_3_and_the_tape_is_judged_all_the_same(run: Run, tmp_path: Path) -> None:
    """Where the photo cannot be measured the readings are still in the report, none of them suspect."""
    path, readings = tmp_path / "room3.png", tmp_path / "r.toml"
    path.write_bytes(grey_picture())
    readings.write_text('unit = "in"\n[readings]\nwidth_top = "56 1/4"\n')
    code, out, _ = run("check", path, "--readings", readings, "--json", "-", "--corners", "100,800 600,800 600,100 100,100")
    data = json.loads(out)

    assert code == 3
    assert data["readings"]["width_top"]["verdict"] == "cannot tell"
    assert_format_1(data)


@pytest.mark.parametrize("text", ["56 1/0", "five", "-3 in", "56 5/4"])
def test_a_reading_that_is_none_ends_with_2_and_its_name(run: Run, tmp_path: Path, text: str) -> None:
    """A reading that cannot be read is wrong use, found before the photo is opened, and named."""
    path, readings = tmp_path / "room3.jpg", tmp_path / "r.toml"
    path.write_text("not a picture")
    readings.write_text(f'unit = "in"\n[readings]\nwidth_middle = "{text}"\n')
    code, out, err = run("check", path, "--readings", readings, "--json", "-")

    assert (code, out) == (2, "")
    assert "width_middle" in err


@pytest.mark.parametrize("card", ["a5", "a4@", "letter=215x", "0x0mm", "id-1#0"])
def test_a_card_text_that_is_none_ends_with_2(run: Run, tmp_path: Path, card: str) -> None:
    """A CARD text that says nothing sensible is wrong use."""
    path = tmp_path / "room3.png"
    path.write_bytes(grey_picture())

    assert run("check", path, "--card", card)[0] == 2


def test_the_service_tells_what_it_cannot_take_from_what_it_cannot_measure(client: TestClient) -> None:
    """No image is 415, too large is 413, no reading is 422, and a picture of nothing is an answer."""

    def post(data: bytes, facts: dict[str, object]) -> tuple[int, dict[str, object]]:
        response = client.post("/checks", files=[("photo", ("x", data)), ("facts", (None, json.dumps(facts)))])
        return response.status_code, response.json()

    assert post(b"not a picture", {})[0] == 415
    assert post(b"\0" * 5_000_001, {})[0] == 413
    assert post(grey_picture(), {"unit": "in", "readings": {"width_top": "five"}})[0] == 422
    status, data = post(grey_picture(), {})
    assert status == 200
    assert "cannot_measure" in data
    assert_format_1(data)


def test_the_first_example_of_the_description_runs_with_its_photo(client: TestClient) -> None:
    """The example of facts, posted with the sample photo that it belongs to, is measured."""
    if not SAMPLE.exists():
        pytest.skip("the sample photo is not in this checkout")
    files = [("photo", ("x", SAMPLE.read_bytes())), ("facts", (None, json.dumps(EXAMPLES[0])))]
    data = client.post("/checks", files=files).json()

    assert_format_1(data)
    assert data["sizes"]
