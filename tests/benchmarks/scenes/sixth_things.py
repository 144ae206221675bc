"""What stands, hangs and lies about in the sixth rooms, and flat things on the wall that are no references."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np

from tests.benchmarks.scenes import sixth_art as art
from tests.benchmarks.scenes.sixth_plan import Plan
from tests.benchmarks.scenes.sixth_studio import PlumbLine, placed, rounded_rectangle
from tests.benchmarks.scenes.sixth_stuff import RGB, Array, Site, glossy, linear, metal, plain, stretched

Rng = np.random.Generator
Box = tuple[float, float, float, float]


def furnish(site: Site, plan: Plan) -> tuple[list[str], list[str]]:
    """Builds clutter and things on the wall; names of both."""
    rng = plan.rng(6)
    corners = [r.outline() for r in plan.references]
    taken: list[Box] = [(c[:, 0].min(), c[:, 1].min(), c[:, 0].max(), c[:, 1].max()) for c in corners]
    flat = [name for name in (_on_wall(site, plan, rng, taken) for _ in range(int(rng.integers(1, 4)))) if name]
    names = [str(n) for n in rng.permutation(list(CLUTTER))[: int(rng.integers(2, 5))]]
    for name in names:
        CLUTTER[name](site, plan, rng)
    _fittings(site, plan, rng)
    return names, flat


def _on_wall(site: Site, plan: Plan, rng: Rng, taken: list[Box]) -> str | None:
    """One flat thing beside the opening where there is room, never of a reference's proportions and size."""
    kinds: tuple[tuple[str, float, float, float], ...] = (
        ("outlet", 86, 86, 9), ("double socket", 151, 86, 9), ("hatch", 200, 300, 5), ("picture", 240, 180, 16),
        ("note", 105, 148, 0.3), ("switch", 71, 115, 7), ("carton", 330, 210, 60), ("sample tile", 100, 200, 8),
        ("leaflet", 99, 210, 0.4),
    )  # fmt: skip
    name, w, h, thick = kinds[int(rng.integers(len(kinds)))]
    for _ in range(40):
        side = int(rng.choice([-1, 1]))
        x = -float(rng.uniform(60 + w / 2, plan.beyond_mm[0] - w / 2 - 20))
        x = x if side < 0 else plan.opening.width_mm - x * plan.beyond_mm[1] / plan.beyond_mm[0]
        y = float(rng.uniform(0.15, 0.9)) * plan.opening.height_mm
        mine = (x - w / 2 - 45, y - h / 2 - 45, x + w / 2 + 45, y + h / 2 + 45)
        clear = all(mine[2] < b[0] or b[2] < mine[0] or mine[3] < b[1] or b[3] < mine[1] for b in taken)
        if clear and -plan.beyond_mm[0] < x - w / 2 and x + w / 2 < plan.opening.width_mm + plan.beyond_mm[1]:
            taken.append(mine)
            _plate(site, rng, name, (x, y), (w, h, thick))
            return name
    return None


def _plate(site: Site, rng: Rng, name: str, centre: tuple[float, float], size: tuple[float, float, float]) -> None:
    w, h, thick = size
    radius = 4.0 if name in ("outlet", "double socket", "switch") else 0.0
    place = placed(*centre, 0.2, float(rng.normal(0, 1.0)))
    if name in ("picture", "leaflet"):
        surface = stretched(art.CARDS["portrait" if name == "leaflet" else "fade"](rng), 0.1)
    elif name == "note":
        surface = stretched(art.sheet(rng, "written", (592, 420)), None)
    else:
        tone: RGB = (0.62, 0.48, 0.32) if name == "carton" else (0.94, 0.94, 0.93) if rng.random() < 0.8 else (0.2, 0.2, 0.21)
        surface = glossy(linear(tone), 0.3)
    site.slab(rounded_rectangle(w, h, radius), thick, place, surface)
    if name in ("outlet", "double socket"):
        for dx in (0.0,) if name == "outlet" else (-36.0, 36.0):
            site.disc((centre[0] + dx, centre[1], thick + 0.4), np.array([0, 0, 1.0]), 19.5, glossy((0.5, 0.5, 0.5), 0.3))


def _aside(plan: Plan, rng: Rng, room: float) -> float:
    """Beside the opening, or now and then a little before its edge; before a reference only if nothing else is free."""
    x = 0.0
    for _ in range(12):
        side = int(rng.choice([-1, 1]))
        off = float(rng.uniform(0.0 if rng.random() < 0.35 else room, 640)) + 0.3 * room
        x = -off if side < 0 else plan.opening.width_mm + off
        if all(abs(x - r.centre_mm[0]) > 0.6 * room + 60 + r.size_mm[0] / 2 for r in plan.references):
            break
    return x


def ladder(site: Site, plan: Plan, rng: Rng) -> None:
    x, alu, floor = _aside(plan, rng, 330), metal((0.66, 0.66, 0.67), 0.3), -plan.curb_mm
    for dx in (-190, 190):
        site.rod((x + dx, floor, 520), (x + 0.75 * dx, 1500 - plan.curb_mm, 130), 15, alu)
    for t in np.linspace(0.12, 0.92, 6):
        half, y, z = 190 * (1 - 0.25 * t), floor + 1500 * t, 520 - 390 * t
        site.rod((x - half, y, z), (x + half, y, z), 12, alu)


def bucket(site: Site, plan: Plan, rng: Rng) -> None:
    x, z = plan.opening.width_mm * float(rng.uniform(-0.3, 1.3)), float(rng.uniform(260, 700))
    tone = ((0.08, 0.08, 0.09), (0.9, 0.55, 0.1), (0.9, 0.9, 0.88), (0.2, 0.4, 0.7))[int(rng.integers(4))]
    site.rod((x, -plan.curb_mm, z), (x, 260 - plan.curb_mm, z), 140, glossy(linear(tone), 0.25))
    site.disc((x, 225 - plan.curb_mm, z), np.array([0, 1.0, 0]), 139, plain((0.35, 0.34, 0.32)))


def level(site: Site, plan: Plan, rng: Rng) -> None:
    """A spirit level leaning on the face."""
    x, lean = _aside(plan, rng, 60), float(rng.uniform(-90, 90))
    body = glossy(linear(((0.9, 0.75, 0.1), (0.8, 0.15, 0.12), (0.6, 0.62, 0.65))[int(rng.integers(3))]), 0.3)
    a, b = np.array([x, -plan.curb_mm, 140.0]), np.array([x + lean, 1180 - plan.curb_mm, 14.0])
    across, away = np.array([26.0, 0, 0]), np.array([0.0, 0, 24.0])
    for d in (0 * away, away):
        site.quad(np.stack([a - across + d, a + across + d, b + across + d, b - across + d]), body)
    for sign in (-1, 1):
        edge = sign * across
        site.quad(np.stack([a + edge, a + edge + away, b + edge + away, b + edge]), body)


def hose(site: Site, plan: Plan, rng: Rng) -> None:
    """A hose or cable over the floor, now and then over the curb."""
    skin = glossy(linear(((0.9, 0.5, 0.1), (0.1, 0.1, 0.1), (0.2, 0.5, 0.3))[int(rng.integers(3))]), 0.3)
    t = np.linspace(0, 1, 40)
    x = plan.opening.width_mm * (float(rng.uniform(-0.4, 0.2)) + float(rng.uniform(0.6, 1.3)) * t)
    z = 420 + 160 * np.sin(t * float(rng.uniform(5, 11)) + float(rng.uniform(0, 6)))
    _tube(site, np.column_stack([x, np.full(40, 11 - plan.curb_mm), z]), 10.0, skin)


def _tube(site: Site, points: Array, radius: float, skin: object) -> None:
    for p, q in itertools.pairwise(points):
        site.rod(tuple(p), tuple(q), radius, skin)  # type: ignore[arg-type]
        site.ball(tuple(q), radius, skin)  # type: ignore[arg-type]


def towel(site: Site, plan: Plan, rng: Rng) -> None:
    """A towel on a hook beside the opening, in loose folds."""
    x, top = _aside(plan, rng, 200), float(rng.uniform(0.6, 0.85)) * plan.opening.height_mm
    cloth = plain(linear(((0.85, 0.84, 0.8), (0.3, 0.4, 0.5), (0.7, 0.45, 0.35), (0.55, 0.6, 0.5))[int(rng.integers(4))]))
    v, u = np.mgrid[0:1:40j, -1:1:60j]
    drop = 1 - v
    half = 25 + 125 * np.sqrt(drop)
    folds = 26 * np.sqrt(drop) * np.sin(u * 9 + float(rng.uniform(0, 6)) + 1.5 * drop)
    site.grid(np.dstack([x + u * half, top - 620 * drop, 55 + folds]), cloth)
    site.capped_rod((x, top, 0), (x, top, 50), 9, metal())


def bottles(site: Site, plan: Plan, rng: Rng) -> None:
    """Shampoo and sealant on the curb or rim, well back, or on the floor inside."""
    for _ in range(int(rng.integers(2, 5))):
        x, tone = plan.opening.width_mm * float(rng.uniform(0.08, 0.92)), rng.uniform(0.1, 0.9, 3)
        y, z = (-30.0, -plan.depth_mm * float(rng.uniform(0.6, 0.9))) if rng.random() < 0.75 else (2.0, -48.0)
        body = glossy(linear((float(tone[0]), float(tone[1]), float(tone[2]))), 0.12)
        tall = float(rng.uniform(130, 240))
        site.capped_rod((x, y - 30, z), (x, y + tall, z), float(rng.uniform(20, 34)), body)
        site.capped_rod((x, y + tall, z), (x, y + tall + 24, z), 12, glossy((0.7, 0.7, 0.7), 0.2))


def tools(site: Site, plan: Plan, rng: Rng) -> None:
    """A tool case, a trowel's blade, offcuts of tile on the floor."""
    x, y, z = _aside(plan, rng, 150), -plan.curb_mm, float(rng.uniform(200, 600))
    site.box((x - 160, y, z - 90), (x + 160, y + 190, z + 90), glossy(linear((0.15, 0.3, 0.25)), 0.3))
    site.rod((x - 70, y + 215, z), (x + 70, y + 215, z), 11, plain((0.03, 0.03, 0.03)))
    for k in range(int(rng.integers(1, 4))):
        at = (x + 240 + 30 * k, y + 10.0 * k, z + 20 * k)
        site.box(at, (at[0] + 200, at[1] + 9, at[2] + 150), glossy((0.7, 0.69, 0.66), 0.1))


def sheeting(site: Site, plan: Plan, rng: Rng) -> None:
    """Dust sheet or cardboard on the floor up to near the curb."""
    n = int(rng.integers(0, 2))
    w, x, y = plan.opening.width_mm, plan.opening.width_mm * float(rng.uniform(0.2, 0.8)), 4.0 - plan.curb_mm
    v, u = np.mgrid[0:1:50j, -1:1:70j]
    lift = 6 + 6 * np.sin(9 * u + 5 * v) * np.sin(7 * v - 3 * u) if n else 0 * u
    site.grid(np.dstack([x + 0.55 * w * u, y + lift, 1400 - 1250 * v]), plain(linear(((0.68, 0.55, 0.4), (0.85, 0.85, 0.86))[n])))


CLUTTER: dict[str, Callable[[Site, Plan, Rng], None]] = {
    f.__name__: f for f in (ladder, bucket, level, hose, towel, bottles, tools, sheeting)
}


def _fittings(site: Site, plan: Plan, rng: Rng) -> None:
    """On the back wall: finished fittings, or capped pipe ends, or a niche not yet tiled."""
    z, x = -plan.depth_mm, plan.opening.width_mm * float(rng.uniform(0.3, 0.7))
    what, chrome = int(rng.choice([0, 0, 1, 1, 2])), metal((0.75, 0.75, 0.76), 0.08)
    if what == 0:
        site.rod((x, 900, z + 45), (x, 1550, z + 45), 10, chrome)
        site.capped_rod((x - 130, 850, z + 40), (x + 130, 850, z + 40), 21, chrome)
        site.capped_rod((x, 1500, z + 60), (x, 1470, z + 110), 55, chrome)
    elif what == 1:
        for dx, tone in ((-75, (0.1, 0.25, 0.7)), (75, (0.7, 0.1, 0.1))):
            site.capped_rod((x + dx, 950, z), (x + dx, 950, z + 60), 12, metal((0.75, 0.55, 0.3), 0.3))
            site.capped_rod((x + dx, 950, z + 60), (x + dx, 950, z + 85), 15, glossy(tone, 0.3))
    else:
        site.box((x - 150, 900, z), (x + 150, 1350, z + 6), plain((0.42, 0.43, 0.44)))
        site.quad(np.array([[x - 138, 912, z + 7], [x + 138, 912, z + 7], [x + 138, 1338, z + 7], [x - 138, 1338, z + 7]]),
                  plain((0.09, 0.08, 0.08)))  # fmt: skip


def plumb_line(plan: Plan) -> PlumbLine | None:
    """From a nail in the face above the opening."""
    if plan.dealt["plumb"] != "yes":
        return None
    rng = plan.rng(7)
    x = plan.opening.width_mm * float(rng.uniform(0.25, 0.75))
    tone: RGB = ((0.02, 0.02, 0.03), (0.75, 0.25, 0.05), (0.75, 0.74, 0.7), (0.6, 0.62, 0.1))[int(rng.integers(4))]
    nail = float(max(plan.opening.corners[2:, 1])) + float(rng.uniform(40, 110))
    return PlumbLine(x, nail, float(rng.uniform(60, 200)), plain(tone), z_mm=4.0, thickness_mm=float(rng.uniform(1.4, 2.4)))
