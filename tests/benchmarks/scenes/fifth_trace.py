"""The scene of a plan, its picture, and rays that hold the truth against it."""

from __future__ import annotations

import time
from dataclasses import dataclass

import drjit as dr
import mitsuba as mi
import numpy as np

from . import fifth_things as things
from .fifth_cards import Hung, hang, hung_cards
from .fifth_draws import Plan, camera
from .fifth_finish import finish
from .fifth_light import light
from .fifth_studio import Array, Picture
from .fifth_walls import build_walls

from studio.camera import Camera, undistorted_scale  # isort: skip
from studio.shot import smaller  # isort: skip
from studio.shapes import Builder  # isort: skip
from studio.surfaces import lacquer, plain  # isort: skip
from studio.things import PlumbLine, hang_plumb_line  # isort: skip

BRIGHTEST = 4.0  # what a single path adds at most, in times of the light that nine tenths of a glance stay below
DEEPEST = 6
SAMPLER = "multijitter"  # evenly spread over all samples of a pixel: less noise than independent ones


@dataclass(frozen=True)
class Scene:
    plan: Plan
    camera: Camera
    equivalent_mm: float
    hung: tuple[Hung, ...]
    options: tuple[str, ...]
    line: PlumbLine | None
    words: str
    decoys: tuple[str, ...]
    traced: mi.Scene


def compose(plan: Plan) -> Scene:
    rng = [np.random.default_rng([plan.seed, k]) for k in range(8)]
    hung, options = hung_cards(plan, rng[0])
    cards = [item.card for item in hung]
    corners = np.vstack([np.column_stack([plan.opening.corners, np.zeros(4)]), *(card.outline() for card in cards)])
    seen, equivalent = camera(plan, corners, rng[1])
    looks = finish(plan, rng[2])
    build = Builder()
    build_walls(build, plan, looks, _recess(plan, rng[3]))
    for item in hung:
        hang(build, item)
    line = _line(plan, rng[4])
    if line:
        hang_plumb_line(build, line)
    light(build, plan, seen.position_mm, rng[5])
    decoys = things.decoys(build, plan, cards, rng[6])
    if plan.place in ("window", "niche"):
        things.window_or_niche(build, plan, rng[7])
    things.clutter(build, plan, cards, rng[7])
    traced = mi.load_dict({"type": "scene", **build.shapes})
    return Scene(plan, seen, equivalent, hung, options, line, looks.words, tuple(decoys), traced)


def _recess(plan: Plan, rng: np.random.Generator) -> tuple[float, float, float, float] | None:
    """A niche in the back wall of a shower or over a tub."""
    if plan.place not in ("shower", "tray", "tub") or rng.random() < 0.4:
        return None
    w, h = float(rng.uniform(280, 620)), float(rng.uniform(260, 620))
    return (
        float(rng.uniform(60, plan.opening.width_mm - w - 60)),
        0.5 * plan.opening.height_mm + float(rng.uniform(-100, 150)),
        w,
        h,
    )


def _line(plan: Plan, rng: np.random.Generator) -> PlumbLine | None:
    if not plan.plumb:
        return None
    w, h = plan.opening.width_mm, plan.opening.height_mm
    x = w * float(rng.choice([rng.uniform(0.14, 0.36), rng.uniform(0.64, 0.86)]))
    colours = ((0.03, 0.03, 0.03), (0.85, 0.6, 0.05), (0.8, 0.8, 0.78), (0.75, 0.1, 0.08))
    surface = lacquer(colours[int(rng.integers(4))]) if rng.random() < 0.5 else plain(colours[int(rng.integers(4))])
    nail = h + float(rng.uniform(45, 110))
    return PlumbLine(x, nail, float(rng.uniform(40, 110)), surface, float(rng.uniform(3.5, 6)), float(rng.uniform(1.6, 2.6)))


def expose(scene: Scene, seen: Camera, samples: int, per_pass: int, until: float = float("inf")) -> tuple[Picture, int, float]:
    """As _walked, with single paths held to a few times the picture's usual light: no fireflies."""
    glance, _, _ = _walked(scene, smaller(seen, 128 / max(seen.width, seen.height)), 16, 16, 3.0, float("inf"))
    most = BRIGHTEST * float(np.percentile(glance.mean(axis=2), 90))
    return _walked(scene, seen, samples, per_pass, most, until)


def _walked(scene: Scene, seen: Camera, samples: int, per_pass: int, most: float, until: float) -> tuple[Picture, int, float]:
    """Mean radiance (h, w, 3), the samples taken until then (time.monotonic, s), the share of paths lost."""
    integrator = mi.load_dict({"type": "path", "max_depth": DEEPEST, "rr_depth": 4})
    count = seen.width * seen.height
    total = [dr.zeros(mi.Float, count) for _ in range(3)]
    passes, bad = 0, 0.0
    sampler = mi.load_dict({"type": SAMPLER, "sample_count": samples})
    samples = int(sampler.sample_count())
    per_pass = max(k for k in range(1, per_pass + 1) if samples % k == 0)
    sampler.set_samples_per_wavefront(per_pass)
    sampler.seed(dr.opaque(mi.UInt32, scene.plan.seed % 2**31), count * per_pass)
    sampler.schedule_state()
    dr.eval()
    while passes == 0 or (passes * per_pass < samples and time.monotonic() < until):
        light_, lost = _one_pass(scene.traced, integrator, sampler, seen, per_pass, most)
        sampler.advance()
        sampler.schedule_state()
        for channel in range(3):
            total[channel] += light_[channel]
        dr.eval()
        dr.eval(*total)
        dr.sync_thread()
        bad += lost
        passes += 1
    taken = passes * per_pass
    picture = np.stack([np.array(t) for t in total], axis=1) / taken
    return picture.reshape(seen.height, seen.width, 3).astype(np.float32), taken, bad / passes


def _one_pass(
    scene: mi.Scene, integrator: mi.Integrator, sampler: mi.Sampler, seen: Camera, per_pass: int, most: float
) -> tuple[list[mi.Float], float]:
    count = seen.width * seen.height * per_pass
    pixel = dr.arange(mi.UInt32, count) // dr.opaque(mi.UInt32, per_pass)
    offset = sampler.next_2d()
    width = dr.opaque(mi.UInt32, seen.width)
    u = mi.Float(pixel % width) + offset.x - 0.5
    v = mi.Float(pixel // width) + offset.y - 0.5
    colour, _, _ = integrator.sample(scene, sampler, _rays(seen, u, v))
    good = dr.isfinite(colour.x) & dr.isfinite(colour.y) & dr.isfinite(colour.z)
    limit = dr.opaque(mi.Float, most)
    clean = [dr.select(good, dr.minimum(channel, limit), 0.0) for channel in (colour.x, colour.y, colour.z)]
    lost = dr.select(good, 0.0, 1.0)
    sampler.schedule_state()  # with the paths in one kernel: otherwise the next pass would walk them again
    dr.eval(*clean, lost)
    sums = [dr.block_sum(channel, per_pass) for channel in clean]
    return sums, float(np.array(dr.sum(lost)).ravel()[0]) / count


def _rays(seen: Camera, u: mi.Float, v: mi.Float) -> mi.RayDifferential3f:
    """Like Camera.directions, but with numbers that do not become part of the compiled kernel."""

    def held(value: float) -> mi.Float:
        return dr.opaque(mi.Float, float(value))

    x, y = (u - held(seen.cx)) / held(seen.f_px), (v - held(seen.cy)) / held(seen.f_px)
    shrink = undistorted_scale(x * x + y * y, held(seen.k1), held(seen.k2))
    x, y = x * shrink, y * shrink
    r = [[held(e) for e in row] for row in seen.rotation]
    way = mi.Vector3f(*(r[0][i] * x + r[1][i] * y + r[2][i] for i in range(3)))
    return mi.RayDifferential3f(mi.Point3f(*(held(p) for p in seen.position_mm)), dr.normalize(way))


def landed(scene: Scene, points_mm: Array) -> Array:
    """Where the rays through the projections of world points (n, 3) meet the scene first, (n, 3) mm."""
    pixels = scene.camera.project(points_mm)
    hit = scene.traced.ray_intersect(mi.Ray3f(_rays(scene.camera, mi.Float(pixels[:, 0]), mi.Float(pixels[:, 1]))))
    return np.array(hit.p, dtype=np.float64).T
