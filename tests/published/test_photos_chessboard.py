"""Thirteen photos of a chessboard: a block of cells predicts the rest of the board, with the lens term and not without.

Outside: /usr/share/doc/opencv-doc/examples/data of Debian's `opencv-doc` 4.6.0, left01.jpg to left14.jpg (640 x 480, 9 x 6 inner
corners) and left_intrinsics.yml beside them, OpenCV's own calibration of that camera: focal length 535.9 px, principal point
(342.3, 235.6) px, k1 = -0.27. Focal length and principal point are taken from there with the sd that the settings give to what
metadata say; the lens term is left to the adjustment, whose prior of 0.01 must give way (to the settings' 0.10).

Corners are OpenCV's cornerSubPix. Found on 2026-11-29 over all photos and blocks: the squared Mahalanobis distance of the seven
sizes is at most 0.52 of its 0.999 quantile, the cost at most 0.75; without a lens term they are at least 8.7 and 5.0 times
those quantiles. Root mean square score by block: 0.90, 0.71, 0.77, 1.19.

Where the camera is not known (35 mm default, +-25 %) single views leave focal length and lens to each other, and sizes are worse
than stated in some: the principal point of this camera is 22 px off the middle, seven sd of a phone's, and lines of a single
small block do not show it.
"""

from __future__ import annotations

import math
from functools import cache

import cv2
import numpy as np
import pytest

from tests.published.boards import Block, Grid, Predicted, noticed, predicted, upright
from tests.published.debian import installed
from vision.geometry.camera import CameraPrior
from vision.settings import Settings

FOLDER = "/usr/share/doc/opencv-doc/examples/data"
PICTURES = tuple(f"left{n:02d}.jpg" for n in range(1, 15) if n != 10)
"""there is no tenth"""
COLUMNS, ROWS = 9, 6
BLOCKS = {"middle": Block(2, 1, 4, 3), "left foot": Block(0, 0, 4, 3), "right top": Block(4, 2, 4, 3), "small": Block(3, 2, 2, 2)}
FINE = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 50, 1e-3)
"""iterations and px at which cornerSubPix stops"""


def camera() -> CameraPrior:
    """The package's own calibration, with the settings' uncertainties."""
    published = cv2.FileStorage(str(installed("opencv-doc", f"{FOLDER}/left_intrinsics.yml")), cv2.FILE_STORAGE_READ)
    K = published.getNode("camera_matrix").mat()
    width, height = (published.getNode(f"image_{side}").real() for side in ("width", "height"))
    known = Settings().camera
    centre_sd = known.principal_point_sd_px * math.hypot(width, height) / known.reference_diagonal_px
    return CameraPrior(K[0, 0], known.focal_sd_with_metadata, K[0, 2], K[1, 2], centre_sd, known.k1_sd, known.k2_sd, True)


@cache
def grid(picture: str) -> Grid:
    pixels = cv2.imread(str(installed("opencv-doc", f"{FOLDER}/{picture}")), cv2.IMREAD_GRAYSCALE)
    assert pixels is not None
    found, corners = cv2.findChessboardCorners(pixels, (COLUMNS, ROWS))
    assert found
    fine = cv2.cornerSubPix(pixels, corners, (5, 5), (-1, -1), FINE)
    crossings = upright(fine.reshape(ROWS, COLUMNS, 2).astype(np.float64))
    return Grid(crossings, pixels.shape[1], pixels.shape[0], camera())


@cache
def board(picture: str, block: str, lens: bool = True) -> Predicted:
    return predicted(grid(picture), BLOCKS[block], lens=lens)


@pytest.mark.parametrize("block", BLOCKS)
@pytest.mark.parametrize("picture", PICTURES)
def test_a_block_of_cells_predicts_the_board_within_its_stated_uncertainty(picture: str, block: str) -> None:
    """All seven sizes together, by their stated covariance, and the points fit, both at 0.999."""
    assert board(picture, block).distance_share < 1
    assert board(picture, block).misfit_share < 1


@pytest.mark.parametrize("picture", PICTURES)
def test_without_a_lens_term_the_misfit_is_noticed(picture: str) -> None:
    """The board does not fit, its sizes are wrong, and a check would let the lens prior give way."""
    assert board(picture, "middle", False).misfit_share > 1
    assert board(picture, "middle", False).distance_share > 1
    assert noticed(grid(picture), BLOCKS["middle"])


@pytest.mark.parametrize("block", BLOCKS)
def test_the_stated_uncertainty_is_not_idle(block: str) -> None:
    """Root mean square score over a quarter: one camera and one board, so no tighter limit follows from their number."""
    scores = np.array([board(p, block).scores for p in PICTURES])
    assert float(np.sqrt(np.mean(scores**2))) > 0.25


def test_a_block_predicts_the_board_to_a_third_of_a_percent() -> None:
    """Stated for the middle block, in the mean over sizes and photos: what makes the tests above say something."""
    stated = [board(p, "middle").sizes for p in PICTURES]
    assert float(np.mean([s.sd / s.mean for s in stated])) < 1 / 300
