"""The textbook method on the same photos: one card's refined corners, one homography, and the true corners of the opening."""

from __future__ import annotations

import cv2
import numpy as np
from PIL import Image, ImageOps

from tests.benchmarks.scene_files import Scene

NOMINAL_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4), "id-1": (85.60, 53.98)}


def textbook_sizes(scene: Scene) -> dict[str, float]:
    """Widths at both ends and heights in mm; nothing where no card of a standard size is in the picture."""
    card = next((c for c in scene.truth["cards"] if c["kind"] in NOMINAL_MM), None)
    if card is None:
        return {}
    with Image.open(scene.photo) as image:
        grey = np.asarray(ImageOps.exif_transpose(image).convert("L"))
    start = np.array(card["corners_px"], dtype=np.float32).reshape(-1, 1, 2)
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 40, 0.001)
    found = cv2.cornerSubPix(grey, start.copy(), (7, 7), (-1, -1), stop).reshape(4, 2)
    w, h = NOMINAL_MM[card["kind"]]
    sides = np.linalg.norm(np.roll(found, -1, axis=0) - found, axis=1)
    if (sides[0] + sides[2] > sides[1] + sides[3]) != (w > h):
        w, h = h, w
    H = cv2.getPerspectiveTransform(found.astype(np.float32), np.array([[0, 0], [w, 0], [w, h], [0, h]], dtype=np.float32))
    corners = np.array(scene.truth["opening"]["corners_px"], dtype=np.float64).reshape(-1, 1, 2)
    bl, br, tr, tl = cv2.perspectiveTransform(corners, H).reshape(4, 2)
    out = {"width_bottom": br - bl, "width_top": tr - tl, "height_left": tl - bl, "height_right": tr - br}
    return {name: float(np.linalg.norm(v)) for name, v in out.items()}
