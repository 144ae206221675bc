"""Faults that move the picture itself, with the truth carried along: cropped, seen askew, by a wider lens; and spoilt references.

What each leaves out stands in its docstring. None can be made of a single photo in which the camera has moved: the side walls
would be seen otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.scene_files import Scene

Pixels = NDArray[np.uint8]
Array = NDArray[np.float64]
MAIN_LENS_MM = 26.0
"""35 mm equivalent, where the truth's focal length is not in the file"""
ROUND_A_CARD_PX = 14
"""px at 12 MP round a reference that are taken with it"""


@dataclass(frozen=True)
class Made:
    """A picture with a fault, and how points of the photo before it (homography `H`, (3, 3), px) lie in it.

    `focal_35mm` is what the file is to state, None for what it stated; `stated_px` the width and height in its EXIF, None for
    its own; `with_metadata` False where nothing is left of it.
    """

    pixels: Pixels
    H: Array
    focal_35mm: int | None = None
    stated_px: tuple[int, int] | None = None
    with_metadata: bool = True

    def at(self, points: Array) -> Array:
        """Points (n, 2) px of the photo in this picture."""
        p = np.column_stack([points, np.ones(len(points))]) @ self.H.T
        return np.asarray(p[:, :2] / p[:, 2:])


Making = Callable[[Pixels, Scene], Made | None]
"""None: this fault cannot be made of this photo"""


def moved(x: float, y: float) -> Array:
    """Homography of a shift."""
    return np.array([[1, 0, x], [0, 1, y], [0, 0, 1.0]])


def scaled(by: float) -> Array:
    """Homography of a resize; (0, 0) is the middle of the first pixel."""
    return np.array([[by, 0, 0.5 * by - 0.5], [0, by, 0.5 * by - 0.5], [0, 0, 1.0]])


def corners_of(scene: Scene) -> Array:
    """True corners (4, 2) px of the opening: bottom-left, bottom-right, top-right, top-left."""
    return np.array(scene.truth["opening"]["corners_px"], dtype=np.float64)


def cards_of(scene: Scene) -> list[Array]:
    """True corners (4, 2) px of each reference."""
    return [np.array(card["corners_px"], dtype=np.float64) for card in scene.truth["cards"]]


def smaller(by: float, *, with_metadata: bool) -> Making:
    """Every pixel of it, `by` times the size; with metadata the file goes on to state the old size, as an editor leaves it."""

    def made(p: Pixels, _: Scene) -> Made:
        out = np.asarray(cv2.resize(p, None, fx=by, fy=by, interpolation=cv2.INTER_AREA), np.uint8)
        return Made(out, scaled(by), None, (p.shape[1], p.shape[0]), with_metadata)

    return made


def cropped(share: float) -> Making:
    """`share` of the width and of the height cut off at the side and at the foot or head that have more room beside the opening
    and its references; the file states the old size, and the lens's axis is no longer in the middle."""

    def made(p: Pixels, scene: Scene) -> Made:
        h, w = p.shape[:2]
        all_of = np.vstack([corners_of(scene), *cards_of(scene)])
        low, high = all_of.min(axis=0), all_of.max(axis=0)
        dx, dy = share * w, share * h / 2
        x0, x1 = (dx, w) if low[0] > w - 1 - high[0] else (0, w - dx)
        y0, y1 = (dy, h) if low[1] > h - 1 - high[1] else (0, h - dy)
        out = np.ascontiguousarray(p[int(y0) : int(y1), int(x0) : int(x1)])
        return Made(out, moved(-int(x0), -int(y0)), None, (w, h))

    return made


def wider(focal_mm: float) -> Making:
    """As a lens of this focal length (35 mm equivalent) would have it from the same place: the picture that much smaller in the
    middle. What lies beyond it is not known and is its border drawn out; nor has it such a lens's distortion."""

    def made(p: Pixels, scene: Scene) -> Made:
        h, w = p.shape[:2]
        f = scene.truth.get("camera", {}).get("f_px")
        own = MAIN_LENS_MM if f is None else float(f) / math.hypot(w, h) * math.hypot(36, 24)
        by = focal_mm / own
        about = np.array([[by, 0, (1 - by) * (w - 1) / 2], [0, by, (1 - by) * (h - 1) / 2], [0, 0, 1.0]])
        soft = np.asarray(cv2.GaussianBlur(p, (0, 0), 0.4 / by), np.uint8) if by < 1 else p
        return Made(_warped(soft, about), about, round(focal_mm))

    return made


def askew(deg: float) -> Making:
    """The opening's plane seen this much further from the side, from as far away: right for the plane's edges and references.

    The side walls, in truth seen otherwise from there, are carried along as if they lay in the plane.
    """

    def made(p: Pixels, scene: Scene) -> Made | None:
        camera = scene.truth.get("camera")
        if camera is None:
            return None
        K = np.array([[camera["f_px"], 0, camera["cx"]], [0, camera["f_px"], camera["cy"]], [0, 0, 1.0]])
        R, place = np.array(camera["rotation"]).T, np.array(camera["position_mm"])
        middle = np.append(np.array(scene.truth["opening"]["corners_mm"]).mean(axis=0), 0.0)
        turn = math.radians(deg) * (1.0 if place[0] >= middle[0] else -1.0)
        about = np.array([[math.cos(turn), 0, math.sin(turn)], [0, 1, 0], [-math.sin(turn), 0, math.cos(turn)]])
        there, its = middle + about @ (place - middle), R @ about.T
        before, after = _plane_seen(K, R, place), _plane_seen(K, its, there)
        H = after @ np.linalg.inv(before)
        H = H / H[2, 2]
        return Made(_warped(p, H), H)

    return made


def _plane_seen(K: Array, R: Array, place: Array) -> Array:
    """Homography (3, 3) from the plane z = 0 (mm) to the picture; R (3, 3) turns world into camera."""
    return np.asarray(K @ np.column_stack([R[:, 0], R[:, 1], -R @ place]))


def _warped(p: Pixels, H: Array) -> Pixels:
    size = (p.shape[1], p.shape[0])
    return np.asarray(cv2.warpPerspective(p, H, size, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE), np.uint8)


def without(p: Pixels, cards: list[Array]) -> Pixels:
    """References painted over with what surrounds them."""
    mask = np.zeros(p.shape[:2], np.uint8)
    for card in cards:
        cv2.fillConvexPoly(mask, np.round(card).astype(np.int32), 255)
    mask = np.asarray(cv2.dilate(mask, np.ones((31, 31), np.uint8)), np.uint8)
    third = (p.shape[1] // 6, p.shape[0] // 6)  # the filling is smooth: made small, where it is quick
    small = cv2.inpaint(cv2.resize(p, third), cv2.resize(mask, third, interpolation=cv2.INTER_NEAREST), 5, cv2.INPAINT_TELEA)
    return np.where(mask[..., None] > 0, cv2.resize(small, (p.shape[1], p.shape[0])), p).astype(np.uint8)


def no_reference(p: Pixels, scene: Scene) -> Made:
    """All of them painted over."""
    return Made(without(p, cards_of(scene)), np.eye(3))


def reference_cut(p: Pixels, scene: Scene) -> Made:
    """One reference left, and the picture ends in the middle of it: cropped, with metadata that state the new size."""
    cards = sorted(cards_of(scene), key=lambda c: abs(float(c[:, 0].mean()) - p.shape[1] / 2))
    out, x = without(p, cards[:-1]), int(cards[-1][:, 0].mean())
    left = x < corners_of(scene)[:, 0].mean()
    part = out[:, x:] if left else out[:, :x]
    return Made(np.ascontiguousarray(part), moved(-x if left else 0, 0))


def reference_bent(share: float) -> Making:
    """Every reference with its middle pushed aside by `share` of its longer side, as a curled sheet seen from aside.

    Its light is that of a flat one.
    """

    def made(p: Pixels, scene: Scene) -> Made:
        out = p.copy()
        for card in cards_of(scene):
            pad = ROUND_A_CARD_PX + float(np.ptp(card, axis=0).max()) * share
            (x0, y0), (x1, y1) = np.floor(card.min(axis=0) - 3 * pad), np.ceil(card.max(axis=0) + 3 * pad)
            x0, y0, x1, y1 = max(x0, 0), max(y0, 0), min(x1, p.shape[1] - 1), min(y1, p.shape[0] - 1)
            x, y = np.meshgrid(np.arange(x0, x1 + 1), np.arange(y0, y1 + 1))
            middle, size = card.mean(axis=0), np.ptp(card, axis=0)
            tall = size[1] > size[0]
            along, across = (y - middle[1], x - middle[0]) if tall else (x - middle[0], y - middle[1])
            length, width = (size[1], size[0]) if tall else (size[0], size[1])
            bow = share * length * np.clip(1 - (2 * along / length) ** 2, 0, 1)
            bow *= np.clip((width / 2 + 3 * pad - np.abs(across)) / (2 * pad), 0, 1)
            at = (x - bow, y) if tall else (x, y - bow)
            bent = cv2.remap(p, at[0].astype(np.float32), at[1].astype(np.float32), cv2.INTER_CUBIC)
            out[int(y0) : int(y1) + 1, int(x0) : int(x1) + 1] = bent
        return Made(out, np.eye(3))

    return made


def reference_inside(by: float) -> Making:
    """The largest reference alone, on the back wall: in the middle of the opening, `by` times the size, being further away.

    Its light is that of where it was.
    """

    def made(p: Pixels, scene: Scene) -> Made:
        cards = sorted(cards_of(scene), key=lambda c: float(np.ptp(c, axis=0).prod()))
        card, out = cards[-1], without(p, cards)
        middle, to = card.mean(axis=0), corners_of(scene).mean(axis=0)
        H = moved(*to) @ np.diag([by, by, 1.0]) @ moved(*-middle)
        mask = np.zeros(p.shape[:2], np.uint8)
        cv2.fillConvexPoly(mask, np.round(card).astype(np.int32), 255)
        patch, there = _warped(p, H), _warped(mask, H)
        return Made(np.where(there[..., None] > 127, patch, out).astype(np.uint8), np.eye(3))

    return made
