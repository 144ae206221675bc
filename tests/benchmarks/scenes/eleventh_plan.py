"""The 32 photographs: which opening, which wall, which light; everything else is drawn from SEED."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .eleventh_clutter import Guard
from .eleventh_hung import draw_plumb, hang_all, options_for
from .eleventh_lamps import Light
from .eleventh_places import draw_place
from .eleventh_refs import Reference
from .eleventh_walls import Place

from studio.camera import Camera, aimed, focal_px  # isort: skip
from studio.shot import Development  # isort: skip
from studio.things import PlumbLine  # isort: skip

SEED = 110_730_417
LAYOUTS = ("sheet", "opposite", "four", "letters")
ROOM_MM = {"sheet": 345.0, "opposite": 215.0, "four": 200.0, "letters": 365.0}
NEAREST_MM, FURTHEST_MM = 1600.0, 3400.0
EDGE_PX = 70.0
"""px of a full-size photo that every reference keeps from its border"""
SCENES: dict[str, tuple[tuple[str, str, str, bool, bool], ...]] = {
    "sheet": (
        ("shower", "stripes", "panels", True, False), ("door", "plaster", "bulb", True, True),
        ("tub", "metro", "side", True, False), ("shower", "boards", "flash", False, False),
        ("niche", "terrazzo", "mixed", True, False), ("shower", "hexagons", "sun", True, True),
        ("wardrobe", "damask", "side", True, False), ("shower", "blocks", "inside", False, False),
    ),
    "opposite": (
        ("shower", "sticks", "flash", True, False), ("door", "floral", "mixed", True, False),
        ("shower", "limewash", "sun", False, True), ("window", "brick", "dim", True, False),
        ("shower", "marble", "panels", True, True), ("tub", "emulsion", "bulb", False, False),
        ("wardrobe", "boards", "panels", True, True), ("shower", "backer", "side", False, False),
    ),
    "four": (
        ("niche", "handmade", "panels", True, False), ("shower", "damask", "dim", True, True),
        ("shower", "big", "side", False, False), ("door", "stripes", "sun", True, False),
        ("shower", "pennies", "mixed", True, True), ("tub", "floral", "flash", True, False),
        ("window", "limewash", "panels", True, False), ("shower", "plaster", "bulb", False, True),
    ),
    "letters": (
        ("door", "emulsion", "side", True, True), ("shower", "brick", "panels", True, False),
        ("window", "plaster", "dim", True, False), ("shower", "plain_square", "bulb", False, False),
        ("tub", "marble", "mixed", True, False), ("shower", "floral", "sun", True, True),
        ("shower", "terrazzo", "flash", False, False), ("wardrobe", "blocks", "panels", True, False),
    ),
}  # fmt: skip
"""opening, wall, light, whether it has a head, whether a plumb line hangs"""


@dataclass(frozen=True)
class Photo:
    """One photograph before it is taken."""

    name: str
    layout: str
    seed: int
    place: Place
    stated_height: str | None
    light: Light
    camera: Camera
    cards: tuple[Reference, ...]
    options: tuple[str, ...]
    plumb: PlumbLine | None
    development: Development
    equivalent_mm: float
    note: str

    def guard(self) -> Guard:
        """What clutter must not cover."""
        u, v = (a.ravel() for a in np.meshgrid(np.linspace(-1.2, 1.2, 9), np.linspace(-1.2, 1.2, 9)))
        points = [card.points(u, v) for card in self.cards]
        for edge in self.place.opening.edges(80).values():
            points.append(np.column_stack([edge, np.zeros(len(edge))]))
        if self.plumb:
            x, z = self.plumb.x_mm, self.plumb.z_mm
            points.append(np.array([[x, y, z] for y in np.linspace(self.plumb.bottom_mm - 20, self.plumb.top_mm, 60)]))
        return Guard(self.camera, self.camera.project(np.concatenate(points)))


def names() -> list[str]:
    """All photographs, in order."""
    return [f"eleventh_{layout}_{k + 1:02d}" for layout in LAYOUTS for k in range(8)]


def photo(name: str) -> Photo:
    """Draws one photograph; a draw that does not fit into a picture from 3.4 m is drawn again."""
    _, layout, number = name.split("_")
    key = [SEED, LAYOUTS.index(layout), int(number)]
    for attempt in range(40):
        made = _draw(np.random.default_rng([*key, attempt]), name, layout, SCENES[layout][int(number) - 1])
        if made:
            return made
    raise RuntimeError(f"{name}: no draw fits")


def _draw(rng: np.random.Generator, name: str, layout: str, scene: tuple[str, str, str, bool, bool]) -> Photo | None:
    what, face, light_kind, head, plumbed = scene
    place, stated, words = draw_place(rng, what, face, head, ROOM_MM[layout])
    light = Light(light_kind, int(rng.choice([-1, 1])), tuple(float(v) for v in rng.random(6)))
    cards, references = hang_all(rng, place, layout)
    plumb = draw_plumb(rng, place, cards) if plumbed else None
    equivalent = float(rng.choice([26, 26, 26, 26, 24, 23, 28]))
    camera = _camera(rng, place, cards, equivalent)
    if camera is None or (plumbed and plumb is None):
        return None
    sun = light.side if light.kind == "sun" else 0
    place = replace(place, length_mm=float(camera.position_mm[2]) + float(rng.uniform(450, 1500)), sun_side=sun)
    ordered, options = options_for(rng, cards, camera, place)
    if not head:
        options += ["--no-head", *(["--height", stated] if stated else [])]
    return Photo(
        name,
        layout,
        int(rng.integers(1, 2**20)),
        place,
        stated,
        light,
        camera,
        tuple(ordered),
        tuple(options),
        plumb,
        _development(rng, (what, light_kind), camera.width > camera.height),
        equivalent,
        f"{what}: {words}; {references}; light: {light_kind}; every reading is right",
    )


def _wanted(place: Place, cards: list[Reference]) -> np.ndarray:
    corners = np.column_stack([place.opening.corners, np.zeros(4)])
    more = 40.0 + 0.5 * place.edge.width_mm
    corners[:2, 1] -= more
    corners[2:, 1] += more if place.opening.head else -20.0
    u, v = np.array([-1.0, 1, 1, -1]), np.array([-1.0, -1, 1, 1])
    return np.concatenate([corners, *(card.points(u, v) for card in cards)])


def _camera(rng: np.random.Generator, place: Place, cards: list[Reference], equivalent: float) -> Camera | None:
    """A hand-held phone at the least distance from which all is in the picture, or somewhat further."""
    wanted = _wanted(place, cards)
    wide, high = np.ptp(wanted[:, 0]), np.ptp(wanted[:, 1])
    landscape = bool(wide > high * 1.02) if rng.random() < 0.93 else bool(wide > 0.8 * high)
    width, height = (4032, 3024) if landscape else (3024, 4032)
    draw, low, far = rng.normal(0, 1, 7), rng.uniform(980, 1620), 1 + abs(float(rng.normal(0, 0.17)))
    stretch = 1 + float(np.clip(rng.normal(0, 0.012), -0.03, 0.03))
    centre, k1, k2 = rng.normal(0, 11, 2), float(rng.normal(0, 0.011)), float(rng.normal(0, 0.004))
    middle = (wanted.min(axis=0) + wanted.max(axis=0)) / 2
    x0, x1 = place.x_range

    def at(distance: float) -> Camera:
        x = float(np.clip(middle[0] + 0.085 * distance * np.clip(draw[0], -2.2, 2.2), x0 + 120, x1 - 120))
        position = np.array([x, min(low, place.ceiling_mm - 300) - place.sill_mm, distance])
        target = np.array([middle[0] + 45 * draw[1], middle[1] + 45 * draw[2], 0.0])
        return Camera(
            width=width,
            height=height,
            f_px=focal_px(equivalent, width, height) * stretch,
            cx=(width - 1) / 2 + float(centre[0]),
            cy=(height - 1) / 2 + float(centre[1]),
            k1=k1,
            k2=k2,
            position_mm=position,
            rotation=aimed(position, target, float(np.clip(1.1 * draw[3], -3, 3))),
        )

    distance = NEAREST_MM
    while distance <= FURTHEST_MM and not _in_picture(at(distance), wanted):
        distance += 25.0
    if distance > FURTHEST_MM:
        return None
    further = at(min(distance * far, FURTHEST_MM))
    return further if _in_picture(further, wanted) else at(distance)


def _in_picture(camera: Camera, wanted: np.ndarray) -> bool:
    seen = camera.project(wanted)
    return bool(np.all(seen > EDGE_PX) and np.all(seen < np.array([camera.width, camera.height]) - EDGE_PX))


def _development(rng: np.random.Generator, room: tuple[str, str], landscape: bool) -> Development:
    """One of several phones and hands."""
    what, light = room
    kind = str(rng.choice(["fair", "fair", "fair", "soft", "noisy", "harsh", "halo"]))
    noise = float(rng.uniform(0.006, 0.014)) * (2.2 if light in ("dim", "bulb") else 1.0)
    soft = float(rng.uniform(0.65, 0.95))
    sharpening, spread = float(rng.uniform(0.2, 0.6)), float(rng.uniform(0.9, 1.3))
    if kind == "soft":
        soft, sharpening = float(rng.uniform(1.3, 1.8)), float(rng.uniform(0.1, 0.4))
    elif kind == "noisy":
        noise *= 2.3
    elif kind == "harsh":
        sharpening = float(rng.uniform(0.9, 1.4))
    elif kind == "halo":
        sharpening, spread = float(rng.uniform(0.6, 0.9)), float(rng.uniform(2.0, 3.2))
    balance = 1 + rng.normal(0, 0.05, 3) if light != "bulb" else np.array([rng.uniform(0.84, 0.98), 1.0, rng.uniform(1.0, 1.35)])
    return Development(
        exposure=float(np.clip(rng.normal(0, 0.25), -0.5, 0.5)) + {"window": 1.2}.get(what, 0.6 * (light == "sun")),
        blur_px=soft,
        noise=noise,
        sharpening=sharpening,
        sharpening_px=spread,
        white_balance=(float(balance[0]), float(balance[1]), float(balance[2])),
        shading=float(rng.uniform(0.04, 0.22)),
        largest_bytes=int(rng.choice([1_800_000, 2_600_000, 4_000_000])),
        orientation=1 if landscape else int(rng.choice([1, 6])),
        motion_px=float(rng.uniform(1.5, 3.2)) if rng.random() < 0.12 else 0.0,
    )
