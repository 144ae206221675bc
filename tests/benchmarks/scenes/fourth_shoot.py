"""Rays of the fourth family: the picture, and the proof that the written truth is what the rays meet."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np

from .fourth_base import Array, Builder, Camera, trace
from .fourth_cards import Hung
from .fourth_draw import Drawn
from .fourth_walls import foot_line, head_line

BOUNCES = 4
LEAST = 6  # samples that are always taken
CLAMP = 9.0  # one path adds at most so many times the picture's mean


def assemble(drawn: Drawn) -> Any:
    build = Builder()
    drawn.build(build)
    return mi.load_dict({"type": "scene", **build.shapes})


def expose(scene: Any, camera: Camera, samples: int, seed: int, per_pass: int, stop: float = 9e9) -> tuple[Array, float, int]:
    """Mean radiance over each pixel (h, w, 3), the share of paths that came back as no number, and paths per pixel.

    No pass is begun after the time `stop` (of the monotonic clock), but for the first LEAST samples.
    """
    integrator = mi.load_dict({"type": "path", "max_depth": BOUNCES, "rr_depth": 3})
    sampler = mi.load_dict({"type": "independent", "sample_count": per_pass})
    count, lost, most = camera.width * camera.height * per_pass, 0.0, 1e9
    total = [dr.zeros(mi.Float, camera.width * camera.height) for _ in range(3)]
    passes, done = max(1, samples // per_pass), 0
    for number in range(passes):
        sampler.seed(dr.opaque(mi.UInt32, (seed * 977 + number) % 2**31), count)
        pixel = dr.arange(mi.UInt32, count) // per_pass
        offset = sampler.next_2d()
        u = mi.Float(pixel % camera.width) + offset.x - 0.5
        v = mi.Float(pixel // camera.width) + offset.y - 0.5
        start = mi.Point3f(*(float(p) for p in camera.position_mm))
        rays = mi.RayDifferential3f(start, dr.normalize(mi.Vector3f(*camera.directions(u, v))))
        colour, _, _ = integrator.sample(scene, sampler, rays)
        fine = dr.isfinite(colour.x) & dr.isfinite(colour.y) & dr.isfinite(colour.z)
        light = [dr.select(fine, c, 0.0) for c in (colour.x, colour.y, colour.z)]
        if number == 0:
            most = CLAMP * max(1e-9, float(np.array(dr.exp(dr.mean(dr.log(dr.maximum(light[1], 1e-4))))).ravel()[0]))
            lost = 1.0 - float(np.array(dr.mean(dr.select(fine, mi.Float(1), mi.Float(0)))).ravel()[0])
        for channel in range(3):
            kept = dr.minimum(light[channel], dr.opaque(mi.Float, most))
            total[channel] += dr.block_sum(kept, per_pass) if per_pass > 1 else kept
        dr.eval(*total)
        dr.sync_thread()
        done = number + 1
        if done * per_pass >= LEAST and time.monotonic() > stop:
            break
    picture = np.stack([np.array(t) for t in total], axis=1) / (done * per_pass)
    return picture.reshape(camera.height, camera.width, 3).astype(np.float32), lost, done * per_pass


@dataclass(frozen=True)
class Proof:
    """Rays through the projected truth: worst miss where nothing stands before it, and what share of each line is covered."""

    worst_mm: float
    wrong: int  # rays just inside an edge that met the plane, or just outside a card that met its front
    covered: dict[str, float]


def prove(drawn: Drawn, scene: Any) -> Proof:
    """One bundle of rays: a quarter of a millimetre on either side of the opening's edges, a fifth on either side of a card's."""
    camera, wanted = drawn.shot.camera, _wanted(drawn)
    landed = trace.where_pixels_land(scene, camera, camera.project(np.concatenate([points for _, points, _ in wanted])))
    worst, wrong, covered, at = 0.0, 0, {}, 0
    hidden = np.zeros(0, bool)
    for name, points, front in wanted:
        met = landed[at : at + len(points)]
        at += len(points)
        if front is None:  # past the edge: nothing may lie in the plane of the flat just tested
            wrong += int(((np.abs(met[:, 2] - points[:, 2]) < 0.002) & ~hidden).sum())
            continue
        hidden = met[:, 2] > front
        worst = max(worst, float(np.linalg.norm(met - points, axis=1)[~hidden].max(initial=0)))
        covered[name] = float(hidden.mean())
    return Proof(worst, wrong, covered)


def _wanted(drawn: Drawn) -> list[tuple[str, Array, float | None]]:
    """Points on the flat, with the depth from which on something stands before them, and points past each edge, without."""
    found: list[tuple[str, Array, float | None]] = []
    for name, line in drawn.shot.opening.edges(87).items():
        inward = np.array({"left": (1, 0), "right": (-1, 0), "curb": (0, 1), "head": (0, -1)}[name])
        flat = np.zeros(len(line[2:-2]))
        found.append((name, np.column_stack([line[2:-2] - 0.25 * inward, flat]), 0.8))
        found.append((name, np.column_stack([line[2:-2] + 0.25 * inward, flat]), None))
    for number, card in enumerate(drawn.shot.cards, 1):
        for side, line, out in _sides(card, 41, 0.08):
            found.append((f"card {number} {side}", line - 0.2 * out, card.front_z_mm + 0.03))
            if card.paper is None:
                found.append(("", line + 0.2 * out, None))
    return found


def _sides(card: Hung, count: int, spare: float) -> list[tuple[str, Array, Array]]:
    """Points along each side of a card, and which way is out."""
    corners, t = card.outline(), np.linspace(spare, 1 - spare, count)[:, None]
    found = []
    for side, a, b in (("bottom", 0, 1), ("right", 1, 2), ("top", 3, 2), ("left", 0, 3)):
        line = corners[a] + t * (corners[b] - corners[a])
        out = line.mean(axis=0) - corners.mean(axis=0)
        found.append((side, line, out / np.linalg.norm(out)))
    return found


def lines(drawn: Drawn) -> dict[str, Array]:
    """Pixels (n, 2) along all that must be seen, to measure steps across."""
    camera = drawn.shot.camera
    found = {name: camera.project(np.column_stack([p, np.zeros(len(p))])) for name, p in drawn.shot.opening.edges(161).items()}
    for number, card in enumerate(drawn.shot.cards, 1):
        for side, line, _ in _sides(card, 81, 0.06):
            found[f"card {number} {side}"] = camera.project(line)
    return found


def crossing(drawn: Drawn) -> float:
    """Worst distance of the written corners from the lines of head and foot, millimetres: 0 but for rounding."""
    corners = drawn.shot.opening.corners
    head = np.abs(corners[2:, 1] - head_line(drawn.shot.opening, corners[2:, 0])).max()
    foot = np.abs(corners[:2, 1] - foot_line(drawn.shot.opening, corners[:2, 0])).max()
    return float(max(head, foot))
