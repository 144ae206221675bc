"""Rays of the fourth family: the picture, and the proof that the written truth is what the rays meet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np

from .fourth_base import Array, Builder, Camera, trace
from .fourth_cards import Hung
from .fourth_draw import Drawn
from .fourth_walls import foot_line, head_line

BOUNCES = 8
CLAMP = 9.0  # one path adds at most so many times the picture's mean


def assemble(drawn: Drawn) -> Any:
    build = Builder()
    drawn.build(build)
    return mi.load_dict({"type": "scene", **build.shapes})


def expose(scene: Any, camera: Camera, samples: int, seed: int, per_pass: int) -> tuple[Array, float]:
    """Mean radiance over each pixel (h, w, 3), and the share of paths that came back as no number."""
    integrator = mi.load_dict({"type": "path", "max_depth": BOUNCES, "rr_depth": 4})
    sampler = mi.load_dict({"type": "independent", "sample_count": per_pass})
    count, lost, most = camera.width * camera.height * per_pass, 0.0, 1e9
    total = [dr.zeros(mi.Float, camera.width * camera.height) for _ in range(3)]
    passes = max(1, samples // per_pass)
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
            most = CLAMP * max(1e-9, float(np.exp(np.mean(np.log(np.array(light[1]) + 1e-4)))))
            lost = 1.0 - float(dr.count(fine)[0] if hasattr(dr.count(fine), "__getitem__") else dr.count(fine)) / count
        for channel in range(3):
            total[channel] += dr.block_sum(dr.minimum(light[channel], dr.opaque(mi.Float, most)), per_pass)
        dr.eval(*total)
    picture = np.stack([np.array(t) for t in total], axis=1) / (passes * per_pass)
    return picture.reshape(camera.height, camera.width, 3).astype(np.float32), lost


@dataclass(frozen=True)
class Proof:
    """Rays through the projected truth: worst miss where nothing stands before it, and what share of each line is covered."""

    worst_mm: float
    wrong: int  # rays just inside an edge that met the plane, or just outside a card that met its front
    covered: dict[str, float]


def prove(drawn: Drawn, scene: Any) -> Proof:
    shot, camera = drawn.shot, drawn.shot.camera
    worst, wrong, covered = 0.0, 0, {}
    for name, points in shot.opening.edges(87).items():
        inward = {"left": (1, 0), "right": (-1, 0), "curb": (0, 1), "head": (0, -1)}[name]
        points = points[2:-2]
        flat, past = (np.column_stack([points + step * np.array(inward), np.zeros(len(points))]) for step in (-0.25, 0.25))
        landed = trace.where_pixels_land(scene, camera, camera.project(flat))
        hidden = landed[:, 2] > 0.8
        worst = max(worst, float(np.linalg.norm(landed - flat, axis=1)[~hidden].max(initial=0)))
        beyond = trace.where_pixels_land(scene, camera, camera.project(past))
        wrong += int(((np.abs(beyond[:, 2]) < 0.002) & ~hidden).sum())
        covered[name] = float(hidden.mean())
    for number, card in enumerate(shot.cards, 1):
        miss, bad, away = _card(drawn, scene, card)
        worst, wrong = max(worst, miss), wrong + bad
        for side, share in away.items():
            covered[f"card {number} {side}"] = share
    return Proof(worst, wrong, covered)


def _card(drawn: Drawn, scene: Any, card: Hung) -> tuple[float, int, dict[str, float]]:
    camera, corners = drawn.shot.camera, card.outline()
    middle, t = corners.mean(axis=0), np.linspace(0.08, 0.92, 41)[:, None]
    worst, wrong, away = 0.0, 0, {}
    for side, a, b in (("bottom", 0, 1), ("right", 1, 2), ("top", 3, 2), ("left", 0, 3)):
        line = corners[a] + t * (corners[b] - corners[a])
        out = line.mean(axis=0) - middle
        out /= np.linalg.norm(out)
        inside = line - 0.2 * out
        landed = trace.where_pixels_land(scene, camera, camera.project(inside))
        hidden = landed[:, 2] > card.front_z_mm + 0.03
        worst = max(worst, float(np.linalg.norm(landed - inside, axis=1)[~hidden].max(initial=0)))
        if card.paper is None:
            beyond = trace.where_pixels_land(scene, camera, camera.project(line + 0.2 * out))
            wrong += int((np.abs(beyond[:, 2] - card.front_z_mm) < 0.003).sum())
        away[side] = float(hidden.mean())
    return worst, wrong, away


def lines(drawn: Drawn) -> dict[str, Array]:
    """Pixels (n, 2) along all that must be seen, to measure steps across."""
    camera = drawn.shot.camera
    found = {name: camera.project(np.column_stack([p, np.zeros(len(p))])) for name, p in drawn.shot.opening.edges(161).items()}
    t = np.linspace(0.06, 0.94, 81)[:, None]
    for number, card in enumerate(drawn.shot.cards, 1):
        c = card.outline()
        for side, a, b in (("bottom", 0, 1), ("right", 1, 2), ("top", 3, 2), ("left", 0, 3)):
            found[f"card {number} {side}"] = camera.project(c[a] + t * (c[b] - c[a]))
    return found


def crossing(drawn: Drawn) -> float:
    """Worst distance of the written corners from the lines of head and foot, millimetres: 0 but for rounding."""
    corners = drawn.shot.opening.corners
    head = np.abs(corners[2:, 1] - head_line(drawn.shot.opening, corners[2:, 0])).max()
    foot = np.abs(corners[:2, 1] - foot_line(drawn.shot.opening, corners[:2, 0])).max()
    return float(max(head, foot))
