"""Rays of the sixth rooms: the linear picture, and the proof that the truth is what the rays meet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np

from tests.benchmarks.scenes.sixth_plan import Plan
from tests.benchmarks.scenes.sixth_studio import Camera
from tests.benchmarks.scenes.sixth_stuff import Array

BOUNCES = 7
ASIDE_MM = 0.25
NEAR_MM = 0.02
MOST_EDGE, MOST_SIDE, MOST_CARD = 0.25, 1 / 3, 0.05


def expose(scene: Any, camera: Camera, samples: int, seed: int, per_pass: int) -> tuple[Array, float]:
    """Mean radiance of each pixel (h, w, 3), no path brighter than twenty times the middle; share of paths that are no number."""
    first, _ = _passes(scene, camera, per_pass, seed + 7, per_pass, 1e9)  # the same kernel: nothing is compiled twice
    return _passes(scene, camera, samples, seed, per_pass, 20 * float(np.median(first)))


def _passes(scene: Any, camera: Camera, samples: int, seed: int, per_pass: int, most: float) -> tuple[Array, float]:
    integrator = mi.load_dict({"type": "path", "max_depth": BOUNCES, "rr_depth": 4})
    total = [dr.zeros(mi.Float, camera.width * camera.height) for _ in range(3)]
    passes, lost, limit = max(1, samples // per_pass), 0, dr.opaque(mi.Float, most)
    for number in range(passes):
        count = camera.width * camera.height * per_pass
        sampler = mi.load_dict({"type": "independent", "sample_count": per_pass})
        sampler.seed(dr.opaque(mi.UInt32, (seed * 1009 + number) % 2**31), count)
        pixel, offset = dr.arange(mi.UInt32, count) // per_pass, sampler.next_2d()
        u = mi.Float(pixel % camera.width) + offset.x - 0.5
        v = mi.Float(pixel // camera.width) + offset.y - 0.5
        colour, _, _ = integrator.sample(scene, sampler, mi.RayDifferential3f(_rays(camera, u, v)))
        sound = dr.isfinite(colour.x + colour.y + colour.z)
        for at, channel in enumerate((colour.x, colour.y, colour.z)):
            total[at] += dr.block_sum(dr.select(sound, dr.minimum(channel, limit), 0.0), per_pass)
        dr.eval(*total, sound)  # together: asked for later, it would trace everything again
        lost += int(np.array(dr.count(~sound)).item())
    picture = np.stack([np.array(t) for t in total], axis=1) / (passes * per_pass)
    share = lost / (passes * per_pass * camera.width * camera.height)
    return picture.reshape(camera.height, camera.width, 3).astype(np.float32), share


def _rays(camera: Camera, u: Any, v: Any) -> Any:
    start = mi.Point3f(*(float(p) for p in camera.position_mm))
    return mi.Ray3f(start, dr.normalize(mi.Vector3f(*camera.directions(u, v))))


def met(scene: Any, camera: Camera, points: Array, off_px: float = 0.0) -> Array:
    """Where the rays through the pixels of these points land, (n, 3)."""
    pixels = camera.project(points) + off_px
    hit = scene.ray_intersect(_rays(camera, mi.Float(pixels[:, 0]), mi.Float(pixels[:, 1])))
    return np.asarray(np.array(hit.p).T)


@dataclass(frozen=True)
class Proof:
    """Worst distance between truth and what rays meet (mm), rays on the wrong side, and what share is hidden."""

    error_mm: float
    wrong: int
    edges: dict[str, float]
    sides: float
    cards: float

    @property
    def fails(self) -> str | None:
        if self.wrong:
            return f"truth not met by {self.wrong} rays, by up to {self.error_mm:.3f} mm"
        worst = max(self.edges, key=lambda e: self.edges[e])
        if self.edges[worst] > MOST_EDGE:
            return f"{worst} hidden by {self.edges[worst]:.0%}"
        if self.sides > MOST_SIDE:
            return f"a card's side hidden by {self.sides:.0%}"
        return f"a card hidden by {self.cards:.0%}" if self.cards > MOST_CARD else None

    def text(self) -> str:
        edges = " ".join(f"{name} {share:.0%}" for name, share in self.edges.items() if share > 0.005)
        return (
            f"truth met to {self.error_mm:.4f} mm, {self.wrong} rays on the wrong side; "
            f"hidden: {edges or 'no edge'}, card side {self.sides:.0%}, card {self.cards:.1%}"
        )


def prove(scene: Any, plan: Plan) -> Proof:
    """Points a quarter of a millimetre either side of every edge and card side, and a grid over every card."""
    errors, wrong, edges, sides, cards = [0.0], 0, {}, [0.0], [0.0]
    for name, line in plan.opening.edges(401).items():
        inward = _inward(name, line)
        hidden, error, bad = _either_side(scene, plan.camera, line[3:-3], inward[3:-3], 0.0, -0.001)
        edges[name] = hidden
        errors.append(error)
        wrong += bad
    for card in plan.references:
        corners = card.outline()
        z = card.front_z_mm
        for a in range(4):
            b = (a + 1) % 4
            line = corners[a] + np.linspace(0.08, 0.92, 121)[:, None] * (corners[b] - corners[a])
            out = np.array([corners[b][1] - corners[a][1], corners[a][0] - corners[b][0]])
            outward = np.tile(out / np.linalg.norm(out), (len(line), 1))
            below = None if card.kind == "sheet" else z - 0.03
            hidden, error, bad = _either_side(scene, plan.camera, line[:, :2], outward, z, below)
            sides.append(hidden)
            errors.append(error)
            wrong += bad
        u, v = (g.ravel()[:, None] for g in np.meshgrid(np.linspace(0.04, 0.96, 60), np.linspace(0.06, 0.94, 60)))
        inner = corners[0] + u * (corners[1] - corners[0]) + v * (corners[3] - corners[0])
        cards.append(float(np.mean(met(scene, plan.camera, inner)[:, 2] > z + 0.012 + (0.0 if card.kind == "id-1" else 1.6))))
    return Proof(max(errors), wrong, edges, max(sides), max(cards))


def _inward(name: str, line: Array) -> Array:
    along = np.gradient(line, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    turn = {"left": -1, "head": -1, "right": 1, "curb": 1}[name]
    # left runs upward: into the opening is to its right; curb runs to the right: into the opening is to its left
    return np.asarray(np.stack([turn * -along[:, 1], turn * along[:, 0]], 1))


def _either_side(scene: Any, camera: Camera, line: Array, away: Array, z: float, below: float | None) -> tuple[float, float, int]:
    """Share hidden, worst error of the points on the near side of the line, and how many beyond it do not fall behind."""
    flat = np.full((len(line), 1), z)
    on, off = np.hstack([line - ASIDE_MM * away, flat]), np.hstack([line + ASIDE_MM * away, flat])
    hit_on, hit_off = met(scene, camera, on), met(scene, camera, off)
    for off_px in (0.006, -0.006, 0.011):  # a ray that slips between two triangles is shot again, a little beside
        slipped = (np.linalg.norm(hit_on - on, axis=1) > NEAR_MM) & (hit_on[:, 2] <= z + 0.012)
        missed = (hit_off[:, 2] > (below if below is not None else 1e9)) & (hit_off[:, 2] <= z + 0.012)
        if slipped.any():
            hit_on = np.where(slipped[:, None], met(scene, camera, on, off_px), hit_on)
        if missed.any():
            hit_off = np.where(missed[:, None], met(scene, camera, off, off_px), hit_off)
    covered = (hit_on[:, 2] > z + 0.012) | (hit_off[:, 2] > z + 0.012)
    errors = np.linalg.norm(hit_on - on, axis=1)[~covered]
    bad = 0 if below is None else int((hit_off[~covered, 2] > below).sum())
    return float(covered.mean()), float(errors.max(initial=0.0)), bad + int((errors > NEAR_MM).sum())
