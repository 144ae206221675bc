"""What is printed on the cards of the fourth family: pictures (h, w, 3), linear, row 0 at the bottom; nobody's designs."""

from __future__ import annotations

import itertools

import cv2
import numpy as np

from .fourth_base import Array, Rng, Surface, chance, one_of, textured
from .fourth_finishes import clouds, tint

CARD = (540, 856)
LOOKS = ("dark", "pale", "hills", "blend", "facets", "rings", "dots", "half", "metal", "weave")


def bank_card(rng: Rng, look: str) -> Surface:
    """A card of bank size: ground or picture, perhaps a chip, a stripe, raised marks instead of digits."""
    y, x = np.mgrid[0 : CARD[0], 0 : CARD[1]] / 540.0
    one, two, three = (np.array(tint(rng)) for _ in range(3))
    dark, pale = np.array(tint(rng, "dark")), np.array(tint(rng, "white"))
    picture = np.broadcast_to(one, (*CARD, 3)).copy()
    if look == "dark":
        picture[:] = dark * 0.7
    elif look == "pale":
        picture[:] = pale
    elif look == "hills":
        picture = pale + (two - pale) * np.clip(y, 0, 1)[..., None] * 0.8
        for k in range(4):
            ridge = 0.75 - 0.17 * k + 0.09 * np.sin(x * rng.uniform(2, 7) + rng.uniform(0, 6)) + 0.03 * np.sin(x * 19 + k)
            picture = np.where((y < ridge)[..., None], (one * (1 - 0.2 * k)), picture)
        picture = picture * (1 + 0.12 * clouds(rng, CARD, 9)[..., None])
    elif look == "blend":
        share = np.clip((x * np.cos(1.0) + y * np.sin(1.0)) / 1.7 + 0.06 * clouds(rng, CARD, 60), 0, 1)[..., None]
        picture = one * (1 - share) + two * share
    elif look == "facets":
        seeds = rng.uniform(0, 1, (26, 2)) * [1.58, 1.0]
        near = np.argmin((x[..., None] - seeds[:, 0]) ** 2 + (y[..., None] - seeds[:, 1]) ** 2, axis=2)
        picture = (two * rng.uniform(0.5, 1.5, (26, 1)))[near]
    elif look == "rings":
        far = np.hypot(x - rng.uniform(0, 1.6), y - rng.uniform(-0.3, 1.3))
        picture = np.where((np.mod(far, 0.16) < 0.07)[..., None], two, dark)
    elif look == "dots":
        inside = np.hypot(np.mod(x, 0.11) - 0.055, np.mod(y, 0.11) - 0.055) < 0.012 + 0.03 * np.clip(x / 1.6, 0, 1)
        picture = np.where(inside[..., None], three, pale)
    elif look == "half":
        picture = np.where((x + 0.4 * y < rng.uniform(0.6, 1.2))[..., None], dark, two)
    elif look == "metal":
        picture = np.array([0.42, 0.42, 0.44]) * (1 + 0.1 * np.repeat(clouds(rng, (540, 1 + 15), 1)[:, :1], 856, 1))[..., None]
    elif look == "weave":
        picture = np.where(((np.mod(x * 24, 1) < 0.5) ^ (np.mod(y * 24, 1) < 0.5))[..., None], one, 0.75 * one)
    picture = np.ascontiguousarray(np.clip(picture, 0.01, 0.9).astype(np.float32))
    ink = (0.03, 0.03, 0.03) if picture.mean() > 0.2 else (0.7, 0.7, 0.68)
    if chance(rng, 0.3):
        low = int(rng.uniform(330, 400))
        picture[low : low + 120] = (0.015, 0.013, 0.012)
    elif chance(rng, 0.8):
        cv2.rectangle(picture, (82, 250), (82 + 118, 250 + 94), (0.55, 0.42, 0.18), -1)
        for k in (280, 312):
            cv2.line(picture, (82, k), (200, k), (0.2, 0.15, 0.06), 2)
    if chance(rng, 0.6):
        for k in range(16):
            left = 82 + 38 * k + 26 * (k // 4)
            cv2.rectangle(picture, (left, 168), (left + 22, 196), ink, -1 if k % 3 else 3)
    if chance(rng, 0.5):
        cv2.circle(picture, (740, 90), 46, (0.6, 0.12, 0.05), -1)
        cv2.circle(picture, (690, 90), 46, (0.75, 0.5, 0.1), -1)
    return textured(picture, (85.6, 53.98), float(rng.uniform(0.12, 0.35)), wrap="clamp")


SHEETS = ("blank", "lined", "squared", "letter text", "plan", "folded", "folded in three", "tinted", "photograph")


def sheet(rng: Rng, look: str, nominal: tuple[float, float]) -> Surface:
    """A sheet of paper, upright, three pixels a millimetre."""
    k = 3
    h, w = round(nominal[1] * k), round(nominal[0] * k)
    white = np.array([0.83, 0.83, 0.82]) * rng.uniform(0.9, 1.0)
    if look == "tinted":
        white = np.array(tint(rng, one_of(rng, "yellow", "pink", "green", "blue")))
    picture = np.ascontiguousarray(np.broadcast_to(white, (h, w, 3)).astype(np.float32))
    picture *= (1 + 0.006 * rng.standard_normal((h, w, 1))).astype(np.float32)
    ink = tuple(float(c) for c in (one_of(rng, (0.05, 0.05, 0.06), (0.06, 0.1, 0.35))))
    if look in ("lined", "squared"):
        step = int(k * one_of(rng, 5, 8))
        for row in range(step, h, step):
            cv2.line(picture, (0, row), (w, row), (0.45, 0.55, 0.7), 1)
        for column in range(step, w, step) if look == "squared" else (25 * k,):
            cv2.line(picture, (column, 0), (column, h), (0.45, 0.55, 0.7) if look == "squared" else (0.7, 0.3, 0.3), 1)
    elif look == "letter text" or look.startswith("folded"):
        _text(rng, picture, k, ink, dense=look == "letter text")
    elif look == "plan":
        for _ in range(int(rng.integers(5, 10))):
            a, b = (tuple(int(v) for v in rng.uniform(0.12, 0.88, 2) * [w, h]) for _ in range(2))
            cv2.rectangle(picture, a, b, ink, int(rng.integers(2, 6)))
    elif look == "photograph":
        rim = int(k * rng.uniform(8, 25))
        inner = picture[rim : h - rim, rim : w - rim]
        inner[:] = np.array(tint(rng)) * np.clip(1 + 0.35 * clouds(rng, inner.shape[:2], 50)[..., None], 0.1, 2)
    if look.startswith("folded"):
        _creases(rng, picture, (1 / 3, 2 / 3) if look.endswith("three") else (0.5,), across=not look.endswith("three"))
    return textured(picture, nominal, 0.7, wrap="clamp")


def _text(rng: Rng, picture: Array, k: int, ink: tuple[float, ...], dense: bool) -> None:
    h, w = picture.shape[:2]
    cv2.rectangle(picture, (22 * k, h - 34 * k), (int(w * rng.uniform(0.4, 0.7)), h - 26 * k), ink, -1)
    row = h - 50 * k
    while row > (25 * k if dense else h * 0.55):
        x, end = 22 * k, w - (22 * k if chance(rng, 0.8) else int(rng.uniform(30, 90)) * k)
        while x < end:
            word = int(rng.uniform(3, 14) * k)
            cv2.rectangle(picture, (x, row), (min(x + word, end), row + int(1.7 * k)), ink, -1)
            x += word + 2 * k
        row -= int(k * (5.2 if chance(rng, 0.88) else 11))


def _creases(rng: Rng, picture: Array, at: tuple[float, ...], across: bool) -> None:
    """Folds pressed flat again: a light and a dark line, and panels that catch the light a little differently."""
    h, w = picture.shape[:2]
    bounds = [0, *(round(h * a) for a in at), h]
    for low, high in itertools.pairwise(bounds):
        picture[low:high] *= 1 + rng.normal(0, 0.025)
    for row in bounds[1:-1]:
        picture[row - 3 : row] *= 0.86
        picture[row : row + 3] *= 1.05
    if across:
        middle = w // 2
        picture[:, :middle] *= 1 + rng.normal(0, 0.025)
        picture[:, middle - 2 : middle + 1] *= 0.85
