"""The pictures of the report."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from tests import made
from vision.geometry.camera import Camera
from vision.geometry.lens import bent
from vision.report.drawing import INK, MARKS, WHITE, Canvas, canvas
from vision.report.pictures import _Wall, overlay_jpeg, rectified_png
from vision.report.record import Report

DARK_LEVEL = 140
"""grey level between the made photo's wall (215) and its opening (about 80)"""
RESAMPLING_PX = 2
"""px; an edge between two pixels may fall on either, at both ends"""


def pixels(data: bytes) -> NDArray[np.uint8]:
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))


def dark_run(row: NDArray[np.uint8]) -> int:
    """Length of the longest dark run."""
    best = run = 0
    for value in row.max(axis=-1) < DARK_LEVEL:
        run = run + 1 if value else 0
        best = max(best, run)
    return best


def test_the_seen_picture_is_the_photo_with_its_edges_drawn_in() -> None:
    """Same size as the photo, changed along the walls, untouched where nothing was seen, and without metadata."""
    report = made.ready()
    data = overlay_jpeg(report, 0)
    seen, photo = pixels(data), report.photos[0].pixels
    x, y = made.to_px(0.0, 0.8 * made.HEIGHT_MM)

    assert data[:2] == b"\xff\xd8"
    assert b"Exif" not in data
    assert photo.shape == seen.shape
    assert np.abs(seen[round(y), round(x) - 3 : round(x) + 4].astype(int) - photo[round(y), round(x) + 9]).max() > 60
    assert np.abs(seen[5:20, 5:20].astype(int) - photo[5:20, 5:20]).max() < 4


def test_a_vertical_that_was_followed_is_drawn_in_a_colour_of_its_own() -> None:
    """Orange along the line itself, which the picture without it does not have."""
    report, opening = made.ready(), made.opening()
    line = np.array([(400.0, 620.0), (402.0, 480.0)])
    geometry = replace(opening.photos[0], verticals_px={"plumb line 1": line})
    plain, seen = (
        pixels(overlay_jpeg(replace(report, opening=replace(opening, photos=(one,))), 0)).astype(int)
        for one in (opening.photos[0], geometry)
    )
    changed = np.abs(seen - plain).max(axis=2) > 60
    assert changed[600, 396:406].any()
    red, _, blue = seen[600, 398:405].reshape(-1, 3).T
    assert (red - blue).max() > 80  # nothing else that is drawn is orange


@pytest.mark.parametrize("report", [made.ready(), made.hold(), made.scale_refused(), made.failed()])
def test_the_seen_picture_draws_whatever_there_is(report: Report) -> None:
    """Each kind of report has a picture, also the one without an opening."""
    assert report.photos[0].pixels.shape == pixels(overlay_jpeg(report, 0)).shape


def test_the_seen_picture_does_without_a_view_of_the_wall() -> None:
    """Where only some edges are known and the wall's plane is not, these edges are drawn and no sizes."""
    opening = made.opening()
    geometry = replace(opening.photos[0], H_image_wall=None, edges_px={"left": opening.photos[0].edges_px["left"]})

    assert overlay_jpeg(replace(made.ready(), opening=replace(opening, photos=(geometry,))), 0)


def test_the_photo_itself_is_not_drawn_on() -> None:
    """Drawing leaves the record's pixels as they were."""
    report = made.ready()
    before = report.photos[0].pixels.copy()
    overlay_jpeg(report, 0)

    assert np.array_equal(before, report.photos[0].pixels)


def test_the_rectified_opening_is_to_scale() -> None:
    """At one pixel per millimetre the opening is as wide as its width, and the bar below it is 500 mm long."""
    picture = pixels(rectified_png(made.ready(), 0) or b"")
    middle = picture.shape[1] // 2
    bars = [dark_run(row) for row in picture[-300:, : middle + 100]]

    assert abs(dark_run(picture[1100]) - made.WIDTH_MM) <= RESAMPLING_PX
    assert any(abs(bar - 500) <= RESAMPLING_PX + 2 for bar in bars)
    assert any(abs(bar - 508) <= RESAMPLING_PX + 2 for bar in bars)


def test_a_large_opening_is_drawn_smaller_rather_than_larger() -> None:
    """The rectified picture stays within its bounds whatever the size of the opening."""
    opening = made.opening()
    geometry = opening.photos[0]
    assert geometry.H_image_wall is not None
    far = replace(geometry, H_image_wall=geometry.H_image_wall @ np.diag([0.3, 0.3, 1.0]))
    picture = pixels(rectified_png(replace(made.ready(), opening=replace(opening, photos=(far,))), 0) or b"")

    assert max(picture.shape) < 3400


def test_nothing_to_rectify_is_said_by_none() -> None:
    """Without an opening, without a view of the wall, or seen far too steeply there is no rectified picture."""
    opening = made.opening()
    steep = replace(opening.photos[0], H_image_wall=np.array([[0.01, 0, 120], [0, -0.01, 900], [0, 0, 1.0]]))
    blind = replace(opening.photos[0], H_image_wall=None)

    assert rectified_png(made.failed(), 0) is None
    for geometry in (steep, blind):
        assert rectified_png(replace(made.ready(), opening=replace(opening, photos=(geometry,))), 0) is None


def test_a_refused_scale_gets_no_scale_bar() -> None:
    """Where the millimetres are not known the rectified picture shows shape without a bar."""
    picture = pixels(rectified_png(made.scale_refused(), 0) or b"")

    assert all(abs(dark_run(row) - 500) > RESAMPLING_PX + 2 for row in picture[-300:])


def test_verdicts_differ_by_shape_and_stand_out_from_their_ground() -> None:
    """Three shapes for three verdicts, each at least 3 to 1 in luminance against the white label (WCAG 2.2, 1.4.11)."""

    def luminance(colour: tuple[int, int, int]) -> float:
        linear = [((c / 255 + 0.055) / 1.055) ** 2.4 for c in colour]
        return float(np.dot(linear, (0.2126, 0.7152, 0.0722)))

    assert len(MARKS) == len({shape for shape, _ in MARKS.values()})
    for _, colour in MARKS.values():
        assert (luminance(WHITE) + 0.05) / (luminance(colour) + 0.05) >= 3.0


def test_labels_neither_overlap_nor_leave_the_picture() -> None:
    """Labels asked for at one place, or outside, are put side by side within the picture."""
    sheet = canvas(np.zeros((600, 800, 3), dtype=np.uint8))
    for at in ((400.0, 300.0), (400.0, 300.0), (-50.0, 300.0), (900.0, -40.0)):
        sheet.label(at, ["width top", "1428.0 mm"])

    for a, b in combinations(sheet.taken, 2):
        assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
    assert all(x0 >= 0 and y0 >= 0 and x1 <= 800 and y1 <= 600 for x0, y0, x1, y1 in sheet.taken)


def test_letters_grow_with_the_photo() -> None:
    """A photo of twice the size has letters of twice the size."""
    small, large = (canvas(np.zeros((rows, rows, 3), dtype=np.uint8)) for rows in (1500, 3000))

    assert pytest.approx(large.text_px / small.text_px, rel=0.05) == 2.0  # whole pixels


def test_a_line_lies_on_the_centres_of_its_pixels() -> None:
    """A thin line at x = 20 darkens column 20 most: pixel (0, 0) has its centre at (0, 0)."""
    sheet = Canvas(np.full((40, 40, 3), 255, dtype=np.uint8), unit=1.0)
    sheet.line(np.array([[20.0, 0.0], [20.0, 39.0]]), INK, under=False)

    assert int(sheet.pixels[20, :, 0].argmin()) == 20


def test_what_is_drawn_over_a_bent_photo_ends_at_its_edges() -> None:
    """Through a wide lens sizes end on the adjusted edges, which straight lines would miss by over 10 pixels."""
    straight, camera = made.geometry(), Camera(np.eye(3), np.zeros(3), 900.0, 400.0, 500.0, -0.12, 0.0)
    edges = {name: bent(px, camera) for name, px in straight.edges_px.items()}
    assert straight.H_image_wall is not None
    wall = _Wall(replace(straight, edges_px=edges, camera=camera), straight.H_image_wall)
    assert wall.share(0.0, 0.0) == pytest.approx(edges["left"][0], abs=1e-3)
    assert wall.share(1.0, 0.0) == pytest.approx(edges["right"][0], abs=1e-3)
    assert np.abs(edges["left"][1] - straight.edges_px["left"][1]).max() > 10
