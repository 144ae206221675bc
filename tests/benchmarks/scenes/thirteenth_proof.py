"""Rays of the thirteenth family: the proof of a truth, what clutter hides, and the exposure."""

from __future__ import annotations

import drjit as dr
import mitsuba as mi
import numpy as np

from sample_images.studio.camera import Camera
from sample_images.studio.trace import where_pixels_land

from .thirteenth_plan import Plan, UnfitError
from .thirteenth_view import References

BESIDE_MM = 0.4
CAP = 10.0  # a path adds at most this many times the picture's middle brightness


def _pairs(plan: Plan) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """For every edge points just outside and just inside of it."""
    found = {}
    for name, points in plan.opening.edges(23).items():
        flat = np.column_stack([points[1:-1], np.zeros(len(points) - 2)])
        step = {"left": [-1, 0, 0], "right": [1, 0, 0], "curb": [0, -1, 0], "head": [0, 1, 0]}[name]
        if (name == "curb" and plan.bottom == "floor") or (name == "head" and plan.head == "soffit"):
            step = [0, 0, 1]
        found[name] = (flat + BESIDE_MM * np.array(step), flat - BESIDE_MM * np.array(step))
    return found


def prove(plan: Plan, bare: mi.Scene, seen: Camera, refs: References) -> float:
    """Rays beside every edge meet the face outside and something behind it inside; the worst miss on the face, mm."""
    worst = 0.0
    for name, (outside, inside) in _pairs(plan).items():
        hit = where_pixels_land(bare, seen, seen.project(outside))
        miss = float(np.linalg.norm(hit - outside, axis=1).max())
        if miss > 0.1:
            raise UnfitError(f"{name}: the face is missed by {miss:.2f} mm")
        worst = max(worst, miss)
        hit = where_pixels_land(bare, seen, seen.project(inside))
        if float(hit[:, 2].max()) > -0.01:
            raise UnfitError(f"{name}: a ray inside of the edge meets z = {float(hit[:, 2].max()):.3f}")
    corners = seen.project(np.column_stack([plan.opening.corners, np.zeros(4)]))
    if (corners < 4).any() or (corners > np.array([seen.width, seen.height]) - 5).any():
        raise UnfitError("a corner lies outside of the picture")
    return worst


def covered(plan: Plan, full: mi.Scene, seen: Camera, refs: References) -> dict[str, float]:
    """The share of every edge, lower corner and reference that something hides."""
    found = {}
    for name, (outside, inside) in _pairs(plan).items():
        hidden = np.zeros(len(outside), bool)
        for points, outer in ((outside, True), (inside, False)):
            hit = where_pixels_land(full, seen, seen.project(points))
            hidden |= (np.linalg.norm(hit - points, axis=1) > 3) if outer else (hit[:, 2] > 0.3)
        found[name] = float(hidden.mean())
    for number, card in enumerate(refs.cards):
        grid = card.outline()
        t = np.linspace(0.04, 0.96, 9)
        a, b = np.meshgrid(t, t)
        a, b = a.ravel()[:, None], b.ravel()[:, None]
        points = grid[0] + a * (grid[1] - grid[0]) + b * (grid[3] - grid[0])
        hit = where_pixels_land(full, seen, seen.project(points))
        rim = np.linalg.norm(hit - points, axis=1) > 0.5
        found[f"card {number + 1}"] = float(rim.mean())
    return found


def expose(scene: mi.Scene, seen: Camera, how: tuple[int, int, int]) -> np.ndarray:
    """Mean light over each pixel's square, capped per path; how: samples, samples a pass, seed."""
    samples, per_pass, seed = how
    cap = CAP * _middle(scene, seen, seed)
    total = [dr.zeros(mi.Float, seen.width * seen.height) for _ in range(3)]
    passes = max(1, samples // per_pass)
    for number in range(passes):
        light = _pass(scene, seen, per_pass, (seed * 1009 + number) % 2**31)
        for channel in range(3):
            total[channel] += dr.block_sum(dr.minimum(light[channel], cap), per_pass)
        dr.eval(*total)
    picture = np.stack([np.array(t) for t in total], axis=1) / (passes * per_pass)
    return picture.reshape(seen.height, seen.width, 3).astype(np.float32)


def _middle(scene: mi.Scene, seen: Camera, seed: int) -> float:
    small = Camera(48, 48, seen.f_px * 48 / seen.width, 23.5, 23.5, 0.0, 0.0, seen.position_mm, seen.rotation)
    light = np.mean([np.array(c) for c in _pass(scene, small, 16, seed % 2**31)], axis=0).reshape(-1, 16)
    return float(max(np.median(light.mean(axis=1)), 1e-4))


def _pass(scene: mi.Scene, seen: Camera, per_pass: int, seed: int) -> list[mi.Float]:
    count = seen.width * seen.height * per_pass
    sampler = mi.load_dict({"type": "independent", "sample_count": per_pass})
    sampler.seed(dr.opaque(mi.UInt32, seed), count)
    pixel = dr.arange(mi.UInt32, count) // per_pass
    offset = sampler.next_2d()
    u = mi.Float(pixel % seen.width) + offset.x - 0.5
    v = mi.Float(pixel // seen.width) + offset.y - 0.5
    way = dr.normalize(mi.Vector3f(*seen.directions(u, v)))
    rays = mi.RayDifferential3f(mi.Point3f(*(float(p) for p in seen.position_mm)), way)
    integrator = mi.load_dict({"type": "path", "max_depth": 7, "rr_depth": 5})
    colour, _, _ = integrator.sample(scene, sampler, rays)
    return [colour.x, colour.y, colour.z]
