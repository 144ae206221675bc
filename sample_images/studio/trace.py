"""Rays through the scene: Mitsuba intersects, shades and averages; the picture that comes back is linear."""

from __future__ import annotations

import drjit as dr
import mitsuba as mi
import numpy as np

from .camera import Camera
from .room import build_room
from .shapes import Builder
from .shot import Shot
from .things import hang_card, hang_plumb_line

BOUNCES = 8
BRIGHTEST = 3.0  # a single path adds at most this, several times paper white: no fireflies


def assemble(shot: Shot) -> mi.Scene:
    build = Builder()
    build_room(build, shot.room, shot.opening)
    for card in shot.cards:
        hang_card(build, card)
    if shot.plumb_line:
        hang_plumb_line(build, shot.plumb_line)
    shot.furnish(build)
    return mi.load_dict({"type": "scene", **build.shapes})


def expose(scene: mi.Scene, camera: Camera, samples: int, seed: int, per_pass: int = 4) -> np.ndarray:
    """Mean radiance over each pixel's square, (height, width, 3) float32."""
    integrator = mi.load_dict({"type": "path", "max_depth": BOUNCES, "rr_depth": 5})
    total = [dr.zeros(mi.Float, camera.width * camera.height) for _ in range(3)]
    passes = max(1, samples // per_pass)
    for number in range(passes):
        light = _one_pass(scene, integrator, camera, per_pass, seed * 1000 + number)
        for channel in range(3):
            total[channel] += light[channel]
        dr.eval(*total)
    picture = np.stack([np.array(t) for t in total], axis=1) / (passes * per_pass)
    return picture.reshape(camera.height, camera.width, 3).astype(np.float32)


def _one_pass(scene: mi.Scene, integrator: mi.Integrator, camera: Camera, per_pass: int, seed: int) -> list[mi.Float]:
    count = camera.width * camera.height * per_pass
    sampler = mi.load_dict({"type": "independent", "sample_count": per_pass})
    sampler.seed(dr.opaque(mi.UInt32, seed), count)
    pixel = dr.arange(mi.UInt32, count) // per_pass
    offset = sampler.next_2d()
    u = mi.Float(pixel % camera.width) + offset.x - 0.5
    v = mi.Float(pixel // camera.width) + offset.y - 0.5
    rays = mi.RayDifferential3f(
        mi.Point3f(*(float(p) for p in camera.position_mm)), dr.normalize(mi.Vector3f(*camera.directions(u, v)))
    )
    colour, _, _ = integrator.sample(scene, sampler, rays)
    return [dr.block_sum(dr.minimum(channel, BRIGHTEST), per_pass) for channel in (colour.x, colour.y, colour.z)]


def where_pixels_land(scene: mi.Scene, camera: Camera, pixels: np.ndarray) -> np.ndarray:
    """World points that the rays through these pixels meet first: a check of the truth by the renderer itself."""
    u, v = mi.Float(pixels[:, 0]), mi.Float(pixels[:, 1])
    start = mi.Point3f(*(float(p) for p in camera.position_mm))
    hit = scene.ray_intersect(mi.Ray3f(start, dr.normalize(mi.Vector3f(*camera.directions(u, v)))))
    return np.array(hit.p).T
