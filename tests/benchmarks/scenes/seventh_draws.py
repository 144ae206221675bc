"""What the seventh family's rooms are: kinds are dealt to all rooms, the rest is drawn from layout, number and attempt."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .seventh_cards import Hung, draw_cards
from .seventh_looks import EQUAL_GREY, Look, colour, look
from .seventh_walls import Arris, House, Outline, Parts

# isort: split
from studio.camera import Camera, aimed, focal_px
from studio.opening import Opening
from studio.room import Lamp
from studio.surfaces import RGB, Surface, lacquer, metal, plain
from studio.things import PlumbLine

SEED = 709231
LAYOUTS = {"sheet": 6, "opposite": 8, "four": 8, "letters": 6, "oneside": 2, "one": 2}
COUNTS = {
    "kind": {"shower": 12, "tub": 5, "tray": 5, "doorway": 4, "window": 3, "mirror": 3},
    "arris": {"sharp": 8, "eased": 8, "bullnose": 2, "trim": 8, "bead": 6},
    "light": {"window": 7, "ceiling": 7, "flash": 4, "downlights": 5, "behind": 4, "dim": 5},
    "cover": {"none": 20, "left": 4, "right": 4, "curb": 4},
    "plumb": {"yes": 16, "no": 16},
    "lean": {"strong": 7, "little": 25},
    "bow": {"strong": 8, "little": 24},
    "aside": {"far": 9, "near": 23},
    "alike": {"alike": 11, "apart": 18, "equal grey": 3},
}
DAY, WARM, COOL = (1.0, 0.97, 0.92), (1.0, 0.84, 0.64), (0.84, 0.93, 1.0)


@dataclass(frozen=True)
class Plan:
    name: str
    seed: list[int]
    house: House
    hung: Hung
    camera: Camera
    lamps: tuple[Lamp, ...]
    light: str
    plumb: PlumbLine | None
    cover: str
    equivalent_mm: float
    looks: tuple[str, str]


def dealt() -> dict[tuple[str, int], dict[str, str]]:
    """What every room is dealt; two showers have no head."""
    rng = np.random.default_rng([SEED, 0])
    rooms = [(layout, n) for layout, count in LAYOUTS.items() for n in range(1, count + 1)]
    decks = {what: rng.permutation([v for v, n in counts.items() for _ in range(n)]) for what, counts in COUNTS.items()}
    hands = {room: {what: str(deck[i]) for what, deck in decks.items()} for i, room in enumerate(rooms)}
    showers = [room for room in rooms if hands[room]["kind"] == "shower"]
    for room in (showers[i] for i in rng.permutation(len(showers))[:2]):
        hands[room]["head"] = "no"
    return hands


def draw_plan(layout: str, number: int, attempt: int) -> Plan | None:
    """One attempt; None when no camera has everything in its picture."""
    hand = dealt()[layout, number]
    seed = [SEED, list(LAYOUTS).index(layout) + 1, number, attempt]
    rng = np.random.default_rng(seed)
    face, reveal = _finishes(hand["alike"], rng)
    house = _house(hand, face, reveal, rng)
    hung = draw_cards(layout, house, face.rgb, rng)
    equivalent = float(rng.integers(24, 29))
    camera = _camera(hand, house, hung, equivalent, rng)
    if camera is None:
        return None
    lamps = _lamps(hand["light"], house, camera, rng)
    plumb = _plumb(house, rng) if hand["plumb"] == "yes" and house.opening.head else None
    name = f"seventh_{layout}_{number:02d}"
    return Plan(name, seed, house, hung, camera, lamps, hand["light"], plumb, hand["cover"], equivalent, (face.name, reveal.name))


def _finishes(alike: str, rng: np.random.Generator) -> tuple[Look, Look]:
    if alike == "equal grey":
        one, two = EQUAL_GREY[rng.integers(len(EQUAL_GREY))]
        return look(rng, one, "plaster"), look(rng, two, str(rng.choice(["tile", "plaster"])))
    face = look(rng, colour(rng))
    if alike == "alike":
        return face, face.shifted(float(rng.uniform(0, 300)), face.surface.shift_mm[1])
    while True:
        other = colour(rng)
        if np.abs(np.sqrt(np.array(other)) - np.sqrt(np.array(face.rgb))).max() > 0.1:
            return face, look(rng, other)


def _opening(hand: dict[str, str], rng: np.random.Generator) -> Opening:
    kind = hand["kind"]
    low, high = {"tub": (1400, 1700), "doorway": (750, 1050), "window": (900, 1400), "mirror": (750, 1300)}.get(kind, (780, 1550))
    tall = {"tub": (1500, 1620), "doorway": (1980, 2150), "window": (1500, 1600), "mirror": (1500, 1900)}.get(kind, (1880, 2120))
    small = 1.3
    leans = [float(np.clip(rng.normal(0, small), -3, 3)) for _ in range(2)]
    if hand["lean"] == "strong":
        leans[rng.integers(2)] = float(rng.choice([-1, 1]) * rng.uniform(5.2, 9))
    bows = [float(np.clip(rng.normal(0, 0.5), -1, 1)) for _ in range(2)]
    if hand["bow"] == "strong":
        bows[rng.integers(2)] = float(rng.choice([-1, 1]) * rng.uniform(1, 4))
    no_head = hand.get("head") == "no"
    return Opening(
        round(float(rng.uniform(low, high)), 2),
        25.4 * float(rng.choice([76, 78, 80])) if no_head else round(float(rng.uniform(*tall)), 2),
        lean_left=round(leans[0], 3),
        lean_right=round(leans[1], 3),
        bow_left_mm=round(bows[0], 3),
        bow_right_mm=round(bows[1], 3),
        curb_level=round(float(np.clip(rng.normal(0, 1.1), -3.5, 3.5)), 3),
        head_slope=round(float(np.clip(rng.normal(0, 1.2), -3.5, 3.5)), 3),
        head=not no_head,
    )


def _arris(kind: str, rng: np.random.Generator) -> Arris:
    if kind == "eased":
        return Arris(kind, radius_mm=round(float(rng.uniform(1, 3)), 2))
    if kind == "bullnose":
        return Arris(kind, radius_mm=round(float(rng.uniform(6, 10)), 2))
    if kind == "bead":
        tone = float(rng.choice([0.75, 0.6, 0.4, 0.15]))
        return Arris(
            kind, radius_mm=round(float(rng.uniform(1.5, 3.5)), 2), surface=lacquer((tone, 0.99 * tone, 0.96 * tone), 0.35)
        )
    if kind == "trim":
        made = lacquer((0.78, 0.78, 0.77), 0.2) if rng.random() < 0.5 else metal(roughness=float(rng.uniform(0.15, 0.35)))
        wide = round(float(rng.uniform(3, 12)), 2)
        return Arris(kind, trim_mm=wide, leg_mm=float(rng.uniform(2, 9)), surface=made)
    return Arris()


def _house(hand: dict[str, str], face: Look, reveal: Look, rng: np.random.Generator) -> House:
    kind, opening = hand["kind"], _opening(hand, rng)
    height = {
        "shower": (85, 150),
        "tub": (480, 570),
        "tray": (30, 60),
        "doorway": (12, 25),
        "window": (420, 560),
        "mirror": (300, 560),
    }
    sill_height = float(rng.uniform(*height[kind]))
    wet = kind in ("shower", "tray", "tub")
    wider = float(rng.uniform(80, 350)) if (wet and rng.random() < 0.3) or kind == "doorway" else 0.0
    depth = {"doorway": (1300, 1900), "window": (170, 320), "mirror": (140, 380)}.get(kind, (760, 1050))
    deep = float(rng.uniform(*depth))
    reveal_deep = float(rng.uniform(90, 180)) if wider else deep
    white = lacquer((0.79, 0.79, 0.78), 0.12)
    stone = lacquer(colour(rng), float(rng.uniform(0.12, 0.3)))
    enamel = kind in ("tub", "tray")
    back: Surface = look(rng, colour(rng)).surface if rng.random() < 0.4 else reveal.shifted(110, 20).surface
    if kind == "window":
        back = white
    if kind == "mirror":
        back = metal((0.86, 0.87, 0.87), 0.02)
    inner = white if enamel else look(rng, colour(rng), "mosaic").surface if wet else stone
    room_walls = look(rng, colour(rng, light=True), "plaster").surface
    parts = Parts(
        face=face.surface,
        reveal=reveal.surface,
        back=back,
        sill=white if enamel else reveal.surface if kind == "shower" and rng.random() < 0.25 else stone,
        inner_floor=inner,
        floor=look(rng, colour(rng), str(rng.choice(["tile", "boards", "marble"]))).surface,
        walls=room_walls,
        ceiling=plain((0.8, 0.8, 0.79)),
        inner_walls=room_walls if kind == "doorway" else reveal.surface,
        skirting=lacquer((0.76, 0.76, 0.74), 0.3) if face.name == "painted plaster" and kind != "tray" else None,
    )
    radius = {"tub": (4, 8), "tray": (2, 5)}.get(kind, (0, 2))
    beyond = tuple(float(v) for v in rng.uniform(480, 1050, 2))
    top = opening.height_mm + 12
    ceiling = max(float(rng.uniform(2350, 2500)) - sill_height, top + 120) if opening.head else float(rng.uniform(2900, 3200))
    return House(
        kind,
        opening,
        parts,
        _arris(hand["arris"], rng),
        sill_height,
        deep + 30 if kind in ("window", "mirror") else float(rng.uniform(70, 130)),
        round(float(rng.uniform(*radius)), 2),
        float(rng.uniform(18, 32)) if kind in ("window", "mirror") else 0.0,
        ceiling,
        reveal_deep if wider else deep + 5,
        deep,
        wider,
        {"tub": 380.0, "tray": 22.0, "shower": sill_height - 25, "doorway": 6.0}.get(kind, 10.0),
        (beyond[0], beyond[1]),
    )


def _camera(hand: dict[str, str], house: House, hung: Hung, equivalent: float, rng: np.random.Generator) -> Camera | None:
    opening = house.opening
    points = [np.column_stack([opening.corners, np.zeros(4)]), *(card.outline() for card in hung.cards)]
    middle = opening.corners.mean(axis=0)
    k1 = float(np.clip(rng.normal(0, 0.014), -0.03, 0.03))
    focal_error = 1 + float(rng.choice([-1, 1]) * rng.uniform(0.01, 0.02))
    roll = float(np.clip(rng.normal(0, 1.0), -2, 2))
    for trial in range(600):
        landscape = bool(opening.height_mm / (opening.width_mm + 250) < 1.15 and trial % 2 == 0)
        width, height = (4032, 3024) if landscape else (3024, 4032)
        distance = float(rng.uniform(2200, 2600 + min(trial, 400)))
        angle = np.radians(rng.choice([-1, 1]) * rng.uniform(8, 15) if hand["aside"] == "far" else rng.normal(0, 2.5))
        x = middle[0] + distance * np.tan(angle)
        x = float(np.clip(x, -house.beyond_mm[0] + 150, opening.width_mm + house.beyond_mm[1] - 150))
        y = float(rng.normal(1330, 120)) - house.sill_height_mm
        place = np.array([x, y, distance])
        aim = np.array([middle[0] + rng.normal(0, 50), middle[1] + rng.normal(0, 60), 0.0])
        camera = Camera(
            width=width,
            height=height,
            f_px=focal_px(equivalent, width, height) * focal_error,
            cx=(width - 1) / 2 + float(rng.normal(0, 9)),
            cy=(height - 1) / 2 + float(rng.normal(0, 9)),
            k1=k1,
            k2=0.0,
            position_mm=place,
            rotation=aimed(place, aim, roll),
        )
        seen = camera.project(np.vstack(points))
        if (seen > 60).all() and (seen < [width - 61, height - 61]).all():
            return camera
    return None


def _plumb(house: House, rng: np.random.Generator) -> PlumbLine:
    opening = house.opening
    share = float(rng.choice([rng.uniform(0.15, 0.35), rng.uniform(0.65, 0.85)]))
    tone: RGB = ((0.03, 0.03, 0.03), (0.8, 0.78, 0.7), (0.75, 0.1, 0.05), (0.8, 0.6, 0.05))[rng.integers(4)]
    top = max(opening.corners[2:, 1]) + house.arris.face_ends_mm + float(rng.uniform(40, 80))
    low, z = float(rng.uniform(60, 140)), float(rng.uniform(3, 5.5))
    return PlumbLine(share * opening.width_mm, float(top), low, plain(tone), z_mm=z, thickness_mm=float(rng.uniform(1.6, 2.2)))


def _lamps(light: str, house: House, camera: Camera, rng: np.random.Generator) -> tuple[Lamp, ...]:
    opening, top = house.opening, house.ceiling_mm - 5
    middle, eye = opening.width_mm / 2, camera.position_mm
    tall = max(1.0, (house.ceiling_mm / 2300) ** 2)
    flat: tuple[float, float, float] = (0, -1, 0)
    tint = (DAY, WARM, COOL)[rng.integers(3)]

    def glow(power: float, rgb: RGB) -> RGB:
        return tuple(power * tall * c for c in rgb)  # type: ignore[return-value]

    room = Lamp((middle + float(rng.normal(0, 250)), top, float(rng.uniform(1300, 2000))), flat, (500, 500), glow(10, tint))
    fill = Lamp((middle, top, 2600), flat, (1400, 900), glow(1.0, DAY))
    found = [fill]
    if light == "window":
        left = bool(rng.random() < 0.5)
        x = -house.beyond_mm[0] + 4 if left else opening.width_mm + house.beyond_mm[1] - 4
        z = float(rng.uniform(1300, 2300))
        found.append(Lamp((x, 1400 - house.sill_height_mm, z), (1 if left else -1, 0, 0), (1000, 1200), glow(4.5, COOL)))
    elif light in ("ceiling", "dim"):
        found.append(room)
    elif light == "flash":
        found += [
            Lamp((eye[0] + 45, eye[1] + 60, eye[2] + 12), (0, -0.02, -1), (26, 26), glow(900, DAY)),
            replace(room, rgb=glow(3, WARM)),
        ]
    elif light == "downlights":
        spots = [
            (middle - 420 + float(rng.normal(0, 60)), 480.0),
            (middle + 430 + float(rng.normal(0, 60)), 520.0),
            (middle, 1700.0),
        ]
        found += [Lamp((x, top, z), flat, (85, 85), glow(190, tint)) for x, z in spots]
    else:
        found.append(replace(room, rgb=glow(4, tint)))
    return (*found, *_behind(light, house, rng))


def _behind(light: str, house: House, rng: np.random.Generator) -> list[Lamp]:
    """Light within or behind the opening."""
    opening, middle = house.opening, house.opening.width_mm / 2
    strong = 3.0 if light == "behind" else 1.0
    if house.kind == "window":
        size = (opening.width_mm - 140, opening.height_mm - 150)
        power = {"dim": 0.06, "behind": 1.2, "flash": 0.25}.get(light, 0.5)
        return [Lamp((middle, opening.height_mm / 2, -house.depth_mm + 6), (0, 0, 1), size, tuple(power * c for c in COOL))]
    if house.kind == "mirror":
        return []
    y = house.ceiling_mm - 6 if house.wider_mm or not opening.head else float(Outline(opening).tl[1]) - 6
    power = (6.0 if light != "flash" else 2.0) * strong
    z = -max(0.55 * house.depth_mm, house.reveal_mm + 150 if house.wider_mm else 0)
    return [Lamp((middle, y, z), (0, -1, 0), (260, 260), tuple(power * c for c in (DAY, WARM)[rng.integers(2)]))]
