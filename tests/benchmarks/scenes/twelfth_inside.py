"""What is seen through the opening in the twelfth rooms, and where clutter can stand without hiding what is measured."""

from __future__ import annotations

from collections.abc import Sequence

import mitsuba as mi
import numpy as np
from studio.camera import Camera
from studio.shapes import Builder

from .twelfth_choice import gloss, matt, mirror, shade, steel
from .twelfth_fabric import Rng, noise, texels
from .twelfth_refs import Ref
from .twelfth_shell import Shell
from .twelfth_things import HUNG, STOOD, Thing, flask, framed, pot, towel

Placed = tuple[Thing, tuple[float, float, float]]


OUTSIDE = {"bulb": 0.04, "downlights": 0.12, "within": 0.5, "flash": 0.05, "panel": 0.35, "mixed": 0.3, "lowsun": 0.4}


def furnish(build: Builder, shell: Shell, scheme: str, rng: Rng) -> None:
    if shell.kind == "window":
        _window(build, shell, rng)
        _outside(build, shell, OUTSIDE.get(scheme, 0.6), rng)
        return
    {"shower": _shower, "tub": _shower, "doorway": _beyond, "niche": _shelves}[shell.kind](build, shell, rng)


def _shower(build: Builder, shell: Shell, rng: Rng) -> None:
    width, deep = shell.opening.width_mm, shell.depth_mm
    chrome = steel() if rng.random() < 0.6 else gloss((0.04, 0.04, 0.04), 0.3)
    x, z = width * float(rng.uniform(0.3, 0.7)), -deep
    top = shell.opening.height_mm - float(rng.uniform(120, 260))
    build.rod((x, 700, z + 45), (x, top, z + 45), 10, chrome)
    build.rod((x, top, z + 45), (x, top + 20, z + 330), 10, chrome)
    build.capped_rod((x, top + 15, z + 330), (x, top - 5, z + 330), float(rng.uniform(60, 120)), chrome)
    build.capped_rod((x - 130, 720, z + 50), (x + 130, 720, z + 50), 22, chrome)
    ground = -70.0 if shell.kind == "shower" else 0.0
    if shell.kind == "tub":
        build.box((20, -420, z), (width - 20, 0, z + 70), shell.curb)
    for _ in range(int(rng.integers(1, 5))):
        flask(build, (float(rng.uniform(90, width - 90)), ground, z + 40), rng)
    if rng.random() < 0.3:
        y = float(rng.uniform(0.35, 0.5)) * shell.opening.height_mm
        build.box((0, y, z), (width, y + 26, z + 120), shell.curb)
    if rng.random() < 0.4:
        towel(build, (float(rng.uniform(60, max(70, width - 480))), 1000 if shell.kind == "shower" else 500, z), rng)


def _beyond(build: Builder, shell: Shell, rng: Rng) -> None:
    width, z, low = shell.opening.width_mm, -shell.depth_mm, shell.floor_y
    far = z - 2700
    build.box((width * 0.2 - 300, low, far), (width * 0.2 + 500, low + 800, far + 420), gloss(shade(rng, 0.4, 0.2), 0.4))
    framed(build, (width * float(rng.uniform(0.1, 0.8)), low + 1250, far), rng)
    pot(build, (width * 0.75, low, far + 300), rng)
    if rng.random() < 0.6:  # a door leaf folded back behind the wall
        leaf = gloss(shade(rng, 0.7, 0.1), 0.35)
        build.box((-45, low + 8, z - 800), (-5, shell.opening.height_mm - 15, z - 10), leaf)
        build.capped_rod((-5, low + 1020, z - 740), (60, low + 1020, z - 740), 10, steel())
        build.rod((55, low + 1020, z - 740), (55, low + 1020, z - 630), 9, steel())


def _window(build: Builder, shell: Shell, rng: Rng) -> None:
    width, height, z = shell.opening.width_mm, shell.opening.height_mm, -shell.depth_mm
    frame = gloss(shade(rng, 0.8, 0.15), 0.35)
    bar, x0, x1, y0, y1 = 58.0, -60.0, width + 60, -60.0, height + 60
    for low, high in (
        ((x0, y0, z - 60), (bar, y1, z + 2)),
        ((width - bar, y0, z - 60), (x1, y1, z + 2)),
        ((x0, y0, z - 60), (x1, bar, z + 2)),
        ((x0, height - bar, z - 60), (x1, y1, z + 2)),
        ((width / 2 - 32, y0, z - 50), (width / 2 + 32, y1, z + 8)),
    ):
        build.box(low, high, frame)
    if rng.random() < 0.4:
        build.box((x0, height * 0.62, z - 45), (x1, height * 0.62 + 36, z - 4), frame)
    if rng.random() < 0.6 and shell.depth_mm > 130:
        flask(build, (width * float(rng.uniform(0.2, 0.8)), float(shell.lower[-1, 0]), z + 50), rng)


def _outside(build: Builder, shell: Shell, daylight: float, rng: Rng) -> None:
    """Sky over a hedge, a frosted pane or the night."""
    width, height, z = shell.opening.width_mm, shell.opening.height_mm, -shell.depth_mm - 45
    what = int(rng.integers(4))
    sky = np.ones((160, 160, 3)) * np.array([0.8, 0.92, 1.05])
    if what < 2:
        hedge = (np.arange(160)[:, None] < 60 + 14 * noise(rng, (160, 160), 9))[..., None]
        green = np.array([0.1, 0.2, 0.06]) * np.exp(0.5 * noise(rng, (160, 160), 3))[..., None]
        sky = np.where(hedge, green, sky)
    strength = daylight * (2.6, 1.4, 1.8, 0.02)[what]
    corners = [[-200, -200, z], [width + 200, -200, z], [width + 200, height + 200, z], [-200, height + 200, z]]
    middle = np.mean(corners, axis=0)
    place = mi.ScalarTransform4f().translate(list(middle)) @ mi.ScalarTransform4f().scale([width / 2 + 200, height / 2 + 200, 1])
    glow = {"type": "area", "radiance": texels(strength * sky, "clamp")}
    build.add({"type": "rectangle", "to_world": place, "emitter": glow})


def _shelves(build: Builder, shell: Shell, rng: Rng) -> None:
    width, height, z = shell.opening.width_mm, shell.opening.height_mm, -shell.depth_mm
    count = int(rng.integers(0, 3)) if height > 500 else 0
    board = shell.curb if rng.random() < 0.5 else gloss((0.3, 0.3, 0.31), 0.15)
    grounds = [float(shell.lower[-1, 0])]
    for k in range(count):
        y = height * (k + 1) / (count + 1)
        build.box((-30, y, z), (width + 30, y + 20, -22), board)
        grounds.append(y + 20)
    if count == 0 and rng.random() < 0.4:
        build.quad(np.array([[0, 0, z + 4], [width, 0, z + 4], [width, height, z + 4], [0, height, z + 4]], float), mirror())
    for ground in grounds:
        for _ in range(int(rng.integers(0, 4))):
            flask(build, (float(rng.uniform(60, width - 60)), ground, 0.5 * z), rng)
        if rng.random() < 0.4:
            x = float(rng.uniform(0.2, 0.5)) * width
            for k in range(3):
                tone = matt(shade(rng, 0.6, 0.1))
                build.box((x, ground + 42 * k, 0.85 * z), (x + 0.3 * width, ground + 42 * k + 38, 0.2 * z), tone)


def clutter(shell: Shell, refs: Sequence[Ref], camera: Camera, rng: Rng) -> list[Placed]:
    """Draws things for the wall and the floor; whatever would stand before an edge or touch a card is left out."""
    keep = _keep_clear(shell, refs)
    seen = camera.project(keep)
    found: list[Placed] = []
    taken: list[tuple[float, float, float, float]] = [_rectangle(ref) for ref in refs]
    wanted = int(rng.integers(3, 9))
    for _ in range(140):
        if len(found) >= wanted:
            break
        hung = rng.random() < 0.55
        thing = (HUNG if hung else STOOD)[int(rng.integers(len(HUNG if hung else STOOD)))]
        wide, tall, _deep = thing.size
        left = rng.random() < 0.5
        reach = shell.left_mm if left else shell.right_mm
        out = float(rng.uniform(shell.side.outer_mm + 30, reach))
        x = -out - wide if left else shell.opening.width_mm + out
        if (-x if left else x + wide - shell.opening.width_mm) > reach:
            continue
        y = shell.floor_y + float(rng.uniform(700, 1900)) if hung else shell.floor_y
        z = 1.0 if hung else float(rng.uniform(20, 500))
        if thing.name == "ladder":
            z = 1.0
        box = (x, y, x + wide, y + tall)
        clash = any(box[0] < b[2] + 25 and b[0] < box[2] + 25 and box[1] < b[3] + 25 and b[1] < box[3] + 25 for b in taken)
        if clash or y + tall > shell.ceiling_y - 20 or _hides(camera, (x, y, z), thing.size, seen):
            continue
        found.append((thing, (x, y, z)))
        taken.append(box)
    return found


def _rectangle(ref: Ref) -> tuple[float, float, float, float]:
    corners = ref.outline()[:, :2]
    (x0, y0), (x1, y1) = corners.min(axis=0) - 45, corners.max(axis=0) + 45
    return float(x0), float(y0), float(x1), float(y1)


def _keep_clear(shell: Shell, refs: Sequence[Ref]) -> np.ndarray:
    """Points that have to be seen: outline, strip beside it, cards with a margin."""
    edges = [np.column_stack([p, np.zeros(len(p))]) for p in shell.opening.edges(60).values()]
    for ref in refs:
        u, v = np.meshgrid(np.linspace(-0.12, 1.12, 9), np.linspace(-0.12, 1.12, 9))
        place = np.array([ref.centre_mm[0], ref.centre_mm[1], 0.0])
        edges.append(np.stack([(u - 0.5) * ref.size_mm[0], (v - 0.5) * ref.size_mm[1], 0 * u], -1).reshape(-1, 3) + place)
    return np.concatenate(edges)


def _hides(camera: Camera, at: tuple[float, float, float], size: tuple[float, float, float], seen: np.ndarray) -> bool:
    far = np.array(at) + size
    box = np.array([[a, b, c] for a in (at[0], far[0]) for b in (at[1], far[1]) for c in (at[2], far[2])])
    if ((box - camera.position_mm) @ camera.rotation[2]).min() < 300:
        return True
    low, high = camera.project(box).min(axis=0) - 25, camera.project(box).max(axis=0) + 25
    return bool(((seen > low) & (seen < high)).all(axis=1).any())
