"""Materials of the thirteenth family: tiles, paint, paper, boards, stone, brick, glass block, cloth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import mitsuba as mi
import numpy as np

from sample_images.studio.surfaces import Surface

from . import thirteenth_patterns as patterns
from .thirteenth_patterns import Array, Laid, noise

RGB = tuple[float, float, float]
BONDS: dict[str, tuple[Callable[..., Laid], float, bool]] = {
    "stack": (patterns.rows, 0.0, False),
    "half": (patterns.rows, 0.5, False),
    "third": (patterns.rows, 1 / 3, False),
    "random": (patterns.rows, -1.0, False),
    "stack on end": (patterns.rows, 0.0, True),
    "half on end": (patterns.rows, 0.5, True),
    "herringbone": (patterns.herringbone, 0.0, False),
    "basket": (patterns.basket, 0.0, False),
    "basket of three": (patterns.basket, 0.5, False),
    "hexagon": (patterns.hexagons, 0.0, False),
    "penny": (patterns.hexagons, 0.5, False),
    "diagonal": (patterns.diagonal, 0.0, False),
}


@dataclass(frozen=True)
class Look:
    """How a tile looks: figure is one of plain, marble, specks, wood, cement, hand, old, brick, block."""

    w: float
    h: float
    bond: str = "stack"
    rgb: RGB = (0.7, 0.7, 0.68)
    second: RGB = (0.4, 0.4, 0.4)
    joint: float = 3.0
    grout: RGB = (0.55, 0.54, 0.5)
    gloss: float = 0.15  # 1: no shine
    spread: float = 0.04
    figure: str = "plain"
    bevel: float = 0.0


def bitmap(picture: Array, wrap: str = "repeat") -> dict[str, Any]:
    texels = mi.Bitmap(np.ascontiguousarray(picture.astype(np.float32)))
    return {"type": "bitmap", "bitmap": texels, "raw": True, "wrap_mode": wrap, "filter_type": "bilinear"}


def plain(rgb: RGB, gloss: float = 1.0) -> Surface:
    """One colour; a gloss below one shines."""
    colour = {"type": "rgb", "value": [float(c) for c in rgb]}
    if gloss >= 1:
        return Surface({"type": "diffuse", "reflectance": colour})
    return Surface({"type": "roughplastic", "alpha": gloss, "nonlinear": True, "diffuse_reflectance": colour})


def metal(rgb: RGB, alpha: float) -> Surface:
    colour = {"type": "rgb", "value": [float(c) for c in rgb]}
    return Surface({"type": "roughconductor", "alpha": alpha, "material": "none", "specular_reflectance": colour})


def picture_surface(picture: Array, repeat: tuple[float, float], gloss: float = 1.0, height: Array | None = None) -> Surface:
    """A periodic picture; `height` (mm) bends the shading, never the wall."""
    skin = bitmap(np.clip(picture, 0.008, 0.9))
    inner: dict[str, Any] = {"type": "diffuse", "reflectance": skin}
    if gloss < 1:
        inner = {"type": "roughplastic", "alpha": gloss, "nonlinear": True, "diffuse_reflectance": skin}
    if height is not None:
        inner = {"type": "normalmap", "normalmap": bitmap(_normals(height, repeat)), "bsdf": inner}
    return Surface(inner, repeat)


def _normals(height: Array, repeat: tuple[float, float]) -> Array:
    ny, nx = height.shape
    dx = (np.roll(height, -1, 1) - np.roll(height, 1, 1)) * (nx / repeat[0] / 2)
    dy = (np.roll(height, -1, 0) - np.roll(height, 1, 0)) * (ny / repeat[1] / 2)
    n = np.stack([-dx, -dy, np.ones_like(dx)], 2)
    n /= np.linalg.norm(n, axis=2, keepdims=True)
    return (n + 1) / 2


def tiles(rng: np.random.Generator, look: Look) -> Surface:
    lay, shift, on_end = BONDS[look.bond]
    laid = lay(rng, look.w, look.h, shift)
    laid = patterns.upright(laid) if on_end else laid
    shape = laid.joint.shape
    table = rng.standard_normal((4096, 3)).astype(np.float32)
    code = laid.number % 4096
    tone = 1 + look.spread * (table[code][..., :1] + 0.35 * (table[code][..., 1:].sum(2, keepdims=True) + table[code]) / 2)
    body = np.array(look.rgb, np.float32) * tone
    body = _figure(rng, look, laid, table[code])(body) if look.figure != "plain" else body
    grout = np.clip((look.joint / 2 - laid.joint) * laid.px_per_mm + 0.5, 0, 1)[..., None]
    dirt = 1 + 0.05 * noise(rng, shape, 1.2) + 0.12 * noise(rng, shape, 60) * (look.figure in ("old", "brick"))
    colour = body * (1 - grout) + np.array(look.grout, np.float32) * dirt[..., None] * grout
    height = None
    if look.bevel or look.figure in ("hand", "brick"):
        rim = np.clip(laid.joint - look.joint / 2, 0, max(look.bevel, 1.2))
        height = (0.35 if look.bevel > 4 else 0.5) * rim
        if look.figure == "hand":
            tilt = table[code]
            height = height + 0.012 * (tilt[..., 0] * laid.u + tilt[..., 1] * laid.v) + 0.12 * noise(rng, shape, 14)
        if look.figure == "brick":
            height = height + 0.25 * noise(rng, shape, 2.5)
    made = picture_surface(colour, laid.repeat, look.gloss, height)
    off = (float(rng.uniform(0, laid.repeat[0])), float(rng.uniform(0, laid.repeat[1])))
    return Surface(made.bsdf, made.repeat_mm, off)


def _figure(rng: np.random.Generator, look: Look, laid: Laid, table: Array) -> Callable[[Array], Array]:
    """What is drawn within the tiles."""
    shape, second = laid.joint.shape, np.array(look.second, np.float32)

    def mixed(body: Array, weight: Array) -> Array:
        weight = np.clip(weight, 0, 1)[..., None]
        return body * (1 - weight) + second * weight

    if look.figure == "marble":
        warp = noise(rng, shape, 50) + 0.4 * noise(rng, shape, 12) + 0.8 * table[..., 0]
        thin = np.exp(-((warp / 0.07) ** 2)) + 0.5 * np.exp(-(((noise(rng, shape, 30) + 0.5) / 0.05) ** 2))
        return lambda body: mixed(body, 0.75 * thin + 0.12 * noise(rng, shape, 70))
    if look.figure == "specks":
        chips = (noise(rng, shape, 3.2) > 1.25) + 0.6 * (noise(rng, shape, 5.0) > 1.5)
        return lambda body: mixed(body, 0.8 * chips)
    if look.figure == "wood":
        long = np.sin(laid.v * 0.9 + 2.5 * noise(rng, shape, 40) + 9 * table[..., 0])
        return lambda body: mixed(body, 0.3 + 0.25 * long + 0.08 * noise(rng, shape, 2))
    if look.figure == "cement":
        a, b = laid.u / look.w - 0.5, laid.v / look.h - 0.5
        ring = np.hypot(abs(a) - 0.5, abs(b) - 0.5)
        star = np.minimum(abs(a), abs(b)) + 0.5 * np.maximum(abs(a), abs(b))
        drawn = (abs(ring - 0.33) < 0.06) | (star < 0.14) if rng.random() < 0.5 else (ring < 0.3) | (np.hypot(a, b) < 0.13)
        return lambda body: mixed(body, drawn * 0.9)
    if look.figure == "old":
        odd = (table[..., 2] > 1.9)[..., None]
        crack = np.exp(-((noise(rng, shape, 40) / 0.012) ** 2)) * (table[..., 1] > 0.9)
        stain = np.clip(noise(rng, shape, 90) - 0.4, 0, 2)[..., None] * np.array([0.03, 0.06, 0.12], np.float32)
        return lambda body: mixed(np.where(odd, second, body) * (1 - stain), 0.5 * crack)
    if look.figure == "block":
        depth = np.clip(laid.joint - look.joint / 2, 0, 30)
        wave = np.sin(0.09 * laid.u + 1.6 * noise(rng, shape, 30)) * np.cos(0.08 * laid.v + 1.6 * noise(rng, shape, 30))
        light = 0.42 + 0.25 * wave + 0.45 * np.exp(-(((depth - 9) / 4) ** 2)) - 0.22 * np.exp(-(((depth - 3) / 3) ** 2))
        return lambda body: body * np.clip(light, 0.08, 1.2)[..., None] + 0.05
    soft = 0.08 * noise(rng, shape, 8)[..., None] + 0.08 * noise(rng, shape, 30)[..., None]
    return lambda body: body * (1 + soft)  # hand, brick


def paint(rng: np.random.Generator, rgb: RGB, mottle: float = 0.012, gloss: float = 1.0) -> Surface:
    """Rolled paint; a strong mottle is lime wash or plaster."""
    side = (640, 640)
    uneven = mottle * (0.5 * noise(rng, side, 2.5) + 0.9 * noise(rng, side, 45) + 0.6 * noise(rng, side, 14))
    height = 0.05 * noise(rng, side, 2.2) if rng.random() < 0.4 else None
    return picture_surface(np.array(rgb, np.float32) * (1 + uneven[..., None]), (900.0, 900.0), gloss, height)


def concrete(rng: np.random.Generator, grey: float, boards: bool) -> Surface:
    side = (1000, 1000)
    tone = grey * (1 + 0.06 * noise(rng, side, 70) + 0.05 * noise(rng, side, 12) + 0.03 * noise(rng, side, 1.5))
    tone = np.where(noise(rng, side, 3) > 2.6, 0.4 * tone, tone)
    if boards:
        row = np.arange(1000) % 125
        tone *= np.where(row < 3, 0.7, 1.0)[:, None] * (1 + 0.04 * rng.standard_normal(8)[np.arange(1000) // 125])[:, None]
    return picture_surface(tone[..., None] * np.array([1.0, 0.98, 0.94]), (1000.0, 1000.0))


def timber(rng: np.random.Generator, rgb: RGB, board: float, groove: float, on_end: bool) -> Surface:
    """Boards with grain along them and a dark groove between; a wide board without groove is veneer or lining."""
    ny, nx = 900, 700
    count = max(1, round(900 / board))
    v = (np.arange(ny) + 0.5) * (count * board / ny)
    which = (v // board).astype(int) % count
    long = noise(rng, (ny, nx // 25), 1.6)
    long = np.repeat(long, 25, 1)[:, :nx]
    grain = 0.09 * noise(rng, (ny, nx), 2.0) * 0.5 + 0.12 * (0.7 * long + 0.5 * noise(rng, (ny, nx), 30))
    tone = 1 + grain + (0.1 * rng.standard_normal(count))[which][:, None]
    edge = np.minimum(v % board, board - v % board)
    tone = np.where((edge < groove / 2)[:, None], 0.35 * tone, tone)
    picture = np.array(rgb, np.float32) * tone[..., None]
    repeat = (1400.0, count * board)
    if on_end:
        picture, repeat = np.ascontiguousarray(picture.transpose(1, 0, 2)), repeat[::-1]
    return picture_surface(picture, repeat, 0.3 if rng.random() < 0.5 else 1.0)


def wallpaper(rng: np.random.Generator, rgb: RGB, second: RGB, motif: str) -> Surface:
    side = 640
    y, x = np.mgrid[0:side, 0:side] / side
    if motif == "stripes":
        count = int(rng.integers(5, 14))
        drawn = np.mod(x * count, 1) < rng.uniform(0.15, 0.6)
    elif motif == "fine stripes":
        drawn = np.mod(x * int(rng.integers(20, 50)), 1) < 0.25
    elif motif == "dots":
        count = int(rng.integers(5, 12))
        a, b = np.mod(x * count, 1) - 0.5, np.mod(y * count, 1) - 0.5
        drawn = np.hypot(a, b) < rng.uniform(0.12, 0.32)
    elif motif == "check":
        count = int(rng.integers(4, 12))
        drawn = (np.mod(x * count, 1) < 0.5) * 0.5 + (np.mod(y * count, 1) < 0.5) * 0.5
    else:  # leaves
        turn = np.sin(2 * np.pi * (3 * x + 0.3 * np.sin(2 * np.pi * 2 * y))) * np.cos(
            2 * np.pi * (4 * y + 0.2 * np.sin(4 * np.pi * x))
        )
        drawn = np.clip(6 * (turn - 0.2 + 0.15 * noise(rng, (side, side), 8)), 0, 1)
    weight = np.asarray(drawn, np.float32)[..., None]
    paper = np.array(rgb, np.float32) * (1 - weight) + np.array(second, np.float32) * weight
    return picture_surface(paper * (1 + 0.02 * noise(rng, (side, side), 1.2)[..., None]), (530.0, 530.0))


def slab(rng: np.random.Generator, rgb: RGB, second: RGB, specks: bool) -> Surface:
    """Stone or composite without joints."""
    look = Look(1000, 1000, rgb=rgb, second=second, joint=0.0, figure="specks" if specks else "marble", gloss=0.12, spread=0.0)
    return tiles(rng, look)


def cloth(rng: np.random.Generator, rgb: RGB, second: RGB) -> Surface:
    motif = str(rng.choice(["stripes", "dots", "check", "leaves"]))
    return wallpaper(rng, rgb, second if rng.random() < 0.5 else rgb, motif)
