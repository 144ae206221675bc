"""The exposure and the developing: light along every pixel's rays, then what a phone makes of it."""

from __future__ import annotations

import io

import cv2
import drjit as dr
import mitsuba as mi
import numpy as np
from PIL import Image

from sample_images.studio.camera import Camera
from sample_images.studio.develop import to_srgb
from sample_images.studio.shot import smaller

from .fourteenth_grain import cloud

BOUNCES = 7


def expose(scene: mi.Scene, camera: Camera, samples: int, seed: int, per_pass: int = 4) -> np.ndarray:
    """Mean radiance of every pixel; single paths far brighter than the picture are held back."""
    small = smaller(camera, 90 / camera.width)
    level = float(np.percentile(_rays(scene, small, (8, 8), seed, 1e9).mean(axis=2), 60))
    return _rays(scene, camera, (samples, per_pass), seed + 1, 14 * max(level, 1e-4))


def _rays(scene: mi.Scene, camera: Camera, samples: tuple[int, int], seed: int, most: float) -> np.ndarray:
    integrator = mi.load_dict({"type": "path", "max_depth": BOUNCES, "rr_depth": 4})
    per_pass = min(samples)
    passes = max(1, samples[0] // per_pass)
    pixels, count = camera.width * camera.height, camera.width * camera.height * per_pass
    total = [dr.zeros(mi.Float, pixels) for _ in range(3)]
    for number in range(passes):
        sampler = mi.load_dict({"type": "independent", "sample_count": per_pass})
        sampler.seed(dr.opaque(mi.UInt32, (seed * 977 + number) % 2**31), count)
        index = dr.arange(mi.UInt32, count) // per_pass
        jog = sampler.next_2d()
        u, v = mi.Float(index % camera.width) + jog.x - 0.5, mi.Float(index // camera.width) + jog.y - 0.5
        start = mi.Point3f(*(float(p) for p in camera.position_mm))
        rays = mi.RayDifferential3f(start, dr.normalize(mi.Vector3f(*camera.directions(u, v))))
        light, _, _ = integrator.sample(scene, sampler, rays)
        for i, part in enumerate((light.x, light.y, light.z)):
            total[i] += dr.block_sum(dr.clip(part, 0.0, most), per_pass)
        dr.eval(*total)
    picture = np.stack([np.array(t) for t in total], axis=1) / (passes * per_pass)
    return np.nan_to_num(picture.reshape(camera.height, camera.width, 3)).astype(np.float32)


def develop(linear: np.ndarray, rng: np.random.Generator) -> tuple[np.ndarray, int]:
    """The 8-bit picture and the quality that its JPEG is to have."""
    rng_noise, scale = np.random.default_rng(rng.integers(2**31)), linear.shape[0] / 3500
    middle = cv2.medianBlur(linear, 3)
    linear = np.where(linear > 2.2 * middle + 0.02 * linear.mean(), middle, linear)
    root = np.sqrt(np.maximum(linear, 0) / max(float(linear.mean()), 1e-6))  # phones smooth what they take for noise
    root = cv2.bilateralFilter(root.astype(np.float32), 5, float(rng.uniform(0.05, 0.16)), float(rng.uniform(0.8, 1.6)))
    linear = root**2
    blur = float(rng.uniform(0.45, 1.1))
    linear = cv2.GaussianBlur(linear, (0, 0), blur)
    grey = linear.reshape(-1, 3).mean(axis=0)
    balance = (grey.mean() / np.maximum(grey, 1e-6)) ** float(rng.uniform(0.15, 0.95)) * np.exp(rng.normal(0, 0.03, 3))
    linear = linear * balance.astype(np.float32)
    light = linear.mean(axis=2)
    mean = float(np.exp(np.log(light + 1e-3 * light.mean()).mean()))
    aim = float(rng.choice([0.13, 0.2, 0.27, 0.34], p=[0.15, 0.35, 0.35, 0.15]))
    linear *= min(aim / mean, 1.15 / float(np.percentile(light, float(rng.choice([90, 97, 99])))))
    linear *= _vignette(linear.shape[:2], float(rng.uniform(0, 0.35)))
    noise = float(rng.choice([0.006, 0.014, 0.03, 0.06], p=[0.3, 0.4, 0.2, 0.1]))
    fine = cloud(rng_noise, linear.shape[:2], (0.5, 0.5))[..., None]
    blotch = np.stack([cloud(rng_noise, linear.shape[:2], (1 + 2 * scale, 1 + 2 * scale)) for _ in range(3)], axis=2)
    linear = linear + noise * np.sqrt(0.02 + 0.18 * np.maximum(linear, 0)) * (0.8 * fine + 0.45 * blotch) * 0.5
    seen = to_srgb(np.clip(linear, 0, None))
    seen = np.where(seen > 0.8, 0.8 + 0.2 * np.tanh((seen - 0.8) / 0.2), seen)
    contrast = float(rng.uniform(-0.15, 0.5))
    seen = seen + contrast * (seen * seen * (3 - 2 * np.clip(seen, 0, 1)) - seen)
    seen = seen.mean(axis=2, keepdims=True) + (seen - seen.mean(axis=2, keepdims=True)) * float(rng.uniform(0.75, 1.3))
    soft = cv2.GaussianBlur(seen, (0, 0), float(rng.uniform(0.8, 1.8)))
    seen = seen + float(rng.uniform(0, 0.9)) * (seen - soft)
    return np.clip(np.round(seen * 255), 0, 255).astype(np.uint8), int(rng.integers(70, 96))


def _vignette(shape: tuple[int, int], amount: float) -> np.ndarray:
    y, x = (np.linspace(-1, 1, n, dtype=np.float32) for n in shape)
    return (1 - amount * (x[None] ** 2 + y[:, None] ** 2) / 2)[..., None]


def jpeg(picture: np.ndarray, quality: int, equivalent_mm: float) -> bytes:
    """The file as a phone writes it: focal length and time, no position."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x0112], exif[0x0132] = "Guest House", "Guest House Phone", 1, "2026:05:02 16:40:12"
    more = exif.get_ifd(0x8769)
    more[0x829A], more[0x829D], more[0x8827], more[0x9003] = 1 / 50, 1.9, 250, "2026:05:02 16:40:12"
    more[0x920A], more[0xA405] = round(equivalent_mm / 26 * 5.6, 2), round(equivalent_mm)
    more[0xA002], more[0xA003] = picture.shape[1], picture.shape[0]
    sink = io.BytesIO()
    Image.fromarray(picture).save(sink, "JPEG", quality=quality, subsampling=2, optimize=True, exif=exif.tobytes())
    return sink.getvalue()
