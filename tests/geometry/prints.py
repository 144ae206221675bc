"""Our printed frames put into painted photos: the PDF is rendered by another program (poppler) and pasted by a homography."""

from __future__ import annotations

import math
import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from vision.report.printed_card import PAPERS, frames_of, print_card

Array = NDArray[np.float64]
DPI = 300
RIM_MM = 9.5
"""of the paper round a frame that is shown; the PDF leaves 10"""
PAPER, INK = 0.92, 0.03
"""linear light"""


@dataclass(frozen=True)
class Print:
    """A printed frame on the wall: kind, its number on the page, place of its centre and turn, and the printer's scale."""

    kind: str
    number: int
    centre: tuple[float, float]
    turn_deg: float = 0.0
    scale: tuple[float, float] = (1.0, 1.0)
    paper: str = "a4"

    def frame_mm(self, rim: float = 0.0) -> Array:
        """Corners on the wall, (4, 2): bottom-left, bottom-right, top-right, top-left of the frame itself, `rim` wider."""
        kind = frames_of(self.kind, self.paper)[0].kind
        a, b = kind.width_mm + 2 * rim, kind.height_mm + 2 * rim
        local = np.array([(-a, -b), (a, -b), (a, b), (-a, b)]) / 2 * self.scale
        c, s = math.cos(math.radians(self.turn_deg)), math.sin(math.radians(self.turn_deg))
        return np.asarray(local @ np.array([[c, s], [-s, c]]) + self.centre)

    def paper_mm(self) -> Array:
        """Corners of the paper round it."""
        return self.frame_mm(RIM_MM)


@cache
def page_pixels(paper: str, kind: str, dpi: int = DPI) -> NDArray[np.uint8]:
    """A page of the PDF as grey pixels; skips the test where the renderer is not there."""
    if shutil.which("pdftoppm") is None:
        pytest.skip("needs Debian package poppler-utils")
    with tempfile.TemporaryDirectory() as folder:
        pdf, out = Path(folder) / "card.pdf", Path(folder) / "page"
        pdf.write_bytes(print_card(paper, "large" if kind == "sheet" else "four"))
        subprocess.run(["pdftoppm", "-r", str(dpi), "-gray", "-singlefile", str(pdf), str(out)], check=True)
        return np.asarray(cv2.imread(str(out.with_suffix(".pgm")), cv2.IMREAD_GRAYSCALE), dtype=np.uint8)


def paste(fine: NDArray[np.float32], one: Print, homography: Array, factor: int) -> None:
    """The print into a picture `factor` times as fine as the photo whose wall-to-pixel homography is given."""
    page = page_pixels(one.paper, one.kind)
    frame = {f.number: f for f in frames_of(one.kind, one.paper)}[one.number]
    px = DPI / 25.4
    x0, y0 = frame.x - RIM_MM, PAPERS[one.paper][1] - frame.y - frame.kind.height_mm - RIM_MM
    x1, y1 = x0 + frame.kind.width_mm + 2 * RIM_MM, y0 + frame.kind.height_mm + 2 * RIM_MM
    corners = one.paper_mm()
    q = np.column_stack([corners, np.ones(4)]) @ homography.T
    photo = (q[:, :2] / q[:, 2:] + 0.5) * factor - 0.5
    density = float(np.linalg.norm(photo[1] - photo[0])) / (x1 - x0)
    less = max(int(px / density / 2), 1)
    whole = page[: page.shape[0] // less * less, : page.shape[1] // less * less].astype(np.float32)
    small = whole.reshape(whole.shape[0] // less, less, whole.shape[1] // less, less).mean(axis=(1, 3))
    px /= less
    own = np.array([(x0, y1), (x1, y1), (x1, y0), (x0, y0)]) * px - 0.5
    H = cv2.getPerspectiveTransform(own.astype(np.float32), photo.astype(np.float32))
    size = (fine.shape[1], fine.shape[0])
    value = cv2.warpPerspective(small / 255, H, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    inside = np.zeros(fine.shape[:2], np.uint8)
    cv2.fillConvexPoly(inside, np.round(photo).astype(np.int32), 1)
    inside = cv2.erode(inside, np.ones((3, 3), np.uint8))
    light = (INK + (PAPER - INK) * np.asarray(value))[..., None]
    fine[inside > 0] = np.broadcast_to(light, fine.shape)[inside > 0]
