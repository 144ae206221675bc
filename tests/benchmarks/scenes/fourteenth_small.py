"""Small things that several modules want: plates, rims, bottles, panes with a garden behind."""

from __future__ import annotations

import numpy as np

from sample_images.studio.shapes import Builder
from sample_images.studio.surfaces import Surface, lacquer, metal

from . import fourteenth_cloth as cloth
from . import fourteenth_grain as g


def plate(build: Builder, box: tuple[float, float, float, float], z: float, surface: Surface) -> None:
    """A flat rectangle that faces the camera."""
    x0, y0, x1, y1 = box
    build.quad(np.array([[x0, y0, z], [x1, y0, z], [x1, y1, z], [x0, y1, z]]), surface)


def edges_metal(rng: np.random.Generator) -> Surface:
    return metal(((0.74, 0.75, 0.76), (0.8, 0.63, 0.35), (0.08, 0.08, 0.08))[rng.integers(3)], float(rng.uniform(0.06, 0.3)))


def boxed(build: Builder, box: tuple[float, float, float, float], z: float, ground: Surface, rim: Surface) -> None:
    x0, y0, x1, y1 = box
    plate(build, box, z + 1.5, ground)
    for low, high in (((x0, y0), (x1, y0 + 9)), ((x0, y1 - 9), (x1, y1)), ((x0, y0), (x0 + 9, y1)), ((x1 - 9, y0), (x1, y1))):
        build.box((*low, z), (*high, z + 9), rim)


def bottle(build: Builder, rng: np.random.Generator, foot: tuple[float, float, float]) -> None:
    x, y, z = foot
    tall, r = float(rng.uniform(90, 230)), float(rng.uniform(18, 38))
    build.capped_rod((x, y, z), (x, y + tall, z), r, lacquer(tuple(rng.uniform(0.03, 0.8, 3)), 0.2))
    build.capped_rod((x, y + tall, z), (x, y + tall + 30, z), r * 0.5, lacquer(tuple(rng.uniform(0.03, 0.8, 3)), 0.2))


def glowing(build: Builder, box: tuple[float, float, float, float], z: float, picture: np.ndarray) -> None:
    """A picture that shines: a view out of doors."""
    x0, y0, x1, y1 = box
    place = g.mi.ScalarTransform4f().translate([(x0 + x1) / 2, (y0 + y1) / 2, z])
    place = place @ g.mi.ScalarTransform4f().scale([(x1 - x0) / 2, (y1 - y0) / 2, 1])
    light = {"type": "area", "radiance": g.texture(picture, "clamp")}
    build.add({"type": "rectangle", "to_world": place, "emitter": light, "bsdf": {"type": "diffuse"}})


def garden(rng: np.random.Generator, strength: float) -> np.ndarray:
    """Sky, hedge or hills, lawn, some trunks; blurred as things far away are."""
    n = 256
    y = np.linspace(0, 1, n)[:, None] + 0.02 * g.cloud(rng, (1, n), (1, 20))
    picture = np.ones((n, n, 1)) * g.colour(str(rng.choice(["dfe9f2", "eef0f0", "b9d0e6", "f3e9da"]))) * 1.6
    edge = 0.55 + 0.06 * g.cloud(rng, (1, n), (1, 12))
    hedge = (
        g.colour(str(rng.choice(["4f6b3a", "35502f", "7b7f55", "6d6a64"]))) * (1 + 0.35 * g.cloud(rng, (n, n), (4, 4)))[..., None]
    )
    picture = np.where((y < edge)[..., None], hedge, picture)
    lawn = (
        g.colour(str(rng.choice(["7c9448", "98a46a", "b0a890", "8b8b88"]))) * (1 + 0.12 * g.cloud(rng, (n, n), (3, 6)))[..., None]
    )
    picture = np.where((y < rng.uniform(0.15, 0.4))[..., None], lawn, picture)
    for x in rng.integers(0, n - 12, rng.integers(0, 4)):
        picture[int(0.25 * n) :, x : x + int(rng.integers(3, 10))] *= 0.3
    return np.clip(picture, 0.01, 3) * strength


def window(build: Builder, box: tuple[float, float, float, float], z: float, rng: np.random.Generator) -> None:
    """A pane in a frame with bars."""
    x0, y0, x1, y1 = box
    glowing(build, box, z, garden(rng, float(rng.uniform(1.0, 4.0))))
    frame, t, thick = cloth.gloss(rng), float(rng.uniform(30, 65)), float(rng.uniform(20, 55))
    bars = [((x0, y0), (x1, y0 + t)), ((x0, y1 - t), (x1, y1)), ((x0, y0), (x0 + t, y1)), ((x1 - t, y0), (x1, y1))]
    for i in range(1, int(rng.integers(1, 4))):
        x = x0 + (x1 - x0) * i / 3
        bars.append(((x - t / 3, y0), (x + t / 3, y1)))
    if rng.random() < 0.5:
        y = y0 + (y1 - y0) * float(rng.uniform(0.4, 0.7))
        bars.append(((x0, y - t / 3), (x1, y + t / 3)))
    for low, high in bars:
        build.box((*low, z + 1), (*high, z + thick), frame)
