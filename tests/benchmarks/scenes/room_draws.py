"""Draws of everything in a random room but its cards: opening, finish, light, camera, development; see also room_things.py."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from studio.camera import Camera, aimed, focal_px
from studio.opening import Opening
from studio.room import Finish, Lamp, Room
from studio.shot import Development
from studio.surfaces import Tile, lacquer, metal, paint, plain, tiled
from studio.things import Card

RGB = tuple[float, float, float]
Rng = np.random.Generator
LIMIT = 6.0  # mm/m, of leans, taper and rack
WARM, COOL = np.array([1.0, 0.80, 0.56]), np.array([0.84, 0.93, 1.0])
TILES = (
    (50, 50),
    (65, 200),
    (75, 300),
    (100, 100),
    (150, 150),
    (200, 100),
    (250, 400),
    (300, 300),
    (300, 600),
    (600, 300),
    (600, 600),
)
MARGIN_PX = 110.0


def opening(rng: Rng) -> Opening:
    while True:
        found = Opening(
            width_mm=round(float(rng.uniform(650, 1600)), 1),
            height_mm=round(float(rng.uniform(1850, 2100)), 1),
            lean_left=round(float(rng.uniform(-LIMIT, LIMIT)), 2),
            lean_right=round(float(rng.uniform(-LIMIT, LIMIT)), 2),
            bow_left_mm=round(float(rng.uniform(0, 3) * rng.choice([-1, 1])), 2),
            bow_right_mm=round(float(rng.uniform(0, 3) * rng.choice([-1, 1])), 2),
            curb_level=round(float(rng.uniform(-3, 3)), 2),
            head_slope=round(float(rng.uniform(-3, 3)), 2),
        )
        if abs(found.taper) <= LIMIT and abs(found.rack) <= LIMIT:
            return found


def wall_rgb(rng: Rng) -> RGB:
    """Mostly off-white and pale, now and then strong or dark."""
    share = rng.random()
    low, high, spread = (0.52, 0.8, 0.04) if share < 0.4 else (0.2, 0.55, 0.18) if share < 0.75 else (0.05, 0.22, 0.35)
    return _rgb(rng.uniform(low, high) * np.exp(rng.normal(0, spread, 3)))


def _rgb(values: np.ndarray) -> RGB:
    return tuple(float(c) for c in np.clip(values, 0.02, 0.84))  # type: ignore[return-value]


def _tile(rng: Rng, rgb: RGB | None = None) -> Tile:
    width, height = TILES[rng.integers(len(TILES))]
    rgb = rgb or wall_rgb(rng)
    grout = _rgb(rng.choice([0.1, 0.3, 0.5, 0.7]) * np.exp(rng.normal(0, 0.08, 3)))
    return Tile(
        width,
        height,
        rgb,
        _rgb(0.85 * np.array(rgb)) if rng.random() < 0.3 else grout,
        grout_mm=float(rng.uniform(1.5, 4.0)),
        half_bond=bool(width != height and rng.random() < 0.6),
        roughness=float(rng.uniform(0.1, 0.35)),
        variation=float(rng.uniform(0.01, 0.08)),
        vein=float(rng.uniform(0.02, 0.08)) if rng.random() < 0.25 else 0.0,
        shift_mm=(float(rng.uniform(5, width - 5)), float(rng.uniform(0, height))),
    )


def grey(rgb: RGB) -> float:
    """Grey value of a colour as a program would take it from the encoded picture, 0 to 1."""
    return float(np.dot([0.299, 0.587, 0.114], 1.055 * np.asarray(rgb) ** (1 / 2.4) - 0.055))


def _of_grey(rgb: RGB, wanted: float) -> RGB:
    scales = np.geomspace(0.05, 20, 400)
    return _rgb(scales[int(np.argmin([abs(grey(_rgb(s * np.array(rgb))) - wanted) for s in scales]))] * np.array(rgb))


def finish(rng: Rng) -> tuple[Finish, str]:
    """Materials, and words for face, alcove and arris."""
    face_tile = _tile(rng) if rng.random() < 0.4 else None
    rgb = face_tile.rgb if face_tile else wall_rgb(rng)
    face = tiled(face_tile, rng) if face_tile else paint(rgb, rng)
    inner, alike = _tile(rng), bool(rng.random() < 0.12)
    if alike:
        hue = _rgb(np.array(rgb)[[2, 0, 1]] * np.exp(rng.normal(0, 0.35, 3)))
        inner = replace(inner, rgb=_of_grey(hue, grey(rgb)))
    joint = bool(rng.random() < 0.15)
    inner = replace(inner, shift_mm=(0.0, inner.shift_mm[1])) if joint else inner
    curb = lacquer(_rgb(rng.choice([0.08, 0.3, 0.6, 0.75]) * np.exp(rng.normal(0, 0.06, 3))), float(rng.uniform(0.12, 0.35)))
    found = Finish(
        face=face,
        walls=face if rng.random() < 0.5 else paint(wall_rgb(rng), rng),
        header=face if rng.random() < 0.7 else lacquer(_rgb(rng.uniform(0.4, 0.8) * np.ones(3)), 0.3),
        curb=tiled(_tile(rng), rng) if rng.random() < 0.25 else curb,
        alcove=tiled(inner, rng),
        back=tiled(inner, rng) if rng.random() < 0.6 else tiled(_tile(rng), rng),
        shower_floor=tiled(replace(_tile(rng), width_mm=50, height_mm=50, half_bond=False), rng),
        floor=tiled(replace(_tile(rng), roughness=0.3), rng),
        ceiling=plain((0.82, 0.82, 0.8)),
        skirting=None if face_tile or rng.random() < 0.4 else lacquer(wall_rgb(rng), 0.3),
    )
    words = "painted face" if not face_tile else f"face in {face_tile.width_mm:g} x {face_tile.height_mm:g} tiles"
    return found, words + (", alcove of the same grey" if alike else "") + (", a joint along the arrises" if joint else "")


def room(rng: Rng, of: Opening) -> tuple[Room, str, np.ndarray]:
    """The room, words for it, and the mean colour of its light."""
    materials, words = finish(rng)
    curb = float(rng.uniform(60, 130))
    lean = 2.5 * LIMIT
    beyond_left, beyond_right = (float(v) for v in rng.uniform(650, 1300, 2))
    ceiling = float(max(2400.0, of.height_mm + lean + curb + rng.uniform(180, 450)))
    lamps, hue = _lamps(rng, of, ceiling - curb, (-beyond_left, of.width_mm + beyond_right))
    share = rng.random()
    radius = float(rng.uniform(1.5, 3.0)) if share < 0.15 else 0.0
    bead = float(rng.uniform(2.0, 4.0)) if 0.15 <= share < 0.3 else 0.0
    made = Room(
        materials,
        lamps,
        curb_height_mm=curb,
        ceiling_mm=ceiling,
        beyond_left_mm=beyond_left,
        beyond_right_mm=beyond_right,
        length_mm=float(rng.uniform(3100, 4000)),
        alcove_depth_mm=float(rng.uniform(800, 1050)),
        bullnose_mm=radius,
        bead_mm=bead,
        bead=metal(roughness=0.3) if rng.random() < 0.5 else lacquer((0.75, 0.75, 0.74), 0.3),
    )
    arris = f", arrises rounded {radius:.1f} mm" if radius else f", beads {bead:.1f} mm at the arrises" if bead else ""
    return made, words + arris, hue


def _lamps(rng: Rng, of: Opening, top: float, walls: tuple[float, float]) -> tuple[tuple[Lamp, ...], np.ndarray]:
    """One to three lamps on the ceiling, now and then daylight or a lamp from the side, one over the alcove."""
    middle, warmth = of.width_mm / 2, rng.uniform(0, 1)
    drawn: list[tuple[float, tuple, tuple, tuple]] = []  # share of the light, centre, toward, size
    for _ in range(rng.integers(1, 4)):
        side = float(rng.choice([rng.uniform(60, 130), rng.uniform(220, 450), rng.uniform(500, 1000)]))
        at = (float(middle + rng.uniform(-800, 800)), top - 4.0, float(rng.uniform(550 + side / 2, 2300)))
        drawn.append((float(rng.uniform(0.5, 1.5)), at, (0, -1, 0), (side, side * float(rng.uniform(0.5, 1.0)))))
    for chance, size, y, depth in ((0.45, (950, 1100), 1250.0, (800, 2400)), (0.25, (120, 300), 1600.0, (450, 1500))):
        if rng.random() < chance:
            facing = int(rng.choice([-1, 1]))
            at = (walls[0] + 3 if facing > 0 else walls[1] - 3, y, float(rng.uniform(*depth)))
            drawn.append((float(rng.uniform(0.5, 2.0)), at, (facing, 0, 0), size))
    total, found, mean = sum(d[0] for d in drawn), [], np.zeros(3)
    for share, at, toward, size in drawn:
        hue = _hue(np.clip(warmth + rng.normal(0, 0.15), 0, 1))
        mean += share / total * hue
        found.append(Lamp(at, toward, size, tuple(hue * 3.4 * share / total / (size[0] * size[1] * 1e-6))))
    side = float(rng.uniform(90, 320))
    strength = np.exp(rng.uniform(np.log(0.5), np.log(2.2))) / (side * side * 1e-6)
    at = (float(middle + rng.uniform(-0.25, 0.25) * of.width_mm), top - 4.0, float(rng.uniform(-700, -350)))
    found.append(Lamp(at, (0, -1, 0), (side, side), tuple(strength * _hue(rng.uniform(0, 1)))))
    return tuple(found), mean


def _hue(warmth: float) -> np.ndarray:
    return warmth * WARM + (1 - warmth) * COOL


def camera(rng: Rng, of: Opening, around: Room, cards: tuple[Card, ...]) -> tuple[Camera, float]:
    """A hand-held phone that has the opening and all cards in view, and the 35 mm equivalent that it claims."""
    wanted = np.vstack([np.column_stack([of.corners, np.zeros(4)]), *(card.outline() for card in cards)])
    centre = (wanted.max(axis=0) + wanted.min(axis=0)) / 2
    for _ in range(4000):
        found, claimed = _phone(rng, of, around, centre)
        seen = found.project(wanted)
        inside = seen.min() > MARGIN_PX and bool(np.all(seen.max(axis=0) < np.array([found.width, found.height]) - MARGIN_PX))
        clear = -around.beyond_left_mm + 120 < found.position_mm[0] < of.width_mm + around.beyond_right_mm - 120
        if inside and clear:
            return found, claimed
    raise RuntimeError("no place for the camera")


def _phone(rng: Rng, of: Opening, around: Room, centre: np.ndarray) -> tuple[Camera, float]:
    landscape = of.width_mm > 1150 and rng.random() < 0.4
    width, height = (4032, 3024) if landscape else (3024, 4032)
    claimed = float(rng.integers(24, 29))
    distance = float(rng.uniform(2400, 2800))
    yaw, pitch = np.clip(rng.normal(0, 7.0), -15, 15), np.clip(rng.normal(0, 2.5), -6, 6)
    target = np.array([centre[0] + rng.normal(0, 50), 0.0, 0.0])
    y = rng.uniform(1000, 1500) - around.curb_height_mm
    target[1] = y + distance * np.tan(np.radians(pitch))
    place = np.array([target[0] + distance * np.tan(np.radians(yaw)), y, distance])
    made = Camera(
        width=width,
        height=height,
        f_px=focal_px(claimed, width, height) * (1 + float(np.clip(rng.normal(0, 0.03), -0.06, 0.06))),
        cx=(width - 1) / 2 + float(rng.normal(0, 20)),
        cy=(height - 1) / 2 + float(rng.normal(0, 20)),
        k1=float(rng.normal(0, 0.01)),
        k2=float(rng.normal(0, 0.005)),
        position_mm=place,
        rotation=aimed(place, target, float(np.clip(rng.normal(0, 1.2), -4, 4))),
    )
    return made, claimed


def lamps_in_view(eye: Camera, lamps: tuple[Lamp, ...], step: int) -> np.ndarray:
    """Every step-th pixel: whether it looks into a lamp (grown by a tenth); the one over the alcove is behind the head."""
    u, v = np.meshgrid(np.arange(0, eye.width, step, dtype=float), np.arange(0, eye.height, step, dtype=float))
    rays = np.stack(eye.directions(u, v), axis=-1)
    seen = np.zeros(u.shape, bool)
    for lamp in lamps[:-1]:
        across = int(np.argmax(np.abs(lamp.toward)))
        sides = ((0, 2), (2, 1))[across != 1]  # the axes along which its two sizes count
        far = (lamp.centre_mm[across] - eye.position_mm[across]) / rays[..., across]
        offset = np.abs(eye.position_mm + far[..., None] * rays - np.array(lamp.centre_mm))
        seen |= (far > 0) & np.all([offset[..., a] < 0.55 * size for a, size in zip(sides, lamp.size_mm, strict=True)], axis=0)
    return seen


def development(rng: Rng, hue: np.ndarray, upright: bool) -> Development:
    """One phone's habits; its white balance takes most of the light's colour away."""
    balance = (hue[1] / hue) ** rng.uniform(0.4, 1.0) * np.exp(rng.normal(0, 0.03, 3))
    return Development(
        exposure=float(np.clip(rng.normal(0, 0.3), -0.7, 0.5)),
        blur_px=float(rng.uniform(0.65, 1.1)),
        noise=float(np.exp(rng.uniform(np.log(0.006), np.log(0.03)))),
        sharpening=float(rng.uniform(0.1, 0.6)),
        sharpening_px=float(rng.uniform(0.9, 1.4)),
        white_balance=tuple(float(b) for b in balance / balance[1]),  # type: ignore[arg-type]
        shading=float(rng.uniform(0, 0.2)),
        orientation=6 if upright and rng.random() < 0.4 else 1,
    )
