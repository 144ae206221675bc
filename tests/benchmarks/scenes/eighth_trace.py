"""Rays through the truth of an eighth room: what they meet, what hides the edges, and the picture itself."""

from __future__ import annotations

from dataclasses import dataclass, field

import drjit as dr
import mitsuba as mi
import numpy as np

from tests.benchmarks.scenes.eighth_cards import Ref
from tests.benchmarks.scenes.eighth_walls import House

from studio.camera import Camera  # isort: skip  # on the path since eighth_looks

ASIDE_MM = 0.3
WRONG_MM = 0.05
EDGE_HIDDEN, SIDE_HIDDEN, CORNER_CLEAR_MM = 0.12, 0.25, 12.0
SHIFTS = (0.0, 0.006, -0.006)
"""px; a ray that slips between two triangles is shot again beside"""


@dataclass
class Proof:
    """What rays found."""

    rays: int = 0
    wrong: int = 0
    worst_mm: float = 0.0
    hidden: dict[str, float] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    def words(self) -> str:
        shown = ", ".join(f"{name} {share:.0%}" for name, share in self.hidden.items() if share > 0) or "nothing"
        return f"{self.rays} rays, {self.wrong} on the wrong side, worst {self.worst_mm:.4f} mm; hidden: {shown}"


def land(scene: mi.Scene, camera: Camera, points: np.ndarray, shift: float = 0.0) -> np.ndarray:
    """Where the rays through the pixels of these points end."""
    pixels = camera.project(points) + shift
    u, v = mi.Float(pixels[:, 0]), mi.Float(pixels[:, 1])
    start = mi.Point3f(*(float(p) for p in camera.position_mm))
    hit = scene.ray_intersect(mi.Ray3f(start, dr.normalize(mi.Vector3f(*camera.directions(u, v)))))
    return np.array(hit.p).T


def edge_lines(house: House, count: int = 61) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """Points along each edge with the outward direction, both in the plane of the face."""
    ways = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "curb": (0.0, -1.0), "head": (0.0, 1.0)}
    return {name: (points, np.array(ways[name])) for name, points in house.opening.edges(count).items()}


def prove(scene: mi.Scene, camera: Camera, house: House, refs: list[Ref], plumb_x: float | None) -> Proof:
    """Rays beside every edge and card side must meet what the truth says."""
    proof = Proof()
    flat = dict.fromkeys(("left", "right", "head"), house.profile.flat_ends_mm) | {"curb": house.sill.radius_mm}
    for name, (points, way) in edge_lines(house).items():
        inner = points[1:-1]
        beyond = _deep(inner + way * (flat[name] + ASIDE_MM), 0.0)
        within = _deep(inner - way * (ASIDE_MM + 0.02), 0.0)
        shadowed = _meet(scene, camera, beyond, proof, name, plumb_x)
        _through(scene, camera, within, proof, shadowed)
        ends = np.linalg.norm(points - points[0], axis=1), np.linalg.norm(points - points[-1], axis=1)
        near = (np.minimum(*ends)[1:-1] < 0.03 * max(ends[0].max(), 1)) & shadowed
        if near.any():
            proof.faults.append(f"{name} hidden beside a corner")
        if proof.hidden[name] > EDGE_HIDDEN:
            proof.faults.append(f"{name} hidden {proof.hidden[name]:.0%}")
    _corners(scene, camera, house, proof)
    for number, ref in enumerate(sorted(refs, key=lambda r: tuple(camera.project(r.outline()).mean(axis=0))), 1):
        _prove_ref(scene, camera, ref, proof, f"card {number}")
    if proof.wrong:
        proof.faults.append(f"{proof.wrong} rays on the wrong side")
    return proof


def _deep(points: np.ndarray, z: float) -> np.ndarray:
    return np.column_stack([points, np.full(len(points), z)])


def _meet(
    scene: mi.Scene, camera: Camera, wanted: np.ndarray, proof: Proof, name: str, plumb_x: float | None = None
) -> np.ndarray:
    """Rays at points that must be met; those covered by something nearer are counted as hidden and returned as a mask."""
    shots = np.stack([land(scene, camera, wanted, shift) for shift in SHIFTS])
    off = np.linalg.norm(shots - wanted, axis=2)
    covered = (shots[..., 2] - wanted[:, 2] > 0.02).all(axis=0)
    best = off.min(axis=0)
    if plumb_x is not None and name == "head":
        covered |= (np.abs(wanted[:, 0] - plumb_x) < 30) & (best > WRONG_MM)
    proof.rays += len(wanted)
    proof.wrong += int((best[~covered] > WRONG_MM).sum())
    proof.worst_mm = max(proof.worst_mm, float(best[~covered & (best <= WRONG_MM)].max(initial=0.0)))
    proof.hidden[name] = max(proof.hidden.get(name, 0.0), float(covered.mean()))
    return covered


def _through(scene: mi.Scene, camera: Camera, wanted: np.ndarray, proof: Proof, covered: np.ndarray) -> None:
    """Rays just inside the opening must pass the plane of the face."""
    shots = np.stack([land(scene, camera, wanted, shift) for shift in SHIFTS])
    passed = (shots[..., 2] < wanted[:, 2] - 0.02).any(axis=0) | (shots[..., 2] > 1.0).all(axis=0)
    proof.rays += len(wanted)
    proof.wrong += int((~passed & ~covered).sum())


def _corners(scene: mi.Scene, camera: Camera, house: House, proof: Proof) -> None:
    """Nothing may stand before a corner of the opening: the rays about it end at the face or behind."""
    turn = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    ring = CORNER_CLEAR_MM * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    for number, corner in enumerate(house.opening.corners, 1):
        landed = land(scene, camera, _deep(corner + ring, 0.0))
        proof.rays += len(ring)
        if (landed[:, 2] > 0.5).any():
            proof.faults.append(f"corner {number} hidden")


def _prove_ref(scene: mi.Scene, camera: Camera, ref: Ref, proof: Proof, name: str) -> None:
    """Just inside its sides rays meet the front, just outside they miss it."""
    corners = ref.outline()
    middle = corners.mean(axis=0)
    t = np.linspace(0.08, 0.92, 31)[:, None]
    for a, b in ((0, 1), (1, 2), (3, 2), (0, 3)):
        side = corners[a] + t * (corners[b] - corners[a])
        along = (corners[b] - corners[a]) / np.linalg.norm(corners[b] - corners[a])
        out = np.array([along[1], -along[0], 0.0])
        out *= np.sign(out @ (side.mean(axis=0) - middle))
        key = f"{name} {'bottom' if (a, b) == (0, 1) else 'right' if b == 2 and a == 1 else 'top' if a == 3 else 'left'}"
        covered = _meet(scene, camera, side - out * ASIDE_MM, proof, key)
        landed = land(scene, camera, side + out * ASIDE_MM)
        proof.rays += len(side)
        missed = np.abs(landed[:, 2] - ref.front_z_mm) > 0.02
        proof.wrong += int((~missed & ~covered).sum())
        if proof.hidden[key] > SIDE_HIDDEN:
            proof.faults.append(f"{key} hidden {proof.hidden[key]:.0%}")


def expose(scene: mi.Scene, camera: Camera, samples: int, per_pass: int, seed: int) -> np.ndarray:
    """Mean radiance over each pixel's square, (height, width, 3); a path adds at most some multiples of the middle grey."""
    tracer = mi.load_dict({"type": "path", "max_depth": 9, "rr_depth": 6})
    passes = max(1, samples // per_pass)
    glance = np.mean([np.array(c) for c in _one_pass(scene, tracer, camera, (per_pass, seed - 1), 4.0)], axis=0) / per_pass
    grey = float(np.exp(np.mean(np.log(glance + 1e-3 * glance.mean()))))
    total = [dr.zeros(mi.Float, camera.width * camera.height) for _ in range(3)]
    for number in range(passes):
        for channel, value in enumerate(_one_pass(scene, tracer, camera, (per_pass, seed + 7919 * number), 14.0 * grey)):
            total[channel] += value
        dr.eval(*total)
    picture = np.stack([np.array(t) for t in total], axis=1) / (passes * per_pass)
    return picture.reshape(camera.height, camera.width, 3).astype(np.float32)


def _one_pass(scene: mi.Scene, tracer: mi.Integrator, camera: Camera, work: tuple[int, int], brightest: float) -> list[mi.Float]:
    """Sums over each pixel's samples of one pass."""
    per_pass, seed = work
    count = camera.width * camera.height * per_pass
    origin, most = mi.Point3f(*(float(p) for p in camera.position_mm)), dr.opaque(mi.Float, brightest)
    sampler = mi.load_dict({"type": "independent", "sample_count": per_pass})
    sampler.seed(dr.opaque(mi.UInt32, seed & 0x7FFFFFFF), count)
    pixel = dr.arange(mi.UInt32, count) // per_pass
    jitter = sampler.next_2d()
    u = mi.Float(pixel % camera.width) + jitter.x - 0.5
    v = mi.Float(pixel // camera.width) + jitter.y - 0.5
    rays = mi.RayDifferential3f(origin, dr.normalize(mi.Vector3f(*camera.directions(u, v))))
    colour, _, _ = tracer.sample(scene, sampler, rays)
    values = (colour.x, colour.y, colour.z)
    out = [dr.block_sum(dr.select(dr.isfinite(value), dr.minimum(value, most), 0.0), per_pass) for value in values]
    dr.eval(*out)
    return out
