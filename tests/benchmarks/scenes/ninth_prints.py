"""What is on the references of the ninth rooms: cards of nobody's, and sheets blank, printed or written on (row 0 at the top)."""

from __future__ import annotations

import cv2
import numpy as np

from .ninth_textures import cloud, shade

CARD_PX = (1284, 810)  # 15 pixels a millimetre
SHEET_PX_PER_MM = 4.0
GROUNDS = ("f2f1ec", "20304a", "c8ccd0", "1d1e20", "7f1d2b", "2e6b57", "d9b44a", "e7e0d0", "5a7fb0", "efe9e4", "8c8f93", "b65d2e")
CARD_STYLES = ("plain", "member", "bands", "view", "waves", "stripe-back", "dots", "key")


def card_face(rng: np.random.Generator, style: str) -> np.ndarray:
    """A card's front as a linear picture."""
    w, h = CARD_PX
    ground = np.array(shade(str(rng.choice(GROUNDS))), np.float32)
    ink = np.array(shade("f4f4f0" if ground.mean() < 0.25 else "22262c"), np.float32)
    picture = np.broadcast_to(ground, (h, w, 3)).copy()
    y, x = np.mgrid[0:h, 0:w].astype(np.float32) / h
    accent = np.array(shade(str(rng.choice(GROUNDS))), np.float32)
    if style == "bands":
        at = float(rng.uniform(0.15, 0.6))
        picture[(y > at) & (y < at + 0.2)] = accent
    elif style == "view":
        ridge = 0.55 + 0.1 * np.sin(3 * x + rng.uniform(0, 6)) + 0.05 * np.sin(9 * x)
        sky = np.array(shade("9fc3e0"), np.float32) * (0.6 + 0.5 * y[..., None])
        picture = np.where((y > ridge)[..., None], accent * (1.2 - 0.5 * y[..., None]), sky).astype(np.float32)
    elif style == "waves":
        phase = 9 * y + 1.2 * np.sin(4 * x + rng.uniform(0, 6))
        picture = picture * (1 - 0.25 * (np.abs(np.mod(phase, 1) - 0.5) < 0.1)[..., None])
    elif style == "stripe-back":
        picture[int(0.1 * h) : int(0.33 * h)] = shade("17171a")
        picture[int(0.45 * h) : int(0.6 * h), int(0.06 * w) : int(0.7 * w)] = shade("e9e8e2")
    elif style == "dots":
        r = np.hypot(np.mod(x, 0.14) - 0.07, np.mod(y, 0.14) - 0.07)
        picture = np.where((r < 0.03)[..., None], accent, picture)
    if style in ("member", "bands", "waves", "key", "view"):
        picture = _lettered(picture, rng, ink, style)
    return np.clip(picture, 0.01, 0.86)


def _lettered(picture: np.ndarray, rng: np.random.Generator, ink: np.ndarray, style: str) -> np.ndarray:
    h, w = picture.shape[:2]
    words = {"member": "MEMBER", "bands": "LENDING CARD", "waves": "TEN CUPS", "key": "ROOM KEY", "view": "DAY TICKET"}[style]
    mask = np.zeros((h, w), np.uint8)
    font = cv2.FONT_HERSHEY_DUPLEX
    cv2.putText(mask, words, (int(0.08 * w), int(0.2 * h)), font, 2.6, 255, 6, cv2.LINE_AA)
    number = " ".join(str(int(n)) for n in rng.integers(100, 999, 3))
    cv2.putText(mask, f"No {number}", (int(0.08 * w), int(0.74 * h)), font, 2.2, 255, 4, cv2.LINE_AA)
    if style == "key":
        cv2.arrowedLine(mask, (int(0.7 * w), int(0.88 * h)), (int(0.9 * w), int(0.88 * h)), 255, 10, cv2.LINE_AA)
    weight = mask[..., None].astype(np.float32) / 255
    done = picture * (1 - weight) + ink * weight
    if style == "member":
        done[int(0.38 * h) : int(0.56 * h), int(0.1 * w) : int(0.24 * w)] = shade("c9ab5a")
    return done


def sheet_face(rng: np.random.Generator, style: str, size_mm: tuple[float, float]) -> np.ndarray:
    """A sheet of paper: blank, letter, list, plan, notice or form, with margins."""
    w, h = (round(s * SHEET_PX_PER_MM) for s in size_mm)
    page = np.full((h, w), 255, np.uint8)
    if style == "letter":
        _paragraphs(page, rng)
    elif style == "list":
        _handwriting(page, rng)
    elif style == "form":
        _form(page, rng)
    elif style == "plan":
        _plan(page, rng)
    elif style == "notice":
        font = cv2.FONT_HERSHEY_TRIPLEX
        cv2.putText(page, f"ROOM {int(rng.integers(1, 19))}", (int(0.12 * w), int(0.3 * h)), font, 4.6, 30, 14, cv2.LINE_AA)
        cv2.putText(page, "please leave open", (int(0.12 * w), int(0.45 * h)), font, 2.0, 60, 5, cv2.LINE_AA)
    paper = np.array(shade(str(rng.choice(["f4f3ee", "f1f2f4", "eeebe1", "f2f0ea"]))))
    ink = np.array(shade("23262b" if style != "list" else str(rng.choice(["1d2f6b", "2a2a2c", "7a1f24"]))))
    weight = (page / 255.0)[..., None]
    return ((paper * weight + ink * (1 - weight)) * (1 + 0.006 * cloud(rng, (h, w), 12)[..., None])).astype(np.float32)


def _paragraphs(page: np.ndarray, rng: np.random.Generator) -> None:
    """Lines of type, set ragged: every word a grey dash, as type looks from across a room."""
    h, w = page.shape
    y, margin = int(0.1 * h), int(0.1 * w)
    while y < 0.86 * h:
        for _ in range(int(rng.integers(3, 8))):
            x = margin
            while x < w - margin - 40:
                length = int(rng.integers(14, 60))
                cv2.rectangle(page, (x, y), (min(x + length, w - margin), y + 6), int(rng.integers(60, 120)), -1)
                x += length + 10
            y += 20
        y += 26


def _handwriting(page: np.ndarray, rng: np.random.Generator) -> None:
    h, w = page.shape
    for line in range(int(rng.integers(4, 11))):
        base, start = 0.12 * h + line * 0.075 * h, 0.1 * w
        end = float(rng.uniform(0.45, 0.88)) * w
        t = np.arange(0, end - start, 2.0)
        x = start + t + 5 * np.sin(t / 7)
        y = base + 0.01 * t + 11 * np.sin(t / 5.5 + rng.uniform(0, 6)) * (0.6 + 0.4 * np.sin(t / 31 + line))
        points = np.stack([x, y], 1).round().astype(np.int32)
        for part in np.array_split(points, max(2, int((end - start) / 90))):
            if len(part) > 8:
                cv2.polylines(page, [part[:-5]], False, 40, 3, cv2.LINE_AA)


def _form(page: np.ndarray, rng: np.random.Generator) -> None:
    h, w = page.shape
    left, right, top, low = int(0.08 * w), int(0.92 * w), int(0.16 * h), int(0.9 * h)
    cv2.putText(page, "MEASURES", (left, int(0.1 * h)), cv2.FONT_HERSHEY_DUPLEX, 2.0, 30, 4, cv2.LINE_AA)
    rows = int(rng.integers(8, 16))
    for row in range(rows + 1):
        y = top + (low - top) * row // rows
        cv2.line(page, (left, y), (right, y), 90, 2)
    for share in (0.0, 0.4, 0.7, 1.0):
        x = round(left + share * (right - left))
        cv2.line(page, (x, top), (x, low), 90, 2)


def _plan(page: np.ndarray, rng: np.random.Generator) -> None:
    h, w = page.shape
    for _ in range(7):
        x0, x1 = sorted(rng.uniform(0.12, 0.88, 2) * w)
        y0, y1 = sorted(rng.uniform(0.12, 0.8, 2) * h)
        cv2.rectangle(page, (int(x0), int(y0)), (int(x1), int(y1)), int(rng.integers(30, 120)), int(rng.integers(2, 6)))
    cv2.circle(page, (int(0.5 * w), int(0.5 * h)), int(0.1 * w), 60, 2, cv2.LINE_AA)
