"""Pictures on cards and sheets, all of our own making: linear (h, w, 3), row 0 on top."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np

from tests.benchmarks.scenes.sixth_stuff import Array, cloud

Rng = np.random.Generator
CARD_PX = (540, 856)
STRONG = ((0.85, 0.10, 0.12), (0.05, 0.25, 0.65), (0.02, 0.5, 0.35), (0.95, 0.72, 0.05), (0.4, 0.1, 0.45), (0.08, 0.08, 0.1),
          (0.95, 0.45, 0.1), (0.1, 0.6, 0.75))  # fmt: skip
TINTS = ((0.80, 0.80, 0.79), (0.78, 0.77, 0.70), (0.82, 0.78, 0.35), (0.55, 0.72, 0.55), (0.80, 0.50, 0.52),
         (0.50, 0.62, 0.76))  # fmt: skip
WORDS = ("POOL", "LIBRARY", "GUEST 7", "CLIMBING", "SAUNA", "BAKERY CLUB", "ROOM KEY", "CANTEEN")


def _ink(rng: Rng) -> Array:
    return np.array(STRONG[int(rng.integers(len(STRONG)))], np.float32)


def _words(picture: Array, text: str, at: tuple[int, int], size: float, ink: Array, thick: int = 3) -> None:
    """Written into the picture; OpenCV writes on 8 bits only."""
    mask = np.zeros(picture.shape[:2], np.uint8)
    cv2.putText(mask, text, at, cv2.FONT_HERSHEY_DUPLEX, size, 255.0, thick, cv2.LINE_AA)
    share = mask[..., None] / np.float32(255)
    picture[:] = picture * (1 - share) + np.asarray(ink, np.float32) * share


def _blank(colour: Array) -> Array:
    return np.tile(np.asarray(colour, np.float32), (*CARD_PX, 1))


def club(rng: Rng) -> Array:
    """A membership card in a strong colour with a slanting field, a sign and two lines."""
    picture, second = _blank(_ink(rng)), _ink(rng)
    x = int(rng.integers(250, 600))
    cv2.fillPoly(picture, [np.array([[x, 0], [856, 0], [856, 540], [x - 180, 540]], np.int32)], second.tolist(), cv2.LINE_AA)
    cv2.circle(picture, (700, 140), 70, (0.9, 0.9, 0.88), -1, cv2.LINE_AA)
    _words(picture, str(rng.choice(WORDS)), (50, 130), 2.2, np.array([0.95, 0.95, 0.93]), 5)
    _words(picture, f"MEMBER {int(rng.integers(1000, 9999))}", (50, 470), 1.4, np.array([0.9, 0.9, 0.88]))
    return picture


def back(rng: Rng) -> Array:
    """The back: magnetic stripe, signature field, small print."""
    light = np.array([0.9, 0.9, 0.9]) if rng.random() < 0.6 else 0.4 + 0.4 * _ink(rng)
    picture = _blank(light)
    picture[45:172] = 0.03
    picture[220:300, 40:560] = 0.85 if light[0] < 0.8 else 0.72
    for row in range(360, 500, 28):
        _words(picture, "lorem ipsum dolor sit amet consectetur"[: int(rng.integers(18, 38))], (40, row), 0.7, light * 0.35, 1)
    return picture


def key(rng: Rng) -> Array:
    """A blank key card, white or pale, with an arrow."""
    picture = _blank(np.array([0.88, 0.88, 0.87]) * rng.uniform(0.85, 1.0))
    cv2.arrowedLine(picture, (428, 330), (428, 90), (0.3, 0.32, 0.35), 10, cv2.LINE_AA, 0, 0.3)
    _words(picture, "ROOM KEY", (270, 460), 1.6, np.array([0.3, 0.32, 0.35]))
    return picture


def fade(rng: Rng) -> Array:
    """One colour running into another, with embossed figures."""
    a, b = _ink(rng), _ink(rng)
    t = np.linspace(0, 1, 856, dtype=np.float32)[None, :, None] * np.ones((540, 1, 1), np.float32)
    picture = np.ascontiguousarray(a * (1 - t) + b * t)
    _words(picture, "0000 0417 0000", (70, 360), 2.3, np.array([0.75, 0.74, 0.7]), 4)
    return picture


def portrait(rng: Rng) -> Array:
    """A pass with a drawn head and lines of text."""
    picture = _blank(0.75 + 0.15 * _ink(rng))
    picture[:110] = _ink(rng)
    cv2.rectangle(picture, (50, 160), (280, 470), (0.55, 0.62, 0.68), -1)
    cv2.circle(picture, (165, 270), 62, (0.52, 0.38, 0.3), -1, cv2.LINE_AA)
    cv2.ellipse(picture, (165, 470), (105, 110), 0, 180, 360, (0.12, 0.15, 0.2), -1, cv2.LINE_AA)
    for row in range(200, 480, 60):
        cv2.rectangle(picture, (330, row), (int(rng.integers(520, 790)), row + 18), (0.2, 0.2, 0.22), -1)
    return picture


def bands(rng: Rng) -> Array:
    """Upright bands with a white rim all round."""
    picture = _blank(np.array([0.9, 0.9, 0.88]))
    for x in range(40, 800, 97):
        picture[40:500, x : x + 97] = _ink(rng)
    return picture


CARDS: dict[str, Callable[[Rng], Array]] = {f.__name__: f for f in (club, back, key, fade, portrait, bands)}


def scratched(rng: Rng, picture: Array) -> Array:
    """Fine light scratches of a card from a pocket."""
    shown = np.ascontiguousarray(picture, np.float32)
    for _ in range(int(rng.integers(0, 30))):
        p, q = rng.uniform(0, 1, 2) * [856, 540], rng.normal(0, 160, 2)
        tone = float(rng.uniform(0.4, 0.8))
        cv2.line(shown, (int(p[0]), int(p[1])), (int(p[0] + q[0]), int(p[1] + q[1])), (tone,) * 3, 1, cv2.LINE_AA)
    return np.asarray(shown)


def embossing(picture_name: str) -> Array | None:
    """Relief in mm over a card; raised figures 0.45 mm high. Slopes count per card, so it is scaled to its sides."""
    if picture_name != "fade":
        return None
    field = np.zeros((*CARD_PX, 1), np.float32)
    _words(field, "0000 0417 0000", (70, 360), 2.3, np.array([0.45]), 6)
    return np.asarray(cv2.GaussianBlur(field[..., 0], (0, 0), 2.0))


def _sheet(shape: tuple[int, int], tint: tuple[float, float, float]) -> Array:
    return np.tile(np.array(tint, np.float32), (*shape, 1))


def sheet(rng: Rng, look: str, shape: tuple[int, int]) -> Array:
    """A sheet of paper, 4 px a millimetre; folds are painted."""
    tint = TINTS[int(rng.integers(2, 6))] if look == "tinted" else TINTS[int(rng.integers(2))]
    picture = _sheet(shape, tint)
    h, w = shape
    if look == "written":
        for row in range(int(0.12 * h), int(rng.uniform(0.4, 0.9) * h), 46):
            x = np.arange(60, rng.uniform(0.5, 0.9) * w, 7)
            y = row + 9 * np.sin(x * rng.uniform(0.2, 0.4)) + 5 * rng.standard_normal(len(x))
            cv2.polylines(picture, [np.stack([x, y], 1).astype(np.int32)], False, (0.06, 0.08, 0.3), 3, cv2.LINE_AA)
    if look == "sketch":
        cv2.rectangle(picture, (w // 4, h // 4), (3 * w // 4, 3 * h // 4), (0.1, 0.1, 0.12), 4, cv2.LINE_AA)
        mid = w // 2 - 70
        for place, text in (((mid, h // 4 - 20), "top ?"), ((mid, 3 * h // 4 + 60), "bottom"), ((12, h // 2), "left")):
            _words(picture, text, place, 1.5, np.array([0.5, 0.06, 0.06]), 3)
        _words(picture, f"ROOM {int(rng.integers(1, 30))}", (60, 100), 2.0, np.array([0.08, 0.08, 0.1]), 4)
    if look == "printed":
        cv2.rectangle(picture, (60, 60), (int(0.4 * w), 120), (0.1, 0.2, 0.4), -1)
        for row in range(180, int(0.93 * h), 26):
            cv2.line(picture, (60, row), (60 + int(rng.uniform(0.3, 1) * (w - 130)), row), (0.25, 0.25, 0.27), 8)
    if look == "ruled":
        for row in range(100, h - 20, 32):
            cv2.line(picture, (0, row), (w, row), (0.45, 0.55, 0.72), 2)
        cv2.line(picture, (100, 0), (100, h), (0.75, 0.4, 0.42), 2)
    shade: Array = np.asarray(1 + 0.012 * cloud(rng, shape, (9, 7)))
    if rng.random() < 0.4:
        off = np.arange(h)[:, None] - h * float(rng.choice([0.5, 0.33]))
        shade = np.asarray(shade * (1 - 0.22 * np.exp(-((off / 3) ** 2)) + 0.03 * np.tanh(off / 60)))
    return np.asarray(picture * shade[..., None], np.float32)


SHEETS = ("blank", "written", "sketch", "printed", "ruled", "tinted", "blank")
