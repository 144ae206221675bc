"""The tenth rooms' work in pixels: what is printed on cards and sheets, and what the phone makes of the light."""

from __future__ import annotations

import io
from dataclasses import dataclass

import cv2
import numpy as np
from PIL import Image

from sample_images.studio.develop import to_srgb

RGB = tuple[float, float, float]
CARD_PX, SHEET_PX = 10, 4  # per millimetre
CARD_PRINTS = ("dark", "bright", "split", "arcs", "fade", "strip", "rimmed", "checks")
SHEET_PRINTS = ("blank", "letter", "list", "table", "handwriting")
SYLLABLES = "ra to mi len da ko su pe lo an vi re sto gal ben ni"


def card_print(rng: np.random.Generator, kind: str) -> np.ndarray:
    """The face of a bank-size card, linear, row 0 on top; its number is random digits."""
    h, w = 54 * CARD_PX, 856
    y, x = (a.astype(np.float32) for a in np.mgrid[0:h, 0:w])
    first, second = _colour(rng, 0.02, 0.12), _colour(rng, 0.3, 0.75)
    if kind in ("bright", "strip", "rimmed"):
        first, second = _colour(rng, 0.45, 0.8), _colour(rng, 0.05, 0.3)
    part = {
        "split": (x * 0.4 + y > 0.62 * h + 0.3 * w * rng.random()).astype(np.float32),
        "arcs": (np.mod(np.hypot(x - 1.1 * w, y - 1.2 * h), 84) < 17).astype(np.float32),
        "fade": np.clip((x + 0.5 * y) / (1.3 * w), 0, 1),
        "strip": ((y > 0.08 * h) & (y < 0.3 * h)).astype(np.float32),
        "rimmed": (np.minimum.reduce([x, y, w - 1 - x, h - 1 - y]) > 28).astype(np.float32),
        "checks": ((x // 61 + y // 54) % 2) * 0.35,
    }.get(kind, np.zeros((h, w), np.float32))[..., None]
    picture = (np.array(first) * (1 - part) + np.array(second) * part).astype(np.float32)
    if kind != "strip":
        cv2.rectangle(picture, (86, 190), (202, 290), (0.55, 0.42, 0.18), -1)
        for at in (222, 256):
            cv2.line(picture, (86, at), (202, at), (0.25, 0.18, 0.08), 3)
    light = float(picture.mean()) < 0.25
    ink, back = ((0.7, 0.7, 0.68), (0.02, 0.02, 0.02)) if light else ((0.05, 0.05, 0.06), (0.75, 0.75, 0.75))
    digits = " ".join("".join(str(d) for d in rng.integers(0, 10, 4)) for _ in range(4))
    for shift, colour in ((3, back), (0, ink)):
        _write(picture, digits, (78 + shift, 370 + shift), 1.75, colour, 4)
    _write(picture, f"GUEST {rng.integers(100, 999)}", (80, 480), 1.1, ink, 3)
    return picture


def _colour(rng: np.random.Generator, low: float, high: float) -> RGB:
    tint = rng.uniform(0.35, 1.0, 3)
    return tuple(float(c) for c in np.clip(rng.uniform(low, high) * tint / tint.mean(), 0.01, 0.85))  # type: ignore[return-value]


def _write(picture: np.ndarray, text: str, at: tuple[int, int], size: float, ink: RGB, pen: int) -> None:
    """Text into a linear picture."""
    mask = np.zeros(picture.shape[:2], np.uint8)
    cv2.putText(mask, text, at, cv2.FONT_HERSHEY_DUPLEX, size, 255, pen, cv2.LINE_AA)
    part = mask[..., None].astype(np.float32) / 255
    picture += part * (np.array(ink, np.float32) - picture)


def sheet_print(rng: np.random.Generator, kind: str, size_mm: tuple[float, float]) -> np.ndarray:
    """A sheet of paper, linear, row 0 on top."""
    w, h = (round(s * SHEET_PX) for s in size_mm)
    white = rng.uniform(0.74, 0.86)
    picture = np.empty((h, w, 3), np.float32)
    picture[:] = np.array([1.0, 1.0, rng.uniform(0.94, 1.03)]) * white
    words = SYLLABLES.split()
    ink = (0.06, 0.06, 0.07) if kind != "handwriting" else (0.06, 0.08, 0.3)
    if kind == "table":
        for k in range(9):
            cv2.line(picture, (100, 200 + 90 * k), (w - 100, 200 + 90 * k), (0.3, 0.3, 0.3), 3)
        for k in range(4):
            at = 100 + k * (w - 200) // 3
            cv2.line(picture, (at, 200), (at, 920), (0.3, 0.3, 0.3), 3)
    rows = {"blank": 0, "letter": 19, "list": 8, "table": 7, "handwriting": 7}[kind]
    for k in range(rows):
        y = 170 + k * (46 if kind == "letter" else 96)
        if y > h - 110:
            break
        if kind == "handwriting":
            t = np.linspace(0, 1, 160)
            reach = rng.uniform(0.4, 0.8)
            up = 26 * np.sin(60 * t + rng.uniform(0, 6)) * (0.4 + rng.random()) + 9 * np.sin(23 * t)
            points = np.stack([90 + t * reach * (w - 180) + 9 * np.sin(87 * t), y + up], 1)
            cv2.polylines(picture, [np.round(points).astype(np.int32)], False, ink, 4, cv2.LINE_AA)
            continue
        line = " ".join("".join(rng.choice(words, rng.integers(1, 4))) for _ in range(3 if kind == "table" else 6))
        size = 1.8 if kind == "list" else 0.9
        line = line[: int((w - 220) / (19.5 * size))]
        _write(picture, line, (105, y), size, ink, 4 if kind == "list" else 2)
    return picture


@dataclass(frozen=True)
class Phone:
    """One phone's manner."""

    exposure: float = 0.0  # stops
    blur_px: float = 0.75
    noise: float = 0.012  # relative deviation at mid grey
    denoise: float = 0.6  # 0 to 1
    sharpen: float = 0.6
    radius_px: float = 1.2
    local: float = 0.25  # how much large differences of brightness are evened out
    vignette: float = 0.12
    cast: RGB = (1.0, 1.0, 1.0)
    saturation: float = 1.05
    quality: int = 90
    sideways: bool = False
    motion_px: float = 0.0


def some_phone(rng: np.random.Generator) -> Phone:
    return Phone(
        exposure=float(rng.normal(0.0, 0.22)), blur_px=float(rng.uniform(0.6, 1.0)),
        noise=float(rng.choice([0.005, 0.009, 0.015, 0.026])), denoise=float(rng.uniform(0.3, 0.95)),
        sharpen=float(rng.uniform(0.2, 1.1)), radius_px=float(rng.uniform(0.9, 2.0)),
        local=float(rng.uniform(0.05, 0.35)), vignette=float(rng.uniform(0.03, 0.25)),
        cast=tuple(float(c) for c in 1 + rng.normal(0, 0.035, 3)), saturation=float(rng.uniform(0.9, 1.25)),  # type: ignore[arg-type]
        quality=int(rng.integers(80, 96)), sideways=bool(rng.random() < 0.3), motion_px=0.8 if rng.random() < 0.12 else 0.0,
    )  # fmt: skip


def photograph(linear: np.ndarray, phone: Phone, seed: int) -> np.ndarray:
    """The upright photo, 8 bit."""
    rng = np.random.default_rng([seed, 9])
    h, w = linear.shape[:2]
    light = cv2.GaussianBlur(linear, (0, 0), phone.blur_px) * np.array(phone.cast, np.float32)
    if phone.motion_px:
        light = cv2.GaussianBlur(light, (0, 0), phone.motion_px, sigmaY=0.01)
    y, x = np.linspace(-1, 1, h, dtype=np.float32), np.linspace(-1, 1, w, dtype=np.float32)
    light *= (1 - phone.vignette * (0.5 * x[None, :] ** 2 + 0.5 * y[:, None] ** 2) ** 1.2)[..., None]
    light *= _exposure(light) * 2.0**phone.exposure
    light = _mosaic(light, phone, rng)
    light = _smooth(light, phone)
    grey = light.mean(axis=2)
    base = cv2.resize(grey, (max(8, w // 16), max(8, h // 16)), interpolation=cv2.INTER_AREA)
    base = cv2.resize(cv2.GaussianBlur(base, (0, 0), max(2.0, w / 16 / 14)), (w, h), interpolation=cv2.INTER_LINEAR)
    light *= ((np.maximum(base, 0.01) / 0.2) ** -phone.local)[..., None]
    grey = light.mean(axis=2, keepdims=True)
    light = np.maximum(grey + phone.saturation * (light - grey), 0)
    light = np.where(light > 0.6, 0.6 + 0.4 * np.tanh((light - 0.6) / 0.4), light)  # a shoulder instead of a cut
    out = to_srgb(light)
    luma = out.mean(axis=2)
    out += (phone.sharpen * (luma - cv2.GaussianBlur(luma, (0, 0), phone.radius_px)))[..., None]
    return np.clip(np.round(out * 255), 0, 255).astype(np.uint8)


def _exposure(light: np.ndarray) -> float:
    small = cv2.resize(light, (300, 300), interpolation=cv2.INTER_AREA).mean(axis=2)
    mean = float(np.exp(np.log(np.maximum(small, 2e-3 * small.max())).mean()))
    return min(0.27 / mean, 1.2 / float(np.percentile(small, 88)))


def _mosaic(light: np.ndarray, phone: Phone, rng: np.random.Generator) -> np.ndarray:
    """One colour per pixel (red at even rows and columns), noise of photons and reading, and the missing colours filled in."""
    raw = np.empty(light.shape[:2], np.float32)
    for i in (0, 1):
        for j in (0, 1):
            raw[i::2, j::2] = light[i::2, j::2, i + j]
    spread = phone.noise * np.sqrt(0.18 * np.maximum(raw, 0) + 0.006)
    raw += spread * rng.standard_normal(raw.shape, dtype=np.float32) * 1.2
    held = np.clip(raw * 20000 + 1000, 0, 65535).astype(np.uint16)
    full = cv2.cvtColor(held, cv2.COLOR_BayerBG2BGR_EA)[..., ::-1]
    return (full.astype(np.float32) - 1000) / 20000


def _smooth(light: np.ndarray, phone: Phone) -> np.ndarray:
    """Texture is smeared where it is weak; colour is smeared more."""
    root = np.sqrt(np.maximum(light, 0))
    luma = root.mean(axis=2)
    soft = cv2.bilateralFilter(luma, 5, 0.03 + 2.2 * phone.noise, 1.8)
    colour = root - luma[..., None]
    blurred = cv2.GaussianBlur(colour, (0, 0), 0.6 + 1.4 * phone.denoise)
    mixed = luma + phone.denoise * (soft - luma)
    return np.maximum(mixed[..., None] + blurred, 0) ** 2


def jpeg(upright: np.ndarray, phone: Phone, equivalent_mm: float) -> bytes:
    """4:2:0, with the metadata of an invented phone and no position."""
    picture = Image.fromarray(np.ascontiguousarray(np.rot90(upright)) if phone.sideways else upright)
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Guest House", "Pocket Ten"
    exif[0x0112] = 6 if phone.sideways else 1
    exif[0x0132] = "2026:05:17 16:04:10"
    details = exif.get_ifd(0x8769)
    details[0x829A], details[0x829D], details[0x8827] = 1 / 50, 1.9, 320
    details[0x9003] = "2026:05:17 16:04:10"
    details[0x920A] = round(equivalent_mm / 25 * 5.4, 2)
    details[0xA405] = round(equivalent_mm)
    details[0xA002], details[0xA003] = picture.size
    sink = io.BytesIO()
    picture.save(sink, "JPEG", quality=phone.quality, subsampling=2, optimize=True, exif=exif.tobytes())
    return sink.getvalue()
