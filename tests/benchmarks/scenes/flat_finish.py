"""Finishes and things of the flat rooms: reflectance over a plane, rounded rectangles with art.

Written by an outside checker: imports nothing of the program, nothing of the other scene scripts. Lengths in mm, pixels with
(0, 0) the centre of the top-left pixel; wall plane z = 0, x right, y up, z toward the camera.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

A = NDArray[np.float32]


def octaves(seed: int, power: float, n: int = 1024) -> A:
    """Seamless noise of zero mean and unit sd, shape (n, n), amplitude falling as frequency to `power`."""
    rng = np.random.default_rng(seed)
    f = np.hypot(np.fft.fftfreq(n)[:, None], np.fft.rfftfreq(n)[None, :])
    f[0, 0] = 1
    spectrum = np.fft.rfft2(rng.normal(size=(n, n))) / f**power
    spectrum[0, 0] = 0
    out = np.fft.irfft2(spectrum, s=(n, n))
    return np.asarray(out / out.std(), np.float32)


NOISES = {"rough": octaves(11, 0.8), "cloud": octaves(12, 1.6), "vein": octaves(13, 1.9)}


def noise(kind: str, u: A, v: A, scale: float) -> A:
    """The noise at (u, v) mm, `scale` mm a texel, wrapped."""
    field_ = NOISES[kind]
    return field_[np.floor(v / scale).astype(np.int64) % 1024, np.floor(u / scale).astype(np.int64) % 1024]


def pick(i: A, j: A, seed: float) -> A:
    """A number of [0, 1) for each pair of whole numbers."""
    x = np.sin(i.astype(np.float64) * 12.9898 + j.astype(np.float64) * 78.233 + seed) * 43758.5453
    return np.asarray(x - np.floor(x), np.float32)


@dataclass(frozen=True)
class Finish:
    """A finish: `kind` paint, stone, tile, boards, stripes or dots; colours linear RGB; `size` tile or repeat in mm."""

    kind: str
    rgb: tuple[float, float, float]
    other: tuple[float, float, float] = (0.5, 0.5, 0.5)
    size: tuple[float, float] = (300.0, 600.0)
    joint: float = 2.5
    bond: float = 0.0
    vary: float = 0.04
    figure: float = 0.0
    seed: float = 0.0

    def at(self, u: A, v: A) -> A:
        """Reflectance at (u, v) mm, shape (n, 3)."""
        rgb, other = np.float32(self.rgb), np.float32(self.other)
        u, v = u + np.float32(self.seed * 37), v + np.float32(self.seed * 53)
        grain = 1 + 0.012 * noise("rough", u, v, 1.7) + 0.02 * noise("cloud", u, v, 9)
        if self.kind == "paint":
            return rgb * grain[:, None]
        if self.kind == "stone":
            return self._stone(u, v, rgb, other)
        if self.kind == "stripes":
            band = np.floor(u / self.size[0]) % 2
            return np.where(band[:, None] > 0, rgb, other) * grain[:, None]
        if self.kind == "dots":
            du, dv = u % self.size[0] - self.size[0] / 2, v % self.size[1] - self.size[1] / 2
            spot = du * du + dv * dv < (0.27 * self.size[0]) ** 2
            return np.where(spot[:, None], other, rgb) * grain[:, None]
        row = np.floor(v / self.size[1])
        shifted = u + row * self.bond * self.size[0]
        column = np.floor(shifted / self.size[0])
        du, dv = shifted - column * self.size[0], v - row * self.size[1]
        edge = np.minimum(np.minimum(du, self.size[0] - du), np.minimum(dv, self.size[1] - dv))
        tone = 1 + self.vary * 2 * (pick(column, row, self.seed) - 0.5)
        body = self._stone(u + column * 91, v + row * 57, rgb, rgb * 0.5) if self.figure else rgb * grain[:, None]
        if self.kind == "boards":
            body = rgb * (1 + 0.12 * noise("vein", u * 8, v, 3))[:, None]
        bevel = np.clip((edge - self.joint / 2) / 1.5, 0, 1) * 0.1 + 0.9
        return np.where((edge < self.joint / 2)[:, None], other * grain[:, None], body * (tone * bevel)[:, None])

    def _stone(self, u: A, v: A, rgb: A, other: A) -> A:
        veins = np.exp(-np.abs(noise("vein", u, v, 2.3)) / 0.04) * self.figure
        cloud = 1 + 0.10 * self.figure * noise("cloud", u, v, 3.1)
        return np.asarray((rgb * (1 - veins[:, None]) + other * veins[:, None]) * cloud[:, None], np.float32)


@dataclass(frozen=True)
class Patch:
    """A rounded rectangle in a plane parallel to the wall: a card with its art, or clutter of one colour."""

    centre: tuple[float, float]
    half: tuple[float, float]
    turn: float
    z: float
    radius: float
    art: A
    proud: float = 0.8
    shade: float = 0.35
    round_: bool = False

    def local(self, x: A, y: A) -> tuple[A, A]:
        c, s = np.float32(np.cos(self.turn)), np.float32(np.sin(self.turn))
        dx, dy = x - np.float32(self.centre[0]), y - np.float32(self.centre[1])
        return c * dx + s * dy, c * dy - s * dx

    def distance(self, u: A, v: A) -> A:
        """Signed distance to the outline in mm, inside negative."""
        a, b = np.abs(u) - (self.half[0] - self.radius), np.abs(v) - (self.half[1] - self.radius)
        return np.asarray(np.hypot(np.maximum(a, 0), np.maximum(b, 0)) + np.minimum(np.maximum(a, b), 0) - self.radius)

    def colour(self, u: A, v: A) -> A:
        h, w = self.art.shape[:2]
        mx = ((u / self.half[0] + 1) * w / 2 - 0.5).astype(np.float32)
        my = ((1 - v / self.half[1]) * h / 2 - 0.5).astype(np.float32)
        out = np.empty((len(u), 3), np.float32)
        for k in range(0, len(u), 30000):
            out[k : k + 30000] = cv2.remap(
                self.art, mx[k : k + 30000, None], my[k : k + 30000, None], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
            )[:, 0]
        return out * np.float32(np.sqrt(np.maximum(1 - (u / self.half[0]) ** 2, 0.1)))[:, None] if self.round_ else out


def card_art(rng: np.random.Generator, style: str, w: float, h: float) -> A:
    """Linear RGB picture of a card of w x h mm: white, printed, picture, coloured or dark."""
    per = 5.0 if max(w, h) < 160 else 2.5
    nx, ny = round(w * per), round(h * per)
    paper = float(rng.uniform(0.72, 0.88))
    tint = np.float32(rng.uniform(0.96, 1.0, 3))
    art = np.full((ny, nx, 3), paper, np.float32) * tint
    ink = tuple(float(c) for c in rng.uniform(0.02, 0.3, 3))
    if style in ("coloured", "dark"):
        art[:] = rng.uniform(0.02, 0.07, 3) if style == "dark" else rng.permutation([0.05, rng.uniform(0.1, 0.4), 0.6])
        light = tuple(float(c) for c in rng.uniform(0.5, 0.8, 3))
        cv2.rectangle(art, (nx // 10, ny // 3), (nx // 4, ny // 2), light, -1)
        for k in range(2):
            y = int(ny * (0.7 + 0.12 * k))
            cv2.line(art, (nx // 10, y), (int(nx * rng.uniform(0.4, 0.8)), y), light, max(2, ny // 40))
    elif style == "printed":
        m = max(4, nx // 9)
        for y in range(m, ny - m, max(9, ny // 26)):
            if rng.random() < 0.85:
                cv2.line(art, (m, y), (int(nx - m - rng.uniform(0, 0.4) * nx), y), ink, max(1, ny // 110))
        ink_mask = np.zeros((ny, nx), np.uint8)
        where = (m, int(ny * 0.1 + 8))
        cv2.putText(ink_mask, "GUEST HOUSE", where, cv2.FONT_HERSHEY_SIMPLEX, nx / 420, 255, max(1, nx // 150), cv2.LINE_AA)
        art[ink_mask > 100] = ink
    elif style == "picture":
        yy, xx = np.mgrid[0:ny, 0:nx].astype(np.float32)
        sky, ground = np.float32(rng.uniform(0.2, 0.7, 3)), np.float32(rng.uniform(0.05, 0.4, 3))
        hill = ny * (0.55 + 0.12 * np.sin(xx / nx * rng.uniform(3, 9)))
        image = np.where((yy > hill)[..., None], ground, sky * (1.2 - 0.5 * yy / ny)[..., None])
        cv2.circle(image, (int(nx * rng.uniform(0.2, 0.8)), ny // 4), ny // 10, (0.8, 0.75, 0.3), -1, cv2.LINE_AA)
        m = int(rng.choice([0, nx // 16]))
        art[m : ny - m, m : nx - m] = image[m : ny - m, m : nx - m]
    return art


def plain(rgb: tuple[float, float, float]) -> A:
    """Art of one colour."""
    return np.full((4, 4, 3), rgb, np.float32)
