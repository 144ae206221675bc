"""The picture of both walls' shape."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
from PIL import Image

from tests import made
from vision.geometry.opening import WallShape
from vision.report.drawing import EDGE
from vision.report.wall_plot import BAND, CENTRES_PX, SIZE_PX, walls_png

TICK_PX = 80.0
"""px; two fifths of a panel's half width"""


def drawn(shapes: dict[str, WallShape]) -> np.ndarray:
    data = walls_png(replace(made.ready(), opening=replace(made.opening(), wall_shapes=shapes)))
    assert data is not None
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))


def columns(pixels: np.ndarray, row: int, colour: tuple[int, int, int], side: str) -> np.ndarray:
    """Columns of one wall's half of the picture that have this colour in this row."""
    half = slice(0, SIZE_PX[0] // 2) if side == "left" else slice(SIZE_PX[0] // 2, SIZE_PX[0])
    return np.flatnonzero(np.all(pixels[row, half] == colour, axis=-1)) + (half.start or 0)


def test_a_wall_that_bows_into_the_opening_is_drawn_toward_it() -> None:
    """The left wall to the right, the right wall to the left, by the bow on the scale of the ticks, with its band."""
    tau = np.linspace(0, 1, 25)
    shape = WallShape(2000 * tau, 10 * 4 * tau * (1 - tau), 2.0 * np.sqrt(tau), "plumb")
    pixels = drawn({"left": shape, "right": shape})
    row = 500  # half way up: 120 px are left above and below
    for side, sign in (("left", 1), ("right", -1)):
        x = float(np.mean(columns(pixels, row, EDGE, side)))
        band = columns(pixels, row, BAND, side)
        assert abs(x - (CENTRES_PX[side] + sign * 10 * TICK_PX / 10)) < 2
        assert abs((band.max() - band.min()) - 2 * 1.96 * 2.0 * 0.5**0.5 * TICK_PX / 10) < 4


def test_the_heights_of_the_three_widths_are_marked() -> None:
    """One dashed line for each, at each wall."""
    pixels = drawn({side: made.wall_shape(0.5, 1.0) for side in ("left", "right")})
    for side in ("left", "right"):
        half = pixels[:, : SIZE_PX[0] // 2] if side == "left" else pixels[:, SIZE_PX[0] // 2 :]
        reddish = np.sum(half[..., 0].astype(int) - half[..., 2] > 60, axis=1) > 60
        assert int(np.sum(reddish[1:] & ~reddish[:-1])) == 3


def test_without_a_shape_there_is_no_picture() -> None:
    """Nor where the scale is refused or nothing could be measured."""
    assert walls_png(replace(made.ready(), opening=replace(made.opening(), wall_shapes={}))) is None
    assert walls_png(made.scale_refused()) is None
    assert walls_png(made.failed()) is None
