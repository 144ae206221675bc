"""What a screening says: each number with what it is, nothing that contradicts another line, nothing that was not seen."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.benchmarks.scene_files import Scene
from vision.check import AGAIN, ScreenRequest, screen, screening_json
from vision.errors import CannotMeasure
from vision.geometry.camera import camera_prior
from vision.geometry.edge_shape import MOST_FITTED_BLUR_PX
from vision.geometry.edges import EdgePoints
from vision.geometry.look import Look
from vision.geometry.seeing import require_sharp
from vision.settings import Settings

ROOT = Path(__file__).resolve().parents[1]


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
