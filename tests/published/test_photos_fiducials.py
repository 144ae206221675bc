"""A photo of six fiducials on a sheet, with the file that was printed: their places come out as designed.

Outside: /usr/share/doc/opencv-doc/opencv4/html of Debian's `opencv-doc` 4.6.0: singlemarkersoriginal.jpg (640 x 480, 26 mm by its
metadata) and singlemarkerssource.png (2200 x 1700, sides of 200 px). The print's scale is not known (the sheet shows that it is
93 %), so distances are counted in sides.

What this picture cannot carry: a side is 25 to 50 px, and half a pixel of growth of the paper into the black border, which a
sharpened reduction may have, is 1 to 2 % of it. Sides therefore have 0.2 px of own shift: the squared Mahalanobis distance is
0.58 of its 0.999 quantile (2026-11-29); with the 0.1 px of a clean edge it was 1.18 of it. OpenCV's own corners read all sides
small: distances 1.3 % too long, up to 4.7 sd. And the sheet's border, far outside the fiducials, comes out with 46 mm/m of
taper, stated 9: a photo like this is none to measure an opening by, which a whole check of it says (last test).
"""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import chi2

from tests.published.debian import installed
from tests.published.fiducials import Read, adjusted, between, corner_order, demands, found, kind
from vision.geometry.cards import CardSpec
from vision.geometry.look import look
from vision.geometry.measure import measure
from vision.geometry.sizes import propagate, size_functions
from vision.photo.intake import Photo, read_photo
from vision.settings import Settings

FOLDER = "/usr/share/doc/opencv-doc/opencv4/html"
DESIGN_SIDE_PX = 200
SHEET_PX = np.array([[6, 424], [636, 432], [516, 131], [121, 125]], dtype=np.float64)
"""px; rough corners of the sheet in the photo, by eye; the last but one lies under a stone"""


def photo() -> Photo:
    file = installed("opencv-doc", f"{FOLDER}/singlemarkersoriginal.jpg")
    return read_photo(file.name, file.read_bytes(), Settings().intake)


@cache
def design() -> dict[int, NDArray[np.float64]]:
    pixels = cv2.imread(str(installed("opencv-doc", f"{FOLDER}/singlemarkerssource.png")))
    return found(np.asarray(pixels, np.uint8))


@cache
def seen() -> dict[int, NDArray[np.float64]]:
    """Corners in the photo, from bottom-left on as the design has them."""
    there = found(np.ascontiguousarray(photo().pixels[..., ::-1]))
    return {n: there[n][corner_order(c)] for n, c in sorted(design().items())}


@cache
def read() -> Read:
    return adjusted(photo(), SHEET_PX, seen())


def test_all_six_are_in_both_files() -> None:
    """The numbers that OpenCV's documentation shows."""
    assert sorted(design()) == sorted(seen()) == [23, 40, 62, 98, 124, 203]


def test_the_places_are_those_of_the_design_within_their_stated_uncertainty() -> None:
    """Fifteen distances in sides, together by their stated covariance (rank 9: twelve places less a motion), at 0.999."""
    apart, covariance = read().sides_apart
    off = apart - between(np.array([design()[n].mean(axis=0) for n in read().numbers])) / DESIGN_SIDE_PX
    value, vector = np.linalg.eigh(covariance)
    kept = value > 1e-9 * value.max()
    assert int(kept.sum()) == 9
    assert float(np.sum((vector[:, kept].T @ off) ** 2 / value[kept])) < chi2.ppf(0.999, 9)


def test_the_places_are_stated_to_a_percent() -> None:
    """In the mean over the distances: what makes the test above say something."""
    apart, covariance = read().sides_apart
    assert float(np.mean(np.sqrt(np.diag(covariance)) / apart)) < 1 / 100


def test_the_sheet_has_the_proportions_of_its_page() -> None:
    """11 to 8.5, as the design file's 2200 to 1700, within three stated sd."""
    at = {"width_top": 200.0, "width_middle": 100.0, "width_bottom": 0.0}
    sizes = propagate(read().solution, size_functions(at, True, 210.0, False))
    assert sizes.value("width_over_height") == pytest.approx(2200 / 1700, abs=3 * sizes.u("width_over_height"))


def test_a_whole_check_reads_such_small_fiducials_as_they_are_read_here() -> None:
    """Taken for cards they contradict nothing, and the sheet comes out alike to three sd of the difference."""
    stated = [(CardSpec(kind()), corners) for corners in seen().values()]
    looked = look(photo(), [kind()], SHEET_PX, stated, [], number=1, has_head=True, settings=Settings())
    opening = measure([looked], demands(), Settings()).opening
    at = {"width_top": 200.0, "width_middle": 100.0, "width_bottom": 0.0}
    here = propagate(read().solution, size_functions(at, True, 210.0, False))
    assert not any(f.holds and f.code.startswith("card") for f in opening.findings)
    for name in ("width_middle", "height_left", "height_right"):
        apart = opening.quantities.value(name) - here.value(name)
        assert abs(apart) < 3 * float(np.hypot(opening.quantities.u(name), here.u(name))), name
