"""Renders the sample photographs: a small guest house is refitted, room by room, and every shower gets a glass door.

    python sample_images/render.py --variant cuda_ad_rgb            # all, as committed
    python sample_images/render.py --samples 16 --scale 0.125 NAME  # a quick look
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

FOLDER = Path(__file__).resolve().parent
sys.path.insert(0, str(FOLDER))

from studio import things  # noqa: E402
from studio.opening import Opening  # noqa: E402
from studio.room import Finish, Lamp, Room  # noqa: E402
from studio.run import main  # noqa: E402
from studio.shapes import Builder  # noqa: E402
from studio.shot import Development, Expected, Shot, phone_camera  # noqa: E402
from studio.sizes import measured, true_size  # noqa: E402
from studio.surfaces import Tile, lacquer, metal, paint, plain, tiled  # noqa: E402
from studio.things import Card, PlumbLine  # noqa: E402

WARM, DAY, COOL = (1.0, 0.86, 0.68), (1.0, 0.97, 0.92), (0.82, 0.92, 1.0)
MASKING_TAPE = (0.62, 0.5, 0.22)


def lamps(opening: Opening, ceiling: float, room_rgb=DAY, alcove_rgb=WARM, strength=(9.0, 16.0)) -> tuple[Lamp, ...]:
    """Two panels in the room's ceiling and a smaller one over the alcove."""
    middle, top = opening.width_mm / 2, ceiling - 4.0
    room = tuple(strength[0] * c for c in room_rgb)
    alcove = tuple(strength[1] * c for c in alcove_rgb)
    return (
        Lamp((middle - 500, top, 1500), (0, -1, 0), (420, 420), room),
        Lamp((middle + 600, top, 1900), (0, -1, 0), (420, 420), room),
        Lamp((middle + 60, top, -560), (0, -1, 0), (260, 260), alcove),
    )


def window(x: float, facing: int, rgb=COOL, strength=3.0) -> Lamp:
    """Daylight from a room wall, out of the picture."""
    return Lamp((x, 1350, 2300), (facing, 0, 0), (1000, 1100), tuple(strength * c for c in rgb))


def room3_sheet_beside() -> Shot:
    seed = 303
    rng = np.random.default_rng(seed)
    opening = Opening(1421.0, 1986.0, lean_left=1.1, lean_right=0.7, bow_left_mm=0.8, bow_right_mm=-0.6, curb_level=0.4, head_slope=0.9)
    walls = paint((0.60, 0.64, 0.55), rng)
    marble = lacquer((0.78, 0.77, 0.75), 0.2)
    finish = Finish(
        face=walls, walls=walls, curb=marble, header=walls, skirting=lacquer((0.8, 0.8, 0.78), 0.3),
        alcove=tiled(Tile(300, 600, (0.40, 0.36, 0.31), (0.62, 0.6, 0.56), vein=0.05), rng),
        back=tiled(Tile(300, 600, (0.40, 0.36, 0.31), (0.62, 0.6, 0.56), vein=0.05, shift_mm=(120, 53)), rng),
        shower_floor=tiled(Tile(50, 50, (0.35, 0.33, 0.3), (0.5, 0.5, 0.48)), rng),
        floor=tiled(Tile(450, 450, (0.3, 0.27, 0.24), (0.3, 0.29, 0.28), roughness=0.3), rng),
        ceiling=plain((0.82, 0.82, 0.8)),
    )
    room = Room(finish, lamps(opening, 2300) + (window(-698, 1),), beyond_left_mm=700, beyond_right_mm=900)
    size = true_size("letter", rng)
    option, _ = measured("letter", size, rng)
    sheet = Card("letter", size, (opening.width_mm + 205, 1080.0), plain((0.82, 0.83, 0.84)), turn_deg=0.8, tape=plain(MASKING_TAPE))

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening)
        things.bottle(build, 190, -65, -820, (0.1, 0.3, 0.35))
        things.bottle(build, 270, -65, -860, (0.7, 0.35, 0.2), 150)
        things.mat(build, 760, -100, 560, (760, 480), plain((0.35, 0.42, 0.5)))
        things.bin_(build, -420, -100, 190, metal(roughness=0.35))

    return Shot(
        "room3_sheet_beside", "Room 3 shower", seed, opening, room, phone_camera(rng, opening, room, aside=90), (sheet,),
        Expected("hold", suspect=("width_middle",), reasons=("suspect-reading",)), ("--card", option),
        furnish=furnish, slips_mm={"width_middle": 25.4},
        note="a Letter sheet, measured, taped to the painted wall on the right; the middle width is an inch long",
    )


def room5_four_cards_plumb() -> Shot:
    seed = 505
    rng = np.random.default_rng(seed)
    opening = Opening(1206.0, 2012.0, lean_left=0.6, lean_right=-0.5, bow_left_mm=0.5, bow_right_mm=0.7, curb_level=0.2, head_slope=-0.4)
    walls = paint((0.33, 0.40, 0.48), rng)
    tile = Tile(100, 100, (0.74, 0.74, 0.72), (0.36, 0.36, 0.36), grout_mm=2.5)
    finish = Finish(
        face=walls, walls=walls, curb=lacquer((0.13, 0.13, 0.14), 0.25), header=walls, skirting=lacquer((0.75, 0.75, 0.73), 0.3),
        alcove=tiled(tile, rng), back=tiled(Tile(100, 100, (0.10, 0.26, 0.30), (0.5, 0.5, 0.48), grout_mm=2.5, variation=0.08), rng),
        shower_floor=tiled(Tile(50, 50, (0.2, 0.2, 0.21), (0.4, 0.4, 0.4)), rng),
        floor=tiled(Tile(140, 900, (0.36, 0.24, 0.15), (0.16, 0.1, 0.06), grout_mm=1.5, half_bond=True, roughness=0.35, variation=0.12), rng),
        ceiling=plain((0.82, 0.82, 0.8)),
    )
    room = Room(finish, lamps(opening, 2350, WARM, DAY) + (window(1206 + 948, -1),), curb_height_mm=90, ceiling_mm=2440, beyond_left_mm=900, beyond_right_mm=950)
    blanks = (lacquer((0.8, 0.78, 0.74)), lacquer((0.75, 0.5, 0.08)), lacquer((0.78, 0.8, 0.8)), lacquer((0.62, 0.12, 0.1)))
    places = ((-82, 130), (opening.width_mm + 88, 165), (opening.width_mm + 92, 1905), (-96, 1930))
    turns = rng.uniform(-2, 2, 4)
    pack = true_size("id-1", rng)
    cards = tuple(
        Card("id-1", pack, place, blank, turn_deg=float(turn)) for place, blank, turn in zip(places, blanks, turns, strict=True)
    )

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, right=False, head_y=1880)
        things.towel(build, 1206 + 420, 1320, (420, 640), paint((0.68, 0.6, 0.42), rng, 0.05))
        things.mat(build, 600, -90, 620, (700, 450), plain((0.55, 0.5, 0.42)))
        things.bottle(build, 930, -55, -870, (0.75, 0.7, 0.3), 210)

    return Shot(
        "room5_four_cards_plumb", "Room 5 shower", seed, opening, room, phone_camera(rng, opening, room), cards,
        Expected("ready"), ("--card", "id-1"), furnish=furnish,
        plumb_line=PlumbLine(250.0, 2085.0, 70.0, plain((0.03, 0.03, 0.03)), z_mm=4.0, thickness_mm=1.8),
        development=Development(orientation=6, white_balance=(0.9, 1.0, 1.16)),
        note="four bank-size cards near the corners and a plumb line; every reading is right; stored sideways (orientation 6)",
    )


def room7_leaning_walls() -> Shot:
    seed = 707
    rng = np.random.default_rng(seed)
    opening = Opening(1372.0, 1994.0, lean_left=4.8, lean_right=-4.8, bow_left_mm=-0.5, bow_right_mm=0.4, curb_level=0.3, head_slope=0.2)
    tile = Tile(600, 300, (0.47, 0.45, 0.42), (0.3, 0.29, 0.28), vein=0.06, shift_mm=(210, 80), half_bond=True)
    walls = tiled(tile, rng)
    finish = Finish(
        face=walls, walls=paint((0.66, 0.62, 0.55), rng), curb=lacquer((0.7, 0.69, 0.66), 0.2), header=lacquer((0.7, 0.7, 0.69), 0.3),
        alcove=tiled(Tile(75, 300, (0.13, 0.24, 0.2), (0.6, 0.6, 0.58), grout_mm=2.5, half_bond=True, variation=0.09), rng),
        back=tiled(Tile(300, 75, (0.13, 0.24, 0.2), (0.6, 0.6, 0.58), grout_mm=2.5, half_bond=True, variation=0.09), rng),
        shower_floor=tiled(Tile(100, 100, (0.45, 0.44, 0.42), (0.35, 0.35, 0.34)), rng),
        floor=tiled(Tile(600, 600, (0.36, 0.35, 0.34), (0.26, 0.26, 0.26), roughness=0.3), rng),
        ceiling=plain((0.82, 0.82, 0.8)),
    )
    room = Room(finish, lamps(opening, 2300, DAY, DAY, (11.0, 12.0)), beyond_left_mm=1000, beyond_right_mm=700)
    options, sheets = [], []
    for number, place in enumerate(((-165.0, 240.0), (opening.width_mm + 170.0, 1760.0)), 1):
        size = true_size("a4", rng)
        option, _ = measured(f"a4#{number}", size, rng)
        options += ["--card", option]
        sheets.append(Card("a4", size, place, plain((0.84, 0.84, 0.83)), turn_deg=float(rng.uniform(-1, 1)), tape=plain((0.1, 0.25, 0.5))))

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, head_y=1860)
        things.bottle(build, 240, -65, -880, (0.65, 0.62, 0.6), 170)
        things.cabinet(build, (-1000, -100, 0), (-480, 720, 420), lacquer((0.5, 0.33, 0.2), 0.35), lacquer((0.8, 0.8, 0.79), 0.2))

    return Shot(
        "room7_leaning_walls", "Room 7 shower", seed, opening, room, phone_camera(rng, opening, room), tuple(sheets),
        Expected("hold", reasons=("rectangle-too-narrow",)), tuple(options), furnish=furnish,
        plumb_line=PlumbLine(1110.0, 2060.0, 60.0, plain((0.85, 0.6, 0.05)), z_mm=5.0, thickness_mm=2.0),
        note="three equal widths, but both walls lean to the right by 3/8 in over the height; two measured A4 sheets and a plumb line",
    )


def room9_sheet_on_back_wall() -> Shot:
    seed = 909
    rng = np.random.default_rng(seed)
    opening = Opening(1487.0, 1962.0, lean_left=-0.9, lean_right=1.3, bow_left_mm=-0.7, bow_right_mm=0.5, curb_level=-0.5, head_slope=0.6)
    walls = paint((0.74, 0.70, 0.62), rng)
    tile = Tile(400, 250, (0.50, 0.53, 0.56), (0.7, 0.7, 0.68), grout_mm=3, vein=0.03)
    finish = Finish(
        face=walls, walls=walls, curb=lacquer((0.3, 0.29, 0.28), 0.25), header=walls, skirting=lacquer((0.34, 0.22, 0.14), 0.35),
        alcove=tiled(tile, rng), back=tiled(tile, rng), shower_floor=lacquer((0.75, 0.75, 0.74), 0.3),
        floor=tiled(Tile(300, 300, (0.5, 0.46, 0.4), (0.4, 0.38, 0.35), roughness=0.3, variation=0.05), rng),
        ceiling=plain((0.82, 0.82, 0.8)),
    )
    room = Room(finish, lamps(opening, 2330, WARM, WARM, (8.0, 18.0)), curb_height_mm=110, ceiling_mm=2440, beyond_left_mm=650, beyond_right_mm=1000, alcove_depth_mm=930)
    sheet = Card("letter", true_size("letter", rng), (900.0, 1240.0), plain((0.83, 0.83, 0.82)), turn_deg=-0.7, back_z_mm=-930.0, tape=plain(MASKING_TAPE))

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, right=False, head_y=1850)
        things.bottle(build, 1290, -75, -800, (0.3, 0.12, 0.3))
        things.mat(build, 700, -110, 500, (650, 420), plain((0.5, 0.2, 0.16)))
        things.towel(build, 1487 + 520, 1250, (480, 560), paint((0.25, 0.38, 0.36), rng, 0.05))

    return Shot(
        "room9_sheet_on_back_wall", "Room 9 shower", seed, opening, room, phone_camera(rng, opening, room, aside=-60), (sheet,),
        Expected("hold", findings=("card-plane",)), ("--card", "letter"), furnish=furnish,
        development=Development(white_balance=(0.86, 1.0, 1.25)),
        note="the Letter sheet hangs on the back wall, not in the plane of the opening; every reading is right",
    )


SCENES = {
    made.__name__: made for made in (room3_sheet_beside, room5_four_cards_plumb, room7_leaning_walls, room9_sheet_on_back_wall)
}

if __name__ == "__main__":
    main(SCENES, {}, FOLDER)
