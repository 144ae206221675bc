"""POST /screenings: an answer for each photo, whatever is in it."""

from __future__ import annotations

import hashlib
import io
import json
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from PIL import Image
from pydantic import TypeAdapter

from api.app import create_app
from api.screen_schemas import ScreeningsOut
from api.settings import ApiSettings
from tests.benchmarks.scene_files import Scene
from vision.settings import Settings

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "sample_images" / "room5_four_cards_plumb.jpg"


@pytest.fixture(scope="module")
def client() -> TestClient:
    return TestClient(create_app(ApiSettings(workers=1), vision=Settings()))


def grey() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), (120, 120, 120)).save(out, "PNG")
    return out.getvalue()


def test_each_photo_has_its_answer_and_a_broken_one_too(client: TestClient) -> None:
    """In their order, by their bytes, as the description says, with a message and a drawing."""
    corners = Scene(SAMPLE).request(0, "as stated").corners[0]
    facts = {"cards": ["id-1"], "corners": [[list(point) for point in corners or ()], None]}
    photos = [SAMPLE.read_bytes(), b"no picture", grey()]

    answer = client.post("/screenings", files=[("photo", p) for p in photos], data={"facts": json.dumps(facts)})

    assert answer.status_code == 200, answer.text
    data = answer.json()
    TypeAdapter(ScreeningsOut).validate_python(data)
    assert [p["sha256"] for p in data["photos"]] == [hashlib.sha256(p).hexdigest() for p in photos]
    assert [p["outline"] for p in data["photos"]] == ["marked", "not known", "not known"]
    assert data["photos"][0]["band"]["how"] == "measured"
    assert [p["verdict"] for p in data["photos"]][1:] == ["ask again", "ask again"]
    assert all(p["drawing"].startswith("<svg") and p["message"] for p in data["photos"])


@pytest.mark.parametrize(
    ("photos", "facts", "said"),
    [
        (0, {}, "no photo"),
        (1, {"corners": [None, None]}, "corners for 2 photos"),
        (1, {"cards": ["b5"]}, "b5"),
        (1, {"card": []}, "card"),
    ],
)
def test_what_is_sent_wrong_is_a_problem_that_says_so(
    client: TestClient, photos: int, facts: dict[str, object], said: str
) -> None:
    """422 with what was found, needed and what to do."""
    answer = client.post("/screenings", files=[("photo", grey())] * photos or None, data={"facts": json.dumps(facts)})
    assert answer.status_code == 422
    assert said in answer.text
    assert {"found", "needed", "remedy"} <= set(answer.json())
