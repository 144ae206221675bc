"""Rays for the seventh family: the scene, its picture, and the proof that picture and truth agree."""

from __future__ import annotations

from dataclasses import dataclass

import drjit as dr
import mitsuba as mi
import numpy as np

from .seventh_cards import hang
from .seventh_draws import Plan
from .seventh_things import furnish
from .seventh_walls import Builder, Outline, build_house

# isort: split
from studio.camera import Camera, undistorted_scale
from studio.things import hang_plumb_line

DEPTH = 6
BESIDE_MM = 0.25
MOST_HIDDEN = {"edge": 0.25, "side": 0.34}


@dataclass(frozen=True)
class Proof:
    reason: str  # why the attempt is dropped; empty: it stands
    text: str


def assemble(plan: Plan) -> mi.Scene:
    build = Builder()
    build_house(build, plan.house)
    for lamp in plan.lamps:
        build.lamp(lamp.centre_mm, lamp.toward, lamp.size_mm, lamp.rgb)
    hang(build, plan.hung)
    if plan.plumb:
        hang_plumb_line(build, plan.plumb)
    furnish(build, plan.house, plan.seed, plan.cover)
    return mi.load_dict({"type": "scene", **build.shapes})


def expose(scene: mi.Scene, camera: Camera, samples: int, per_pass: int, seed: int) -> np.ndarray:
    """Mean radiance of every pixel, float32; a first rough picture says how bright a single path may be."""
    integrator = mi.load_dict({"type": "path", "max_depth": DEPTH, "rr_depth": 5})
    rough = _total(scene, integrator, _smaller(camera), (16, 8), seed + 1, 1e6) / 16
    brightest = 6.0 * float(np.percentile(rough, 97))
    passes = max(1, samples // per_pass)
    return _total(scene, integrator, camera, (passes * per_pass, per_pass), seed, brightest) / np.float32(passes * per_pass)


def _smaller(camera: Camera) -> Camera:
    factor = 160 / max(camera.width, camera.height)
    return Camera(
        round(camera.width * factor),
        round(camera.height * factor),
        camera.f_px * factor,
        camera.cx * factor,
        camera.cy * factor,
        camera.k1,
        camera.k2,
        camera.position_mm,
        camera.rotation,
    )


def _total(
    scene: mi.Scene, integrator: mi.Integrator, camera: Camera, many: tuple[int, int], seed: int, brightest: float
) -> np.ndarray:
    samples, per_pass = many
    pixels = camera.width * camera.height
    total = [dr.zeros(mi.Float, pixels) for _ in range(3)]
    for number in range(max(1, samples // per_pass)):
        light = _one_pass(scene, integrator, camera, per_pass, (seed * 1000 + number) % 2**31, brightest)
        for channel in range(3):
            total[channel] += light[channel]
        dr.eval(*total)
    picture = np.stack([np.array(t) for t in total], axis=1)
    return np.nan_to_num(picture.reshape(camera.height, camera.width, 3).astype(np.float32))


def _one_pass(
    scene: mi.Scene, integrator: mi.Integrator, camera: Camera, per_pass: int, seed: int, brightest: float
) -> list[mi.Float]:
    """All numbers of the camera are opaque, so that every room runs the same kernel."""
    count = camera.width * camera.height * per_pass
    fixed = lambda v: dr.opaque(mi.Float, float(v))  # noqa: E731
    sampler = mi.load_dict({"type": "independent", "sample_count": per_pass})
    sampler.seed(dr.opaque(mi.UInt32, seed), count)
    pixel = dr.arange(mi.UInt32, count) // per_pass
    width = dr.opaque(mi.UInt32, camera.width)
    offset = sampler.next_2d()
    u = mi.Float(pixel % width) + offset.x - 0.5
    v = mi.Float(pixel // width) + offset.y - 0.5
    x, y = (u - fixed(camera.cx)) / fixed(camera.f_px), (v - fixed(camera.cy)) / fixed(camera.f_px)
    shrink = undistorted_scale(x * x + y * y, fixed(camera.k1), fixed(camera.k2))
    x, y = x * shrink, y * shrink
    r = [[fixed(e) for e in row] for row in camera.rotation]
    way = mi.Vector3f(*(r[0][i] * x + r[1][i] * y + r[2][i] for i in range(3)))
    rays = mi.RayDifferential3f(mi.Point3f(*(fixed(p) for p in camera.position_mm)), dr.normalize(way))
    colour, _, _ = integrator.sample(scene, sampler, rays)
    most = fixed(brightest)
    kept = [dr.select(dr.isfinite(c), dr.minimum(c, most), 0.0) for c in (colour.x, colour.y, colour.z)]
    return [dr.block_sum(c, per_pass) for c in kept]


def _landed(scene: mi.Scene, camera: Camera, points: np.ndarray) -> np.ndarray:
    """Where the rays through the pixels of these points meet the scene."""
    pixels = camera.project(points)
    ways = np.stack(camera.directions(pixels[:, 0], pixels[:, 1]), axis=1)
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    start = mi.Point3f(*(float(p) for p in camera.position_mm))
    hit = scene.ray_intersect(mi.Ray3f(start, mi.Vector3f(ways.T.astype(np.float32))))
    return np.array(hit.p).T


def proof(scene: mi.Scene, plan: Plan) -> Proof:
    """Rays a quarter of a millimetre on either side of every edge and card side."""
    wrong, shot, worst, texts, reason = 0, 0, 0.0, [], ""
    for name, inside, outside in _edges(plan):
        near, far = _landed(scene, plan.camera, inside), _landed(scene, plan.camera, outside)
        hidden = (near[:, 2] > 1.0) | (far[:, 2] > 1.0)
        off = np.linalg.norm(far - outside, axis=1)[~hidden]
        wrong += int((near[~hidden, 2] > -0.02).sum() + (off > 0.05).sum())
        shot, worst = shot + 2 * len(off), max(worst, float(off.max(initial=0)))
        if hidden.mean() > 0:
            texts.append(f"{name} {100 * hidden.mean():.0f}%")
        if hidden.mean() > MOST_HIDDEN["edge"]:
            reason = f"{name} hidden"
    for number, card in enumerate(plan.hung.cards, 1):
        for side, (inside, outside) in enumerate(_sides(card.outline())):
            near, far = _landed(scene, plan.camera, inside), _landed(scene, plan.camera, outside)
            hidden = (near[:, 2] > card.front_z_mm + 0.03) | (far[:, 2] > card.front_z_mm + 0.03)
            off = np.linalg.norm(near - inside, axis=1)[~hidden]
            wrong += int((far[~hidden, 2] > card.front_z_mm - 0.01).sum() + (off > 0.05).sum())
            shot, worst = shot + 2 * len(off), max(worst, float(off.max(initial=0)))
            if hidden.mean() > MOST_HIDDEN["side"]:
                reason = f"card {number} side {side} hidden"
    if wrong > 2:
        reason = f"{wrong} of {shot} rays on the wrong side"
    return Proof(reason, f"{shot} rays, {wrong} on the wrong side, worst {worst:.4f} mm; hidden: {', '.join(texts) or 'nothing'}")


def _edges(plan: Plan) -> list[tuple[str, np.ndarray, np.ndarray]]:
    opening, house = plan.house.opening, plan.house
    line, found = Outline(opening), []
    ends = {
        "left": house.arris.radius_mm,
        "right": house.arris.radius_mm,
        "head": house.arris.radius_mm,
        "curb": house.sill_radius_mm,
    }
    for name, points in opening.edges(120).items():
        kept = points[5:-5]
        outside, inside = kept.copy(), kept.copy()
        axis = 0 if name in ("left", "right") else 1
        way = {"left": -1, "right": 1, "curb": -1, "head": 1}[name]
        out = ends[name] + BESIDE_MM
        if axis == 0:
            outside[:, 0], inside[:, 0] = line.x(name, kept[:, 1], out), line.x(name, kept[:, 1], -BESIDE_MM)
        else:
            outside[:, 1], inside[:, 1] = kept[:, 1] + way * out, kept[:, 1] - way * BESIDE_MM
        found.append((name, *(np.column_stack([p, np.zeros(len(p))]) for p in (inside, outside))))
    return found


def _sides(corners: np.ndarray) -> list[tuple[np.ndarray, np.ndarray]]:
    t = np.linspace(0.09, 0.91, 40)[:, None]
    middle, found = corners.mean(axis=0), []
    for a, b in ((0, 1), (1, 2), (2, 3), (3, 0)):
        points = corners[a] + t * (corners[b] - corners[a])
        along = (corners[b] - corners[a]) / np.linalg.norm(corners[b] - corners[a])
        inward = np.cross([0, 0, 1.0], along)
        inward *= np.sign(np.dot(inward, middle - corners[a]))
        found.append((points + BESIDE_MM * inward, points - BESIDE_MM * inward))
    return found
