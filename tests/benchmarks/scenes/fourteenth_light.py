"""The rest of the room: floor, ceiling, side walls, and the lamps, windows and blinds that light it."""

from __future__ import annotations

import numpy as np

from sample_images.studio.camera import Camera
from sample_images.studio.shapes import Builder
from sample_images.studio.surfaces import plain

from . import fourteenth_cloth as cloth
from . import fourteenth_inside as inside
from .fourteenth_plan import Room

TONES = ((1.0, 0.78, 0.5), (1.0, 0.88, 0.7), (1.0, 0.96, 0.9), (0.95, 0.98, 1.0), (0.8, 0.9, 1.0))
KINDS = {
    "panel": 2, "two panels": 2, "bulb": 1.5, "day left": 2, "day right": 2, "day behind": 1.5, "flash": 1.3, "downlights": 2,
    "work lamp": 1, "sconces": 1, "from inside": 1.3, "blind": 1.8, "board": 1.2, "dusk": 0.8,
}  # fmt: skip


def shell(build: Builder, room: Room, camera: Camera, rng: np.random.Generator) -> None:
    """Floor (tilted with the bottom edge where it runs through), ceiling and three walls about the camera."""
    hole = room.hole
    x0, x1, z1 = hole.reach[0], hole.reach[1], float(camera.position_mm[2]) + float(rng.uniform(500, 1500))
    low, high = hole.floor_y, hole.ceiling_y
    lows = [float(v) for v in hole.bottom(np.array([x0, x1]))] if room.tilt else [low, low]
    build.quad(
        np.array([[x0, lows[0], z1], [x1, lows[1], z1], [x1, lows[1], hole.face_z], [x0, lows[0], hole.face_z]]), room.floor
    )
    above = cloth.painted(rng, cloth.g.colour("f4f3ee"))
    build.quad(np.array([[x0, high, -60], [x1, high, -60], [x1, high, z1], [x0, high, z1]]), above)
    walls = cloth.painted(rng)
    for x in (x0, x1):
        build.quad(np.array([[x, low - 40, z1], [x, low - 40, -60], [x, high, -60], [x, high, z1]]), walls)
    inside.plate(build, (x0, low - 40, x1, high), z1, walls)


def _rgb(rng: np.random.Generator, power: float, warm: int | None = None) -> tuple[float, float, float]:
    tone = TONES[int(rng.integers(5)) if warm is None else warm]
    return tuple(power * float(rng.uniform(0.7, 1.4)) * c for c in tone)  # type: ignore[return-value]


def lights(build: Builder, room: Room, camera: Camera, rng: np.random.Generator) -> str:
    """One or two lights drawn from the list over a weak general one."""
    names = list(KINDS)
    p = np.array(list(KINDS.values())) / sum(KINDS.values())
    drawn = [str(n) for n in rng.choice(names, 1 + int(rng.random() < 0.35), replace=False, p=p)]
    hole = room.hole
    general = {"dusk": 0.06, "from inside": 0.25}.get(drawn[0], float(rng.uniform(0.5, 2.0)))
    middle = hole.opening.width_mm / 2
    build.lamp((middle, hole.ceiling_y - 3, camera.position_mm[2] * 0.7), (0, -1, 0), (1500, 1200), _rgb(rng, general))
    for name in drawn:
        _one(build, room, camera, rng, name)
    if hole.depth > 280 and room.inside not in inside.BEYOND and (rng.random() < 0.45 or drawn[0] in ("from inside", "dusk")):
        top = room.head_y if hole.edges["top"].inward[-1][0] > -30 and hole.opening.head else hole.ceiling_y
        power = 40.0 if drawn[0] in ("from inside", "dusk") else float(rng.uniform(3, 18))
        side = float(min(180, 0.3 * hole.depth))
        build.lamp((middle, top - 16, -0.55 * hole.depth), (0, -1, 0), (side * 2, side), _rgb(rng, power))
    return " + ".join(drawn)


def _one(build: Builder, room: Room, camera: Camera, rng: np.random.Generator, name: str) -> None:
    hole, place = room.hole, [float(v) for v in camera.position_mm]
    w, high, low = hole.opening.width_mm, hole.ceiling_y - 4, hole.floor_y
    x0, x1 = hole.reach
    if name in ("panel", "two panels"):
        for x in (w * rng.uniform(-0.3, 1.3),) if name == "panel" else (x0 * 0.4, w + 0.4 * (x1 - w)):
            build.lamp((float(x), high, float(rng.uniform(500, 1900))), (0, -1, 0), (420, 420), _rgb(rng, 12))
    elif name == "bulb":
        x, z = float(rng.uniform(x0 * 0.6, w + 0.6 * (x1 - w))), float(rng.uniform(400, 1500))
        glow = {"type": "area", "radiance": {"type": "rgb", "value": list(_rgb(rng, 150, 0))}}
        build.add({"type": "sphere", "center": [x, high - 350, z], "radius": 45.0, "emitter": glow})
    elif name in ("day left", "day right"):
        x, way = (x0 + 4, 1) if name == "day left" else (x1 - 4, -1)
        z = float(rng.uniform(500, 2000))
        build.lamp((x, low + 1450, z), (way, 0, 0), (float(rng.uniform(500, 1300)), 1200), _rgb(rng, 7, int(rng.integers(2, 5))))
    elif name == "day behind":
        build.lamp((w / 2 + float(rng.uniform(-900, 900)), low + 1500, place[2] + 480), (0, 0, -1), (1300, 1100), _rgb(rng, 6, 4))
    elif name == "flash":
        build.lamp(
            (place[0] + 20, place[1] + 60, place[2] - 10),
            (w / 2 - place[0], 0 - place[1] + 700, -place[2]),
            (14, 14),
            _rgb(rng, 9000, 3),
        )
    elif name == "downlights":
        for x in np.linspace(x0 * 0.6, w + 0.6 * (x1 - w), int(rng.integers(2, 5))):
            build.lamp((float(x), high, float(rng.uniform(160, 420))), (0, -1, 0), (70, 70), _rgb(rng, 220, 1))
    elif name == "work lamp":
        x = float(rng.choice([x0 * 0.7, w + 0.7 * (x1 - w)]))
        at = (x, low + float(rng.uniform(200, 1300)), float(rng.uniform(500, 1300)))
        build.lamp(at, (w / 2 - at[0], 400 - at[1], -at[2]), (130, 90), _rgb(rng, 90, 1))
    elif name == "sconces":
        glow = {"type": "area", "radiance": {"type": "rgb", "value": list(_rgb(rng, 45, 1))}}
        for x in (-room.flat - 330, w + room.flat + 330):
            if x0 + 60 < x < x1 - 60:
                build.add({"type": "sphere", "center": [x, low + 1850, hole.face_z + 130], "radius": 55.0, "emitter": glow})
    elif name in ("blind", "board"):
        _shadowed(build, room, rng, name)


def _shadowed(build: Builder, room: Room, rng: np.random.Generator, name: str) -> None:
    """A small strong lamp at a side, with bars or a board in front: stripes of sun and straight-edged shadows."""
    hole = room.hole
    x0, x1 = hole.reach
    left = rng.random() < 0.5
    at = np.array([x0 + 40 if left else x1 - 40, hole.floor_y + rng.uniform(1500, 2100), rng.uniform(1100, 2300)])
    aim = np.array([hole.opening.width_mm * rng.uniform(0.2, 0.8), room.head_y * rng.uniform(0.3, 0.8), 0])
    side = float(rng.uniform(15, 60))
    build.lamp(tuple(at), tuple(aim - at), (side, side), _rgb(rng, 2.2e6 / side**2, 2))
    black, forward = plain((0.02, 0.02, 0.02)), (aim - at) / np.linalg.norm(aim - at)
    across = np.cross(forward, [0, 1, 0]) / np.linalg.norm(np.cross(forward, [0, 1, 0]))
    up = np.cross(across, forward)
    if rng.random() < 0.4:
        across, up = up, -across
    centre = at + 300 * forward
    spots = (
        np.arange(-3, 4) * float(rng.uniform(28, 70))
        if name == "blind"
        else [float(rng.choice([-1, 1])) * (130 + rng.uniform(-20, 25))]
    )
    thick = float(rng.uniform(8, 26)) if name == "blind" else 130.0
    for spot in spots:
        m = centre + spot * up
        corners = [
            m - 260 * across - thick * up,
            m + 260 * across - thick * up,
            m + 260 * across + thick * up,
            m - 260 * across + thick * up,
        ]
        build.quad(np.array(corners), black)
