"""Light as it is found in a bathroom under refit. Only ratios matter: the phone meters what comes back."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tests.benchmarks.scenes.sixth_plan import Plan
from tests.benchmarks.scenes.sixth_stuff import RGB, Site, plain

COOL: RGB = (0.72, 0.86, 1.0)
DAY: RGB = (0.95, 0.98, 1.0)
WARM: RGB = (1.0, 0.76, 0.48)
Rng = np.random.Generator
Triple = tuple[float, float, float]


def _times(rgb: RGB, strength: float) -> RGB:
    return rgb[0] * strength, rgb[1] * strength, rgb[2] * strength


def _panel(site: Site, plan: Plan, x: float, z: float, side: float, rgb: RGB) -> None:
    site.lamp((x, plan.ceiling_mm - 4, z), (0, -1, 0), (side, side), rgb)


def _pane(site: Site, plan: Plan, side: int, z: float, rgb: RGB, size: tuple[float, float] = (900, 1100)) -> None:
    x = -plan.beyond_mm[0] + 3 if side < 0 else plan.opening.width_mm + plan.beyond_mm[1] - 3
    site.lamp((x, 1450 - plan.curb_mm, z), (-side, 0, 0), size, rgb)


def window(site: Site, plan: Plan, rng: Rng) -> str:
    """Daylight from one side, falling off across the wall; the lamp is off."""
    side = int(rng.choice([-1, 1]))
    _pane(site, plan, side, float(rng.uniform(700, 1500)), _times(COOL, 8))
    _panel(site, plan, plan.opening.width_mm / 2, 1700, 500, _times(DAY, 1.0))
    return f"window {'left' if side < 0 else 'right'}"


def bulb(site: Site, plan: Plan, rng: Rng) -> str:
    """One bare bulb on its cable."""
    x, z = plan.opening.width_mm * float(rng.uniform(-0.1, 1.1)), float(rng.uniform(900, 1700))
    y = plan.ceiling_mm - float(rng.uniform(150, 350))
    site.sphere_lamp((x, y, z), 32.0, _times(WARM, 420))
    site.rod((x, y + 60, z), (x, plan.ceiling_mm, z), 3.0, plain((0.03, 0.03, 0.03)))
    site.capped_rod((x, y + 30, z), (x, y + 75, z), 19.0, plain((0.05, 0.05, 0.05)))
    return "bare bulb"


def work(site: Site, plan: Plan, rng: Rng) -> str:
    """A work light on the floor to one side, shadows upward."""
    side = int(rng.choice([-1, 1]))
    middle = plan.opening.width_mm / 2
    x = middle + side * float(rng.uniform(0.5, 0.9)) * (middle + 350)
    x = float(np.clip(x, -plan.beyond_mm[0] + 200, plan.opening.width_mm + plan.beyond_mm[1] - 200))
    centre: Triple = (x, float(rng.uniform(150, 500)) - plan.curb_mm, float(rng.uniform(1300, 1900)))
    site.lamp(centre, (0.25 * (middle - x) / 1000, 0.45, -1.0), (220, 160), _times((0.93, 0.97, 1.0), 90))
    _panel(site, plan, middle, 1500, 300, _times(WARM, float(rng.choice([0.0, 3.0]))))
    return "work light from the floor"


def flash(site: Site, plan: Plan, rng: Rng) -> str:
    """The phone's flash beside its lens, a little room light."""
    right, down = plan.camera.rotation[0], plan.camera.rotation[1]
    place = plan.camera.position_mm + 14 * right - 3 * down + 2 * plan.camera.rotation[2]
    ahead = plan.camera.rotation[2]
    centre: Triple = (float(place[0]), float(place[1]), float(place[2]))
    site.lamp(centre, (float(ahead[0]), float(ahead[1]), float(ahead[2])), (9, 9), _times(DAY, 2.6e5))
    _panel(site, plan, plan.opening.width_mm * float(rng.uniform(0.1, 0.9)), 1500, 400, _times(WARM, 7.0))
    return "flash"


def mixed(site: Site, plan: Plan, rng: Rng) -> str:
    """Cool window and warm lamp."""
    side = int(rng.choice([-1, 1]))
    _pane(site, plan, side, float(rng.uniform(900, 1900)), _times(COOL, 4))
    _panel(site, plan, plan.opening.width_mm * float(rng.uniform(0.2, 0.8)), float(rng.uniform(700, 1600)), 260, _times(WARM, 28))
    return "window and warm lamp"


def grazing(site: Site, plan: Plan, rng: Rng) -> str:
    """Small spots in the ceiling close to the wall: long shadows of everything that stands out."""
    z = float(rng.uniform(260, 480))
    for x in np.linspace(-0.15, 1.15, int(rng.integers(3, 5))) * plan.opening.width_mm:
        _panel(site, plan, float(x), z, 70, _times((1.0, 0.88, 0.7), 260))
    _panel(site, plan, plan.opening.width_mm / 2, 1900, 400, _times(DAY, 6))
    return "spots close to the wall"


def inside(site: Site, plan: Plan, rng: Rng) -> str:
    """Most of the light is behind the opening."""
    site.lamp((plan.opening.width_mm * float(rng.uniform(0.3, 0.7)), plan.ceiling_mm - 4, -0.55 * plan.depth_mm), (0, -1, 0),
              (220, 220), _times(DAY, 55))  # fmt: skip
    _panel(site, plan, plan.opening.width_mm / 2, 1600, 380, _times(WARM, 12))
    return "lamp behind the opening"


def overcast(site: Site, plan: Plan, rng: Rng) -> str:
    """A wide window or open door behind the photographer."""
    z = float(plan.camera.position_mm[2]) + 690
    x = plan.opening.width_mm * float(rng.uniform(0, 1))
    site.lamp((x, 1400 - plan.curb_mm, z), (0, 0, -1), (1300, 1700), _times(DAY, 6))
    _pane(site, plan, int(rng.choice([-1, 1])), z - 700, _times(DAY, 1.5))
    return "daylight from behind the photographer"


KINDS: dict[str, Callable[[Site, Plan, Rng], str]] = {
    f.__name__: f for f in (window, bulb, work, flash, mixed, grazing, inside, overcast)
}


def light(site: Site, plan: Plan) -> str:
    """Puts up the lamps of the kind that was dealt, and the photographer who stands behind the camera."""
    x, _, z = (float(c) for c in plan.camera.position_mm)
    cloth = plain((0.06, 0.07, 0.10))
    site.capped_rod((x + 40, -plan.curb_mm, z + 260), (x + 40, 1400 - plan.curb_mm, z + 260), 180, cloth)
    site.ball((x + 40, 1560 - plan.curb_mm, z + 280), 105, plain((0.4, 0.28, 0.22)))
    return KINDS[plan.dealt["light"]](site, plan, plan.rng(5))
