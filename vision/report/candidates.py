"""The photo with the outlines that the program found alone: the one it used, or those to choose from."""

from __future__ import annotations

import io
from itertools import pairwise

import cv2
import numpy as np

from vision.report.drawing import CARD, EDGE, INK, canvas
from vision.report.record import Report

MAX_SIDE_PX = 1600
"""px; enough to see which line a candidate runs along"""
COLOURS = (EDGE, CARD, INK)
"""the best first; they differ by their dashes and numbers too"""


def candidates_png(report: Report, photo_index: int) -> bytes | None:
    """The photo with the outlines numbered at their upper left corners, or None where a person marked it."""
    photo = report.photos[photo_index]
    outline = next((o for o in report.outlines if o.photo == report.number_of(photo_index)), None)
    if outline is None or outline.by == "person":
        return None
    factor = min(1.0, MAX_SIDE_PX / max(photo.width, photo.height))
    size = (round(photo.width * factor), round(photo.height * factor))
    sheet = canvas(np.asarray(cv2.resize(photo.pixels, size, interpolation=cv2.INTER_AREA), dtype=np.uint8))
    drawn = outline.candidates if outline.corners_px is None else (outline.corners_px,)
    for number, corners in reversed(list(enumerate(drawn, start=1))):
        around = (corners[[0, 1, 2, 3, 0]] + 0.5) * factor - 0.5
        for start, end in pairwise(around):
            sheet.line(
                np.stack([start, end]), COLOURS[(number - 1) % len(COLOURS)], width=2.0 if number == 1 else 1.0, dashed=number > 1
            )
        if len(drawn) > 1:
            sheet.number((float(around[3, 0]), float(around[3, 1])), number)
    words = ["outline found by the program: look whether it runs along the opening's edges"]
    if outline.corners_px is None:
        words = ["please mark the corners: the program is not sure", f"in doubt: {outline.doubt}"]
    sheet.label((0.0, float(size[1])), words, free=False)
    out = io.BytesIO()
    sheet.finish().save(out, format="PNG")
    return out.getvalue()
