"""The photo on the order sheet: reduced, with the edges that were found and the numbered cards; the sizes are in the drawing."""

from __future__ import annotations

import io
from dataclasses import dataclass

import cv2
import numpy as np

from vision.report.drawing import CARD, EDGE, Canvas
from vision.report.record import Report

LONG_SIDE_PX = 900
"""px; printed 90 mm high this is 250 px per inch"""
JPEG_QUALITY = 85
UNIT = 1.6
"""px; width of a thin line, wide enough for print"""

FOUND = "Photo with the edges and numbered cards that were found"
NOTHING_FOUND = "Photo as it came; no opening was measured in it"


@dataclass(frozen=True)
class SheetPhoto:
    """A JPEG, its size in pixels, and what it shows."""

    jpeg: bytes
    width: int
    height: int
    caption: str


def sheet_photo(report: Report) -> SheetPhoto | None:
    """The first photo that was measured (else the first one that decodes), or None without any."""
    if not report.photos:
        return None
    seen = [report.geometry_of(i) for i in range(len(report.photos))]
    index = next((i for i, one in enumerate(seen) if one is not None and one.edges_px), 0)
    geometry = seen[index]
    pixels = report.photos[index].pixels
    rows, columns = pixels.shape[:2]
    k = min(1.0, LONG_SIDE_PX / max(rows, columns))
    size = (max(1, round(columns * k)), max(1, round(rows * k)))
    sheet = Canvas(np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), dtype=np.uint8), UNIT)
    if geometry is not None:
        for edge in geometry.edges_px.values():
            sheet.line((edge + 0.5) * k - 0.5, EDGE)
    for card in report.cards:
        if card.photo == report.number_of(index):
            corners = (np.asarray(card.corners_px, dtype=np.float64) + 0.5) * k - 0.5
            sheet.line(np.vstack([corners, corners[:1]]), CARD, dashed=not card.used)
            x, y = corners.mean(axis=0)
            sheet.number((float(x), float(y)), card.number)
    out = io.BytesIO()
    sheet.finish().save(out, format="JPEG", quality=JPEG_QUALITY)
    found = geometry is not None and bool(geometry.edges_px)
    return SheetPhoto(out.getvalue(), *size, FOUND if found else NOTHING_FOUND)
