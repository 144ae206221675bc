"""What a screening says: each number with what it is, nothing that contradicts another line, nothing that was not seen."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

import vision.screening_sight
from tests.benchmarks.scene_files import Scene
from vision.check import AGAIN, OwnTracer, ScreenRequest, screen, screening_json
from vision.errors import CannotMeasure, Finding
from vision.geometry.camera import camera_prior
from vision.geometry.edge_shape import MOST_FITTED_BLUR_PX
from vision.geometry.edges import EdgePoints
from vision.geometry.look import Look
from vision.geometry.measure import Measured
from vision.geometry.seeing import require_sharp
from vision.screening import Screening, _answer, _Seen
from vision.screening_reasons import Reason
from vision.settings import Settings

ROOT = Path(__file__).resolve().parents[1]
SAMPLES = ROOT / "sample_images"


@cache
def of_benchmark(name: str) -> Scene:
    return Scene(ROOT / "tests" / "benchmarks" / "scenes" / f"{name}.jpg")


@pytest.mark.parametrize(("fitted_px", "said"), [(5.8, "by 5.8 pixels ("), (MOST_FITTED_BLUR_PX, "by 6.0 pixels or more (")])
def test_a_blur_at_the_end_of_the_fit_is_said_to_be_a_least_one(fitted_px: float, said: str) -> None:
    """A check follows an edge's blur to 6 px and no further, so 6 is what it is at least: a screening may say 14."""
    settings, none = Settings(), np.zeros(0)
    seen = Look(1, "a.jpg", 3024, 4032, 1.0, camera_prior(3024, 4032, None, settings.camera), None, {}, (), ())
    edge = EdgePoints(np.zeros((0, 2)), none, none, 0.0, fitted_px, 90.0, 0.0, 1.0, np.zeros(3))
    with pytest.raises(CannotMeasure) as refused:
        require_sharp(seen, {"left": edge})

    assert said in refused.value.found
    assert "edges of the opening" in refused.value.found
    assert "at 12 megapixels" in refused.value.found


def test_a_screening_says_whose_blur_it_tells() -> None:
    """That of the sharpest edges anywhere in the picture, not that of the opening's edges, which a check tells."""
    done = screen(ScreenRequest("shaken.jpg", of_benchmark("shaken").photo.read_bytes()))
    (reason,) = done.reasons

    assert (done.verdict, reason.code) == (AGAIN, "blur")
    assert "the picture's sharpest edges are blurred by" in reason.text
    assert "picture's sharpest edges" in reason.unit


@pytest.mark.parametrize("sd", [0.0, 3.0])
def test_a_picture_without_an_edge_is_said_to_be_one(sd: float) -> None:
    """Mid grey: no blur, which nothing tells of, no dark, no other number; and the customer is asked to look what it shows."""
    grey = np.clip(128 + np.random.default_rng(4).normal(0, sd, (4000, 3000, 1)), 0, 255) + np.zeros(3)
    out = io.BytesIO()
    Image.fromarray(grey.astype(np.uint8)).save(out, "JPEG")
    done = screen(ScreenRequest("grey.jpg", out.getvalue()))

    (reason,) = (r for r in done.reasons if r.code != "no-metadata")
    assert (done.verdict, reason.code) == (AGAIN, "no-edge")
    assert "nothing to judge" in reason.text
    assert "blur" not in done.facts
    message = screening_json(done)["message"]
    assert "cannot make anything out" in message
    assert "dark" not in message
    assert "hold it still" not in message


def of_sample(name: str) -> Screening:
    return screen(ScreenRequest(f"{name}.jpg", (SAMPLES / f"{name}.jpg").read_bytes()), Settings(), OwnTracer(Settings()))


def test_the_office_reads_what_disagrees_with_what() -> None:
    """A sheet on the back wall: which one, where it is seen; nothing is said twice."""
    (reason,) = of_sample("room9_sheet_on_back_wall").reasons

    assert (reason.code, reason.level, reason.value) == ("card-plane", "again", 1.0)
    assert "Card 1 is seen inside the opening and does not stand on the curb" in reason.text
    assert "px above the curb, 55% of the opening's height" in reason.text


def test_findings_are_told_in_their_own_words(monkeypatch: pytest.MonkeyPatch) -> None:
    """What contradicts the rest with the check's numbers; a card that is cut and an edge with two lines contradict nothing."""
    told = [
        Finding("cards-disagree", "Cards 1 and 2 make it 775 and 1146 mm wide.", "-"),
        Finding("card-cut", "There is a card cut off by the left border.", "-"),
        Finding("edge-hidden", "Two lines some 9 pixels apart are nearly as clear along the curb.", "-"),
    ]
    measured = vision.screening_sight.measure_photo

    def with_findings(*given: Any) -> Measured:
        found = measured(*given)
        return replace(found, opening=replace(found.opening, findings=tuple(told)))

    monkeypatch.setattr("vision.screening_sight.measure_photo", with_findings)
    done = of_sample("room5_four_cards_plumb")
    said = {r.code: (r.level, r.text) for r in done.reasons}

    assert said["not-consistent"] == ("rough", told[0].text)
    assert said["card-cut"] == ("rough", told[1].text)
    assert said["needs-corners"] == ("rough", told[2].text)
    assert done.facts["not-consistent"] == 1.0


def test_the_graver_of_two_reasons_of_one_code_is_told() -> None:
    """A photo that the check refuses as blurred is asked for again, though its sharpest edges are only a little soft."""
    refused = Reason("blur", "again", None, None, "", "the check's own condition", "the opening's edges are blurred")
    done = _answer("a.jpg", "0", _Seen({"blur": 3.0}, "marked", extra=(refused,)), Settings())
    assert (done.verdict, [r.text for r in done.reasons]) == (AGAIN, [refused.text])


@pytest.mark.parametrize("size", [(1, 1), (160, 120)])
def test_a_picture_that_is_too_small_is_said_to_be_so_and_nothing_else(size: tuple[int, int]) -> None:
    """Neither blur nor light is judged of it; the customer is asked for the file in full size."""
    out = io.BytesIO()
    Image.new("RGB", size, (128, 128, 128)).save(out, "PNG")
    done = screen(ScreenRequest("tiny.png", out.getvalue()))

    (reason,) = done.reasons
    assert (done.verdict, reason.code) == (AGAIN, "too-small")
    assert f"{size[0]} x {size[1]} pixels; needed at least 200" in reason.text
    assert "1. Please send the photo in its full size" in screening_json(done)["message"]


def test_a_small_copy_of_a_sharp_photo_is_small_and_not_blurred() -> None:
    """Half a pixel of a file of 320 px is six at 12 MP: that is what making it smaller left, and no lens needs to be wiped."""
    with Image.open(SAMPLES / "room3_sheet_beside.jpg") as image:
        small = image.resize((300, 400), Image.Resampling.BOX)
    out = io.BytesIO()
    small.save(out, "JPEG", quality=92)
    done = screen(ScreenRequest("small.jpg", out.getvalue()))

    assert "too-small" in {r.code for r in done.reasons}
    assert "blur" not in {r.code for r in done.reasons}
    message = screening_json(done)["message"]
    assert "send the photo once more" in message
    assert "hold it still" not in message
