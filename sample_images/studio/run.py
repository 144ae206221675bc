"""The command line of a scene script: renders the scenes named, or all, into a folder."""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import mitsuba as mi
import numpy as np

from . import develop, record, trace
from .camera import Camera
from .shot import Shot, smaller


def main(scenes: dict[str, Callable[[], Shot]], copies: dict[str, Callable[[Path], None]], folder: Path) -> None:
    options = _options(list(scenes) + list(copies), folder)
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    names = options.names or [*scenes, *copies]
    with ThreadPoolExecutor(3) as darkroom:  # develops while the next scene is traced
        waiting = [darkroom.submit(_finish, *_expose(scenes[name](), options), options.out) for name in names if name in scenes]
    for done in waiting:
        done.result()
    for name in names:
        if name in copies:
            copies[name](options.out)


def write(out: Path, name: str, photo: bytes, facts: dict, tape: str) -> None:
    (out / f"{name}.jpg").write_bytes(photo)
    (out / f"{name}.json").write_text(json.dumps(facts, indent=1, separators=(",", ": ")) + "\n")
    (out / f"{name}.readings.toml").write_text(tape)


def _expose(shot: Shot, options: argparse.Namespace) -> tuple[Shot, Camera, np.ndarray]:
    started = time.monotonic()
    camera = smaller(shot.camera, options.scale)
    scene = trace.assemble(shot)
    error = _worst_error(shot, scene)
    linear = trace.expose(scene, camera, options.samples, shot.seed, options.per_pass)
    print(f"{shot.name}: {time.monotonic() - started:.0f} s, truth against the renderer {error:.4f} mm", flush=True)
    return shot, camera, linear


def _finish(shot: Shot, camera: Camera, linear: np.ndarray, out: Path) -> None:
    upright = develop.develop(linear, shot.development, shot.seed)
    photo = develop.write_jpeg(upright, shot.development, shot.equivalent_mm)
    write(out, shot.name, photo, record.truth(shot, camera), record.readings(shot))
    print(f"{shot.name}: {len(photo) / 2**20:.2f} MiB", flush=True)


def _worst_error(shot: Shot, scene: mi.Scene) -> float:
    """Rays through the projected card centres and through points just outside the walls must land where they should, mm."""
    wanted = [card.outline().mean(axis=0) for card in shot.cards]
    for name, way in (("left", -1), ("right", 1)):
        for x, y in shot.opening.edges(12)[name][1:-1]:
            wanted.append(np.array([x + way * 0.5, y, 0.0]))
    points = np.array(wanted)
    landed = trace.where_pixels_land(scene, shot.camera, shot.camera.project(points))
    return float(np.linalg.norm(landed - points, axis=1).max())


def _options(names: list[str], folder: Path) -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Renders test photographs with their truth.")
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"of {', '.join(names)}; none: all")
    parser.add_argument("--variant", default="llvm_ad_rgb", help="Mitsuba variant, cuda_ad_rgb or llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=128, help="light paths per pixel")
    parser.add_argument("--per-pass", type=int, default=4, help="of these at a time: fewer need less memory")
    parser.add_argument("--scale", type=float, default=1.0, help="smaller pictures for a trial")
    parser.add_argument("--out", type=Path, default=folder)
    options = parser.parse_args()
    for name in options.names:
        if name not in names:
            parser.error(f"no scene {name}")
    options.out.mkdir(parents=True, exist_ok=True)
    return options
