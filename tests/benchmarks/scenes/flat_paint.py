"""Pictures of the flat rooms: inverse mapping with samples averaged in linear light, then development.

Written by an outside checker: imports nothing of the program, nothing of the other scene scripts. Lengths in mm, pixels with
(0, 0) the centre of the top-left pixel; wall plane z = 0, x right, y up, z toward the camera.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.scenes.flat_finish import A, Finish, Patch

SAMPLES, ROWS = 4, 192


@dataclass(frozen=True)
class Look:
    """What is in the picture besides geometry."""

    wall: Finish
    inside: Finish
    floor: Finish
    front: Finish
    sill: Finish
    depth: float
    curb_height: float
    sill_depth: float
    drop: float
    cap: float
    faces: dict[str, float]
    light: Callable[[A, A], A]
    arris: tuple[float, float]
    seam: tuple[float, float]
    trim: float
    trim_rgb: tuple[float, float, float]
    back_light: float = 0.0
    patches: list[Patch] = field(default_factory=list)
    deep: list[Patch] = field(default_factory=list)
    string: tuple[float, float, float, float, float] | None = None
    tint: tuple[float, float, float] = (1.0, 1.0, 1.0)
    noise_sd: float = 0.004
    blur_px: float = 0.8
    vignette: float = 0.2
    sharpen: float = 0.4
    gain: float = 1.0


def surface(look: Look, opening: Any, pos: A, d: A) -> A:
    """Linear light for rays from `pos` along `d` (n, 3), shape (n, 3)."""
    t = -pos[2] / np.minimum(d[:, 2], -1e-4)
    x, y = pos[0] + t * d[:, 0], pos[1] + t * d[:, 1]
    out_by = opening.outside(x, y)
    rgb = np.zeros((len(x), 3), np.float32)
    inner = out_by < 0
    rgb[inner] = _alcove(look, opening, x[inner], y[inner], d[inner])
    face = ~inner
    rgb[face] = _face(look, opening, x[face], y[face], out_by[face])
    low = face & (y < -look.curb_height)
    if low.any():
        s = (-look.curb_height - pos[1]) / d[low, 1]
        fx, fz = pos[0] + s * d[low, 0], pos[2] + s * d[low, 2]
        rgb[low] = look.floor.at(fx, fz) * (look.faces["floor"] * (1 - 0.4 * np.exp(-fz / 40)))[:, None]
    for patch in look.patches:
        _paste(rgb, patch, pos, d, face, look.light, -look.curb_height)
    if look.string is not None:
        x0, lean, y0, y1, half = look.string
        on = inner & (np.abs(x - x0 - lean * (y - y0)) < half) & (y > y0) & (y < y1)
        bob = inner & (np.hypot(x - x0, (y - y0 + 22) / 2) < 11)
        rgb[on | bob] = np.float32(look.trim_rgb if look.trim < 0 else (0.03, 0.03, 0.035))
    return rgb


def _paste(rgb: A, patch: Patch, pos: A, d: A, where: NDArray[np.bool_], light: Callable[[A, A], A], floor: float = -1e9) -> None:
    t = (patch.z - pos[2]) / np.minimum(d[:, 2], -1e-4)
    x, y = pos[0] + t * d[:, 0], pos[1] + t * d[:, 1]
    reach = float(np.hypot(*patch.half)) + 3 * patch.proud + 12
    near = np.flatnonzero(where & (y > floor) & (np.abs(x - patch.centre[0]) < reach) & (np.abs(y - patch.centre[1]) < reach))
    if not len(near):
        return
    u, v = patch.local(x[near], y[near])
    shadow = patch.distance(u - np.float32(0.8 * patch.proud), v + np.float32(1.1 * patch.proud))
    rgb[near] *= (1 - patch.shade / (1 + np.exp(np.clip(shadow / (0.25 + 0.3 * patch.proud), -30, 30))))[:, None]
    on = patch.distance(u, v) < 0
    rgb[near[on]] = patch.colour(u[on], v[on]) * light(x[near[on]], y[near[on]])[:, None]


def _face(look: Look, opening: Any, x: A, y: A, out_by: A) -> A:
    rgb = look.wall.at(x, y)
    left, right = opening.left(y), opening.right(y)
    below = (y < opening.curb(x)) & (x > left) & (x < right)
    if below.any():
        front = look.front.at(x[below], y[below])
        cap = opening.curb(x[below]) - y[below] < look.cap
        rgb[below] = np.where(cap[:, None], look.sill.at(x[below], y[below]), front) * np.float32(look.faces["front"])
    side = ~below & (y > opening.curb(x))
    rgb[side & (out_by < look.trim)] = np.float32(look.trim_rgb)
    rgb[(out_by < look.arris[0]) & side] *= np.float32(look.arris[1])
    return rgb * look.light(x, y)[:, None]


def _alcove(look: Look, opening: Any, x: A, y: A, d: A) -> A:
    dx, dy = d[:, 0] / -d[:, 2], d[:, 1] / -d[:, 2]
    far = np.float32(1e9)

    def reach(gap: A, speed: A) -> A:
        return np.where(speed > 1e-6, gap / np.maximum(speed, 1e-6), far)

    ml, mr, mc, mh = (np.float32(m) for m in opening.slopes())
    s = {
        "left": reach(x - opening.left(y), ml * dy - dx),
        "right": reach(opening.right(y) - x, dx - mr * dy),
        "sill": reach(y - opening.curb(x), mc * dx - dy),
        "head": reach(opening.top(x) - y, dy - mh * dx),
        "back": np.full_like(x, look.depth),
    }
    pan = np.where(dy < -1e-6, (y + look.drop) / np.maximum(-dy, 1e-6), far)
    s["sill"], s["pan"] = np.where(s["sill"] > look.sill_depth, far, s["sill"]), pan
    names = list(s)
    stack = np.stack([s[n] for n in names])
    which, depth = stack.argmin(0), stack.min(0)
    px, py = x + depth * dx, y + depth * dy
    rgb = np.empty((len(x), 3), np.float32)
    for k, name in enumerate(names):
        on = which == k
        if not on.any():
            continue
        u, v, finish = px[on], py[on], look.inside
        if name in ("left", "right"):
            u = depth[on]
        elif name in ("sill", "head", "pan"):
            v = depth[on]
            finish = {"sill": look.sill, "pan": look.floor, "head": look.inside}[name]
        shade = (
            look.faces[name] * (1 - 0.25 * np.exp(-(look.depth - depth[on] + 30) / 90))
            if name != "back"
            else _back(look, opening, u, v)
        )
        rgb[on] = finish.at(u, v) * np.asarray(shade, np.float32)[:, None]
        if name == "back" and look.back_light:
            rgb[on] = np.float32((0.9, 1.0, 1.1)) * look.back_light
        if name != "back":
            rgb[on] *= np.where(depth[on] < look.seam[0], np.float32(look.seam[1]), np.float32(1))[:, None]
    back = which == names.index("back")
    for patch in look.deep:
        at = np.stack([x - patch.z * dx, y - patch.z * dy, np.full_like(x, patch.z)], 1)
        _paste(rgb, patch, np.zeros(3, np.float32), at, back, lambda u, v: np.full_like(u, look.faces["back"]))
    return rgb


def _back(look: Look, opening: Any, u: A, v: A) -> A:
    wall = np.minimum(u - opening.left(v), opening.right(v) - u)
    return np.asarray(
        look.faces["back"] * (1 - 0.3 * np.exp(-np.maximum(wall, 0) / 90)) * (1 + 0.1 * np.sin(v / 700)), np.float32
    )


def render(look: Look, opening: Any, camera: Any, size: tuple[int, int], seed: int) -> NDArray[np.uint8]:
    """The developed photo, sRGB (h, w, 3): every pixel the mean of scattered samples in linear light."""
    rng, (w, h) = np.random.default_rng(seed), size
    light = np.zeros((h, w, 3), np.float32)
    for top in range(0, h, ROWS):
        rows = np.arange(top, min(top + ROWS, h), dtype=np.float32)
        gx, gy = (g.ravel() for g in np.meshgrid(np.arange(w, dtype=np.float32), rows))
        total = np.zeros((len(gx), 3), np.float32)
        for k in range(SAMPLES):
            sx = gx - 0.5 + ((2, 0, 3, 1)[k] + rng.random(len(gx), np.float32)) / SAMPLES
            sy = gy - 0.5 + (k + rng.random(len(gx), np.float32)) / SAMPLES
            total += surface(look, opening, camera.position.astype(np.float32), camera.rays(sx, sy))
        light[top : top + len(rows)] = (total / SAMPLES).reshape(len(rows), w, 3)
    return develop(light, look, rng)


def develop(light: A, look: Look, rng: np.random.Generator) -> NDArray[np.uint8]:
    """Blur, fall-off, noise, exposure, tone curve, sharpening."""
    h, w = light.shape[:2]
    light = cv2.GaussianBlur(light, (0, 0), look.blur_px)
    yy, xx = np.mgrid[0:h, 0:w].astype(np.float32)
    fall = 1 - look.vignette * (((xx - w / 2) ** 2 + (yy - h / 2) ** 2) / ((w**2 + h**2) / 4))
    light *= (fall * look.gain)[..., None] * np.float32(look.tint)
    light += rng.standard_normal(light.shape, np.float32) * look.noise_sd * np.sqrt(np.maximum(light, 0) + 0.02)
    light = np.clip(light, 0, 1)
    grey = np.where(light < 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    grey += look.sharpen * (grey - cv2.GaussianBlur(grey, (0, 0), 1.1))
    return np.asarray(np.clip(grey * 255 + 0.5, 0, 255), np.uint8)
