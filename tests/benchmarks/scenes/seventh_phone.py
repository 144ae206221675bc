"""From light to the three files of a room: a phone's picture, the truth, the tape's readings."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from PIL import Image

from .seventh_draws import Plan

# isort: split
from studio import develop, record
from studio.camera import Camera
from studio.room import Finish, Room
from studio.shot import Expected, Shot

LARGEST_BYTES = 1_680_000
WIDTHS = ("width_top", "width_middle", "width_bottom")
ORIGIN = "rendered for this project with Mitsuba 3 by seventh_rooms.py in tests/benchmarks/scenes; no real place"


def finish(plan: Plan, camera: Camera, linear: np.ndarray, made: dict[str, Any], out: Path) -> None:
    rng = np.random.default_rng([*plan.seed, 7])
    upright = expose_and_tone(linear, plan.light, _tint(plan), rng)
    photo, quality = encode(upright, plan, rng)
    shot = _shot(plan)
    facts = _facts(plan, shot, camera, made | {"quality": quality})
    write(out, plan.name, photo, facts, record.readings(shot))
    print(f"{plan.name}: {len(photo) / 1e6:.2f} MB, quality {quality}", flush=True)


def write(out: Path, name: str, photo: bytes, facts: dict[str, Any], tape: str) -> None:
    """The readings come last: where they are, the room is complete."""
    (out / f"{name}.jpg").write_bytes(photo)
    (out / f"{name}.json").write_text(json.dumps(facts, indent=1, separators=(",", ": ")) + "\n")
    (out / f"{name}.readings.toml").write_text(tape)


def expose_and_tone(linear: np.ndarray, light: str, tint: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Lens, white balance, exposure, shading, grain, the phone's smoothing, tone curve and sharpening; 8 bit."""
    picture = cv2.GaussianBlur(linear, (0, 0), float(rng.uniform(0.6, 1.0)))
    mean = picture[::8, ::8].reshape(-1, 3).mean(axis=0)
    cast = (tint.mean() / tint) ** 0.75 * (mean.mean() / np.maximum(mean, 1e-9)) ** 0.2 * rng.uniform(0.97, 1.03, 3)
    picture *= cast.astype(np.float32)
    picture *= np.float32(_exposure(picture) * 2.0 ** (rng.normal(0, 0.15) - (1.1 if light == "dim" else 0.0)))
    y, x = (np.linspace(-1, 1, n, dtype=np.float32) for n in picture.shape[:2])
    picture *= (1 - np.float32(rng.uniform(0.05, 0.2)) * (0.4 * x[None, :] ** 2 + 0.6 * y[:, None] ** 2))[..., None]
    level = float(rng.uniform(0.015, 0.03)) * (2.2 if light == "dim" else 1.0)
    size = picture.shape[1::-1]
    fine = rng.standard_normal(picture.shape[:2], dtype=np.float32)
    coarse = rng.standard_normal((picture.shape[0] // 2 + 1, picture.shape[1] // 2 + 1, 3), dtype=np.float32)
    grain = cv2.resize(cv2.GaussianBlur(coarse, (0, 0), 0.8), size) + 0.9 * fine[..., None]
    picture += grain * (np.float32(level * 0.18) * np.sqrt(0.12 + 4.8 * np.maximum(picture.mean(axis=2), 0)))[..., None]
    encoded = _curve(picture)
    luma = cv2.cvtColor(encoded, cv2.COLOR_RGB2YCrCb)
    light_part = np.ascontiguousarray(luma[..., 0])
    rough = 1.48 * float(np.median(np.abs(light_part[::3, ::3] - cv2.GaussianBlur(light_part, (0, 0), 1.5)[::3, ::3])))
    light_part = cv2.bilateralFilter(light_part, 5, float(np.clip(2.5 * rough, 0.02, 0.1)), 1.6)
    light_part += float(rng.uniform(0.25, 0.7)) * (
        light_part - cv2.GaussianBlur(light_part, (0, 0), float(rng.uniform(0.9, 1.5)))
    )
    luma[..., 0] = light_part
    luma[..., 1:] = cv2.GaussianBlur(luma[..., 1:], (0, 0), 1.3)
    return np.clip(cv2.cvtColor(luma, cv2.COLOR_YCrCb2RGB) * 255 + 0.5, 0, 255).astype(np.uint8)


def _tint(plan: Plan) -> np.ndarray:
    """The colour of all lamps together, as a phone guesses it."""
    powers = np.array([np.array(lamp.rgb) * lamp.size_mm[0] * lamp.size_mm[1] for lamp in plan.lamps])
    return np.asarray(powers.sum(axis=0) / powers.sum())


def _exposure(picture: np.ndarray) -> float:
    """A quarter for the geometric mean; an eighth of the picture, a window or a lamp, may burn out."""
    small = cv2.resize(picture, (300, 300), interpolation=cv2.INTER_AREA).mean(axis=2)
    mean = float(np.exp(np.mean(np.log(np.maximum(small, 1e-4 * small.max())))))
    return min(0.26 / mean, 0.95 / float(np.percentile(small, 88)))


def _curve(picture: np.ndarray) -> np.ndarray:
    """sRGB with a shoulder that lets highlights end softly, by a table."""
    steps = np.linspace(0, 2, 4096)
    soft = np.where(steps < 0.7, steps, 0.7 + 0.3 * np.tanh((steps - 0.7) / 0.3 * 0.9))
    table = np.asarray(develop.to_srgb(soft), np.float32)
    return table.take((np.clip(picture, 0, 1.999) * np.float32(4095 / 2)).astype(np.uint16))


def encode(upright: np.ndarray, plan: Plan, rng: np.random.Generator) -> tuple[bytes, int]:
    """As good as fits, found by halving; one in four is stored sideways."""
    sideways = bool(rng.random() < 0.25) and upright.shape[0] > upright.shape[1]
    image = Image.fromarray(np.ascontiguousarray(np.rot90(upright)) if sideways else upright)
    exif = develop._metadata(image, 6 if sideways else 1, plan.equivalent_mm)
    low, high, best = 40, int(rng.integers(88, 95)), b""
    quality = high
    while True:
        sink = io.BytesIO()
        image.save(sink, "JPEG", quality=quality, subsampling=2, exif=exif)
        if sink.tell() <= LARGEST_BYTES:
            best, low = sink.getvalue(), quality
        else:
            high = quality - 1
        if high <= low:
            break
        quality = (low + high + 1) // 2
    return best, low


def _shot(plan: Plan) -> Shot:
    """What the studio's record needs to know."""
    blank = plan.house.parts.face
    room = Room(Finish(*[blank] * 9), ())
    title = f"{plan.house.kind.capitalize()} of the seventh rooms, {plan.name.removeprefix('seventh_')}"
    options = list(plan.hung.options)
    if not plan.house.opening.head:
        options += ["--no-head", "--height", f"{plan.house.opening.height_mm / 25.4:g} in"]
    arris = plan.house.arris
    note = (
        f"{plan.house.kind}; face {plan.looks[0]}, reveal {plan.looks[1]}; edge {arris.kind} "
        f"{arris.radius_mm or arris.trim_mm:g} mm; light: {plan.light}; references: {', '.join(plan.hung.styles)}"
    )
    more = {} if plan.house.opening.head else {"readings": WIDTHS}
    return Shot(
        plan.name,
        title,
        int(np.random.default_rng([*plan.seed, 3]).integers(2**31)),
        plan.house.opening,
        room,
        plan.camera,
        plan.hung.cards,
        Expected(None),
        tuple(options),
        plumb_line=plan.plumb,
        note=note,
        **more,
    )


def _facts(plan: Plan, shot: Shot, camera: Camera, made: dict[str, Any]) -> dict[str, Any]:
    facts = record.truth(shot, camera)
    house, arris = plan.house, plan.house.arris
    facts["origin"] = ORIGIN
    facts["layout"] = plan.name.split("_")[1]
    opening = facts["opening"]
    opening["edge_taken"] = (
        "where the planes of the wall face and of the side wall cross; the readings were taken to the same lines"
        if not arris.trim_mm
        else f"the border toward the opening of a trim {arris.trim_mm:g} mm wide that is flush with the wall face"
    )
    ends = {"left": arris.radius_mm, "right": arris.radius_mm, "curb": house.sill_radius_mm}
    if house.opening.head:
        ends["head"] = arris.radius_mm
    opening["flat_ends_mm"] = ends
    facts["made"] = made | {
        "kind": house.kind,
        "light": plan.light,
        "arris": arris.kind,
        "trim_mm": arris.trim_mm,
        "seed_of_attempt": plan.seed,
        "equivalent_mm": plan.equivalent_mm,
    }
    return facts
