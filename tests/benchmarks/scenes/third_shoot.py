"""Light, exposure and checks of the third family: lamps, metering, what is hidden and what can be seen."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import cv2
import mitsuba as mi
import numpy as np
from studio import develop, trace
from studio.camera import Camera
from studio.shapes import Builder
from studio.shot import Shot
from studio.things import hang_plumb_line
from third_cards import Dress
from third_patterns import RGB, Rng, one_of
from third_plan import Lit, Plan

WARM, NEUTRAL, COOL = (1.0, 0.8, 0.58), (1.0, 0.95, 0.88), (0.84, 0.93, 1.0)


def lit(
    plan: Plan,
    centre: Any,
    toward: Any,
    size: tuple[float, float],
    light: float,
    rgb: tuple[float, float, float],
    back: bool = False,
) -> Lit:
    """A lamp strong enough to give so much light in the middle of the opening, or on the back wall."""
    spot = np.array([plan.opening.width_mm / 2, plan.opening.height_mm / 2, plan.back_z if back else 0.0])
    ray = spot - np.asarray(centre, float)
    away = float(np.linalg.norm(ray))
    slant = max(0.2, float(ray @ np.asarray(toward, float)) / away / float(np.linalg.norm(toward))) * max(0.3, -ray[2] / away)
    power = light * away**2 / (size[0] * size[1] * slant)
    return Lit(tuple(map(float, centre)), tuple(map(float, toward)), size, tuple(power * c for c in rgb))  # type: ignore[arg-type]


def lamps_of(rng: Rng, plan: Plan, style: str, camera: Camera) -> tuple[Lit, ...]:
    middle, top, depth, eye = plan.opening.width_mm / 2, plan.ceiling_y - 4, camera.position_mm[2], camera.position_mm
    side = one_of(rng, ((plan.left_x + 4, 1), (plan.right_x - 4, -1)))
    tint = one_of(rng, (WARM, NEUTRAL, NEUTRAL))
    down, found = (0, -1, 0), []

    def ceiling(x: float, z: float, size: tuple[float, float], light: float, rgb: RGB) -> None:
        found.append(lit(plan, (middle + x, top, z), down, size, light, rgb))

    def beside(y: float, size: tuple[float, float], light: float, rgb: RGB) -> None:
        found.append(lit(plan, (side[0], plan.floor_y + y, 0.62 * depth), (side[1], 0, 0), size, light, rgb))

    if style in ("daylight", "mixed"):
        beside(1500, (900, 1100), 3.0 if style == "daylight" else 1.8, COOL)
        ceiling(0, 0.7 * depth, (300, 300), 0.35 if style == "daylight" else 1.6, NEUTRAL if style == "daylight" else WARM)
    elif style == "downlights":
        for x, z in ((-450, 600), (450, 650), (-420, 1700), (460, 1750)):
            ceiling(x, z, (90, 90), 0.75, tint)
    elif style == "mirror":
        beside(1950, (700, 70), 2.2, tint)
        ceiling(100, 0.8 * depth, (250, 250), 0.4, tint)
    elif style == "flash":
        aim = np.array([middle, plan.opening.height_mm / 2, 0.0]) - eye
        found.append(lit(plan, eye + np.array([22.0, 14, -8]), aim, (9, 9), 2.6, NEUTRAL))
        ceiling(-150, 0.6 * depth, (250, 250), 0.5, WARM)
    elif style == "strip":
        ceiling(0, 0.75 * depth, (1600, 35), 3.0, tint)
    else:
        ceiling(120, 0.55 * depth, (300, 300), 0.8 if style == "backlit" else 3.0, tint)
    behind = 4.0 if style == "backlit" else 0.25 if style == "flash" else float(rng.uniform(0.8, 2.6))
    if plan.kind != "window":
        found.append(
            lit(plan, (middle + 80, top, 0.5 * plan.back_z), down, (160, 160), behind, one_of(rng, (tint, NEUTRAL)), True)
        )
    return tuple(found)


def balance_of(rng: Rng, rgb: tuple[float, float, float]) -> tuple[float, float, float]:
    """What the phone makes of the light: most of its colour is taken out."""
    red, blue = (float((rgb[1] / c) ** 0.75 * (1 + 0.04 * rng.uniform(-1, 1))) for c in (rgb[0], rgb[2]))
    return (red, 1.0, blue)


@dataclass(frozen=True)
class Scene:
    shot: Shot
    plan: Plan
    dresses: tuple[Dress, ...]
    edge_taken: str
    layout: str
    cover: str


def assemble(scene: Scene) -> mi.Scene:
    build = Builder()
    scene.shot.furnish(build)
    if scene.shot.plumb_line:
        hang_plumb_line(build, scene.shot.plumb_line)
    return mi.load_dict({"type": "scene", **build.shapes})


SIDES = (("b", 0, 1), ("r", 1, 2), ("t", 3, 2), ("l", 0, 3))


def covered(scene: Scene, traced: mi.Scene) -> dict[str, float]:
    """Share of each edge, card and card side that something stands before; rays 0.3 mm outside an edge must land on the plane."""
    found: dict[str, float] = {}

    def beside(wanted: np.ndarray, allowed: float) -> float:
        landed = trace.where_pixels_land(traced, scene.shot.camera, scene.shot.camera.project(wanted))
        return float(np.mean(np.linalg.norm(landed - wanted, axis=1) > allowed))

    for name, points in scene.shot.opening.edges(60).items():
        inner = points[1:-1] + {"left": (-0.3, 0.0), "right": (0.3, 0.0), "curb": (0.0, -0.3), "head": (0.0, 0.3)}[name]
        found[name] = beside(np.column_stack([inner, np.zeros(len(inner))]), 0.05)
    grid = np.stack(np.meshgrid(np.linspace(0.03, 0.97, 15), np.linspace(0.03, 0.97, 15)), -1).reshape(-1, 2)
    t = np.linspace(0.05, 0.95, 40)[:, None]
    for number, dress in enumerate(scene.dresses, 1):
        c, allowed = dress.card.outline(), dress.curl_mm * 1.5 + 0.15
        found[f"card {number}"] = beside(c[0] + grid[:, :1] * (c[1] - c[0]) + grid[:, 1:] * (c[3] - c[0]), allowed)
        for side, a, b in SIDES:
            found[f"card {number}{side}"] = beside(0.98 * (c[a] + t * (c[b] - c[a])) + 0.02 * c.mean(axis=0), allowed)
    return found


def step_across(picture: np.ndarray, line: np.ndarray, reach: float) -> np.ndarray:
    """Largest step in a channel, of 255, at points along a line (n, 2), between means `reach` to 3 `reach` px on either side."""
    along = np.gradient(line, axis=0)
    across = np.column_stack([-along[:, 1], along[:, 0]]) / np.linalg.norm(along, axis=1)[:, None]
    ahead = along / np.linalg.norm(along, axis=1)[:, None]
    steps = []
    for side in (-1, 1):
        spots = [line + side * d * reach * across + k * reach * ahead for d in (1, 1.7, 2.4) for k in (-3, -1.5, 0, 1.5, 3)]
        index = np.round(np.array(spots)).astype(int)
        x, y = np.clip(index[..., 0], 0, picture.shape[1] - 1), np.clip(index[..., 1], 0, picture.shape[0] - 1)
        steps.append(picture[y, x].astype(float).mean(axis=0))
    return np.abs(steps[1] - steps[0]).max(axis=1)


def seen_steps(scene: Scene, camera: Camera, picture: np.ndarray) -> dict[str, tuple[float, float]]:
    """For each edge and card side: the median step, and the share of its length with a step of at least 5."""
    factor = camera.width / scene.shot.camera.width
    lines = {
        name: camera.project(np.column_stack([p, np.zeros(len(p))]))[1:-1] for name, p in scene.shot.opening.edges(60).items()
    }
    t = np.linspace(0.1, 0.9, 25)[:, None]
    for number, dress in enumerate(scene.dresses, 1):
        c = dress.card.outline()
        lines |= {f"card {number}{side}": camera.project(c[a] + t * (c[b] - c[a])) for side, a, b in SIDES}
    steps = {name: step_across(picture, line, max(1.0, 2.5 * factor)) for name, line in lines.items()}
    return {name: (float(np.median(s)), float(np.mean(s >= 5))) for name, s in steps.items()}


def faults(hidden: dict[str, float], steps: dict[str, tuple[float, float]]) -> list[str]:
    """Why a room is drawn again: part of an edge or card hidden (a quarter, a third of a card's side), or not to be seen."""
    limit = {name: 0.25 if " " not in name else 0.05 if name[-1].isdigit() else 0.34 for name in hidden}
    found = [f"{name} {100 * share:.0f}% hidden" for name, share in hidden.items() if share > limit[name]]
    return found + [
        f"{name} step {step:.1f} over {100 * share:.0f}%" for name, (step, share) in steps.items() if step < 6 or share < 0.6
    ]


def developed(scene: Scene, camera: Camera, linear: np.ndarray) -> np.ndarray:
    """The meter looks at what is not burnt out; the lightest card stays below white; highlights roll off."""
    how = scene.shot.development
    toned = linear * np.asarray(how.white_balance, np.float32)
    light = toned.mean(axis=2)
    soft = cv2.GaussianBlur(light, (0, 0), 4 * camera.width / scene.shot.camera.width)
    open_part = light[light < 2.0]
    key = float(np.exp(np.mean(np.log(np.maximum(open_part, 1e-3)))))
    cards = []
    for dress in scene.dresses:
        c = np.round(camera.project(dress.card.outline())).astype(int)
        cards.append(float(np.percentile(soft[c[:, 1].min() : c[:, 1].max() + 1, c[:, 0].min() : c[:, 0].max() + 1], 70)))
    gain = min(0.3 / key, 0.82 / max(cards))
    bright = toned * gain
    rolled = np.where(bright > 0.65, 0.65 + 0.33 * (1 - np.exp(-(bright - 0.65) / 0.33)), bright).astype(np.float32)
    rolled /= np.asarray(how.white_balance, np.float32)
    undo = np.log2(
        1 / develop.exposure_factor(cv2.GaussianBlur(rolled, (0, 0), how.blur_px) * np.asarray(how.white_balance, np.float32))
    )
    return develop.develop(rolled, replace(how, exposure=float(undo)), scene.shot.seed)


def expose(scene: Scene, traced: mi.Scene, camera: Camera, samples: int, per_pass: int) -> tuple[np.ndarray, float]:
    """The linear picture and the share of pixels that came back as no number (filled from beside them)."""
    linear = trace.expose(traced, camera, samples, scene.shot.seed % 1_000_003, per_pass)
    bad = ~np.isfinite(linear).all(axis=2)
    linear[bad] = np.nan_to_num(np.roll(linear, 2, axis=1)[bad], nan=0.2, posinf=1.0)
    return linear, float(bad.mean())
