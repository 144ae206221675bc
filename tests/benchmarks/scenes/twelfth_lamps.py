"""Light in the twelfth rooms: seven ways in which such places are lit when somebody takes out a phone."""

from __future__ import annotations

import mitsuba as mi
import numpy as np
from studio.camera import Camera
from studio.shapes import Builder

from .twelfth_choice import gloss
from .twelfth_fabric import RGB, Rng
from .twelfth_shell import Shell

SCHEMES = ("window", "downlights", "mixed", "bulb", "flash", "within", "panel", "lowsun")
WARM: RGB = (1.0, 0.68, 0.38)
SOFT: RGB = (1.0, 0.82, 0.6)
DAY: RGB = (0.95, 0.98, 1.0)
COOL: RGB = (0.72, 0.86, 1.0)


def times(rgb: RGB, factor: float) -> RGB:
    return tuple(float(c * factor) for c in rgb)  # type: ignore[return-value]


def light(build: Builder, shell: Shell, scheme: str, camera: Camera, rng: Rng) -> None:
    """Hangs the lamps of one scheme; every room has a little light from its ceiling."""
    width, top = shell.opening.width_mm, shell.ceiling_y - 3
    weak = float(rng.uniform(0.25, 0.6)) * {"panel": 0.3, "within": 2.4}.get(scheme, 1.0)
    build.lamp((width / 2, top, 2000), (0, -1, 0), (900, 900), times(SOFT, weak))
    _inside(build, shell, scheme, rng)
    side = 1 if rng.random() < 0.5 else -1
    if scheme in ("window", "mixed", "lowsun"):
        _pane(build, shell, side, float(rng.uniform(4, 7)) * (0.45 if scheme == "mixed" else 1.0), rng)
    if scheme == "downlights":
        for k in range(int(rng.integers(3, 6))):
            x = width / 2 + (k - 2) * float(rng.uniform(380, 520))
            x = float(np.clip(x, -shell.left_mm + 100, width + shell.right_mm - 100))
            _spot(build, (x, top, float(rng.uniform(250, 1300))), times(SOFT, 130))
    if scheme in ("bulb", "mixed"):
        x = width / 2 + side * float(rng.uniform(200, 650))
        z = float(rng.uniform(900, 1700))
        _bulb(build, (x, top - float(rng.uniform(180, 420)), z), times(WARM, 75 if scheme == "bulb" else 40), top)
    if scheme == "flash":
        _flash(build, camera, times(DAY, 5200))
    if scheme == "panel":
        tint = (DAY, SOFT, COOL)[int(rng.integers(3))]
        build.lamp((width / 2 + side * 300, top, float(rng.uniform(900, 1900))), (0, -1, 0), (600, 600), times(tint, 9))
    if scheme == "lowsun":
        _sun(build, shell, side, rng)


def _inside(build: Builder, shell: Shell, scheme: str, rng: Rng) -> None:
    """The lamp behind the wall face: in the shower's ceiling, in the room beyond, over a shelf."""
    width, height, deep = shell.opening.width_mm, shell.opening.height_mm, shell.depth_mm
    strong = 1.5 if scheme == "within" else float(rng.uniform(0.15, 1.1))
    if scheme == "flash":
        strong *= 0.3
    tint = (SOFT, DAY, WARM)[int(rng.integers(3))]
    if shell.kind in ("shower", "tub"):
        y = float(shell.head_y(width / 2)) - shell.side.profile[-1, 0] - shell.splay_mm - 9
        build.lamp((width / 2, y, -0.55 * deep), (0, -1, 0), (220, 220), times(tint, 14 * strong))
    elif shell.kind == "doorway":
        build.lamp((width / 2, shell.ceiling_y + 140, -deep - 1300), (0, -1, 0), (700, 700), times(tint, 6 * strong))
    elif shell.kind == "niche" and (scheme == "within" or rng.random() < 0.4):
        y = height - shell.side.profile[-1, 0] - 10
        build.lamp((width / 2, y, -0.6 * deep), (0, -1, 0), (0.6 * width, 14), times(SOFT, 25 * strong))


def _pane(build: Builder, shell: Shell, side: int, strength: float, rng: Rng) -> None:
    x = -shell.left_mm + 3 if side > 0 else shell.opening.width_mm + shell.right_mm - 3
    y = shell.floor_y + float(rng.uniform(1350, 1600))
    tint = COOL if rng.random() < 0.6 else DAY
    build.lamp((x, y, float(rng.uniform(900, 2300))), (side, 0, 0), (float(rng.uniform(700, 1200)), 1000), times(tint, strength))


def _spot(build: Builder, at: tuple[float, float, float], rgb: RGB) -> None:
    place = mi.ScalarTransform4f().look_at(list(at), [at[0], at[1] - 1, at[2]], [0, 0, 1]) @ mi.ScalarTransform4f().scale(38)
    glow = {"type": "area", "radiance": {"type": "rgb", "value": list(rgb)}}
    build.add({"type": "disk", "to_world": place, "emitter": glow})


def _bulb(build: Builder, at: tuple[float, float, float], rgb: RGB, top: float) -> None:
    glow = {"type": "area", "radiance": {"type": "rgb", "value": list(rgb)}}
    build.add({"type": "sphere", "center": list(at), "radius": 38.0, "emitter": glow})
    black = gloss((0.03, 0.03, 0.03))
    build.capped_rod((at[0], at[1] + 38, at[2]), (at[0], at[1] + 85, at[2]), 19, black)
    build.rod((at[0], at[1] + 85, at[2]), (at[0], top, at[2]), 3, black)


def _flash(build: Builder, camera: Camera, rgb: RGB) -> None:
    right, forward = camera.rotation[0], camera.rotation[2]
    at = camera.position_mm + 14 * right - 4 * camera.rotation[1]
    place = mi.ScalarTransform4f().look_at(list(at), list(at + forward), list(-camera.rotation[1]))
    glow = {"type": "area", "radiance": {"type": "rgb", "value": list(rgb)}}
    build.add({"type": "disk", "to_world": place @ mi.ScalarTransform4f().scale(9.0), "emitter": glow})


def _sun(build: Builder, shell: Shell, side: int, rng: Rng) -> None:
    """A small strong lamp far along the wall: light that grazes it and shows every dent."""
    x = -shell.left_mm + 40 if side > 0 else shell.opening.width_mm + shell.right_mm - 40
    y, z = shell.floor_y + float(rng.uniform(1500, 2100)), float(rng.uniform(1000, 2200))
    target = (shell.opening.width_mm / 2 - x, shell.opening.height_mm / 2 - y, -z)
    way = np.array(target) / np.linalg.norm(target)
    build.lamp((x, y, z), tuple(way), (130, 130), times((1.0, 0.86, 0.62), 90))
