"""A painted alcove in three dimensions: wall face, side walls, soffit, back wall, curb or tub, floor; what may stand in it."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.camera import Camera, rotation
from vision.photo.intake import Photo

Colour = tuple[int, int, int]
Array = NDArray[np.float64]
SIZE = (1512, 2016)
"""px; width and height, an upright 3 megapixel photo"""
FOCAL_PX = 1450.0
FOCAL_35MM = 24.9
"""mm; FOCAL_PX over the diagonal of 2520 px, times 43.27 mm"""
DEEP_MM, CURB_MM, FLOOR_MM = 900.0, 110.0, -120.0
"""mm; the alcove, its curb's top, and the room's floor under the curb's edge"""


@dataclass(frozen=True)
class Alcove:
    """What is painted. `tub`: the room's floor lies 500 mm under the edge; `frame`, `rod` and `cap`
    (the upper part of the curb's front, as light as its top in its own shade) are thicknesses in mm (0: none).
    `eye`: where the camera stands, 0 at the left wall and 1 at the right one."""

    width_mm: float = 900.0
    height_mm: float = 1950.0
    face: Colour = (176, 170, 160)
    side: Colour = (120, 140, 150)
    back: Colour = (150, 165, 170)
    soffit: Colour = (95, 92, 90)
    curb_top: Colour = (215, 212, 208)
    curb: Colour = (150, 148, 150)
    floor: Colour = (110, 85, 70)
    head: bool = True
    tub: bool = False
    frame_mm: float = 0.0
    rod_mm: float = 0.0
    cap_mm: float = 0.0
    deep_mm: float = DEEP_MM
    eye: float = 0.45
    turn_deg: tuple[float, float, float] = (7.0, -4.0, 0.6)
    noise: float = 2.0


def camera_of(alcove: Alcove) -> Camera:
    """A phone held by hand at breast height, 2.6 m before the wall."""
    pitch, yaw, roll = np.deg2rad(alcove.turn_deg)
    R = (
        rotation(np.array([pitch, 0, 0]))
        @ rotation(np.array([0, yaw, 0]))
        @ rotation(np.array([0, 0, roll]))
        @ np.diag([1.0, -1.0, -1.0])
    )
    centre = np.array([alcove.eye * alcove.width_mm, 1150.0, 2600.0])
    return Camera(R, -R @ centre, FOCAL_PX, (SIZE[0] - 1) / 2, (SIZE[1] - 1) / 2, 0.0, 0.0)


def true_corners(alcove: Alcove) -> Array:
    """Bottom-left, bottom-right, top-right, top-left (4, 2) px; without a head at the stated height."""
    w, h = alcove.width_mm, alcove.height_mm
    return camera_of(alcove).project(np.array([[0, 0, 0], [w, 0, 0], [w, h, 0], [0, h, 0.0]]))


def photo_of(alcove: Alcove, seed: int = 1) -> Photo:
    """The painted photo, with its focal length."""
    pixels = np.empty((SIZE[1], SIZE[0], 3), np.uint8)
    pixels[:] = alcove.face
    camera = camera_of(alcove)
    for corners, colour in _surfaces(alcove):
        points = np.round(camera.project(np.array(corners, dtype=np.float64)) * 16).astype(np.int32)
        cv2.fillPoly(pixels, [points], colour, cv2.LINE_AA, 4)
    soft = cv2.GaussianBlur(pixels, (0, 0), 0.8).astype(np.float64)
    grain = np.random.default_rng(seed).normal(0.0, alcove.noise, soft.shape)
    return Photo("alcove.jpg", "0", np.clip(np.round(soft + grain), 0, 255).astype(np.uint8), FOCAL_35MM)


def _surfaces(a: Alcove) -> list[tuple[list[tuple[float, float, float]], Colour]]:
    """Everything but the wall face, the farthest first."""
    w, h, d = a.width_mm, a.height_mm if a.head else 2600.0, a.deep_mm
    under = -500.0 if a.tub else FLOOR_MM
    inside = under + 60.0
    out: list[tuple[list[tuple[float, float, float]], Colour]] = [
        ([(-2500, under, 0), (3400, under, 0), (3400, under, 1500), (-2500, under, 1500)], a.floor),
        ([(0, inside, -d), (w, inside, -d), (w, h, -d), (0, h, -d)], a.back),
        ([(0, inside, 0), (0, inside, -d), (0, h, -d), (0, h, 0)], a.side),
        ([(w, inside, 0), (w, inside, -d), (w, h, -d), (w, h, 0)], a.side),
        ([(0, inside, 0), (w, inside, 0), (w, inside, -d), (0, inside, -d)], a.floor),
        ([(0, h, 0), (w, h, 0), (w, h, -d), (0, h, -d)], a.soffit),
        ([(0, 0, 0), (w, 0, 0), (w, 0, -CURB_MM), (0, 0, -CURB_MM)], a.curb_top),
        ([(0, under, 0), (w, under, 0), (w, 0, 0), (0, 0, 0)], a.curb),
    ]
    if a.cap_mm:
        front = [(0.0, -a.cap_mm, 0.0), (w, -a.cap_mm, 0.0), (w, 0.0, 0.0), (0.0, 0.0, 0.0)]
        out.append((front, (int(0.86 * a.curb_top[0]), int(0.86 * a.curb_top[1]), int(0.86 * a.curb_top[2]))))
    if a.frame_mm:
        t = a.frame_mm
        for x0, x1, y0, y1 in ((0.0, t, 0.0, h), (w - t, w, 0.0, h), (0.0, w, h - t, h)):
            out.append(([(x0, y0, 0), (x1, y0, 0), (x1, y1, 0), (x0, y1, 0)], (205, 205, 200)))
    if a.rod_mm:
        y = h - 120.0
        out.append(([(0, y, -30), (w, y, -30), (w, y + a.rod_mm, -30), (0, y + a.rod_mm, -30)], (235, 235, 235)))
    return out
