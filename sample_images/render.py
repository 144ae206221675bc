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

from studio import prints, things  # noqa: E402
from studio.lights import DAY, WARM, lamps, window  # noqa: E402
from studio.opening import Opening  # noqa: E402
from studio.room import Finish, Room  # noqa: E402
from studio.run import main  # noqa: E402
from studio.shapes import Builder  # noqa: E402
from studio.shot import Development, Expected, Shot, phone_camera  # noqa: E402
from studio.sizes import STEEL_RULE_SD_MM, measured, true_size  # noqa: E402
from studio.surfaces import Tile, lacquer, metal, paint, plain, printed, tiled  # noqa: E402
from studio.things import Card, PlumbLine  # noqa: E402

MASKING_TAPE = (0.62, 0.5, 0.22)


def room3_sheet_beside() -> Shot:
    seed = 303
    rng = np.random.default_rng(seed)
    opening = Opening(
        1421.0, 1986.0, lean_left=1.1, lean_right=0.7, bow_left_mm=0.8, bow_right_mm=-0.6, curb_level=0.4, head_slope=0.9
    )
    walls = paint((0.60, 0.64, 0.55), rng)
    marble = lacquer((0.78, 0.77, 0.75), 0.2)
    finish = Finish(
        face=walls,
        walls=walls,
        curb=marble,
        header=walls,
        skirting=lacquer((0.8, 0.8, 0.78), 0.3),
        alcove=tiled(Tile(300, 600, (0.40, 0.36, 0.31), (0.62, 0.6, 0.56), vein=0.05), rng),
        back=tiled(Tile(300, 600, (0.40, 0.36, 0.31), (0.62, 0.6, 0.56), vein=0.05, shift_mm=(120, 53)), rng),
        shower_floor=tiled(Tile(50, 50, (0.35, 0.33, 0.3), (0.5, 0.5, 0.48)), rng),
        floor=tiled(Tile(450, 450, (0.3, 0.27, 0.24), (0.3, 0.29, 0.28), roughness=0.3), rng),
        ceiling=plain((0.82, 0.82, 0.8)),
    )
    room = Room(finish, (*lamps(opening, 2300), window(-698, 1)), beyond_left_mm=700, beyond_right_mm=900)
    size = true_size("letter", rng)
    option, _ = measured("letter", size, rng)
    sheet = Card(
        "letter", size, (opening.width_mm + 205, 1080.0), plain((0.82, 0.83, 0.84)), turn_deg=0.8, tape=plain(MASKING_TAPE)
    )

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening)
        things.bottle(build, 190, -65, -820, (0.1, 0.3, 0.35))
        things.bottle(build, 270, -65, -860, (0.7, 0.35, 0.2), 150)
        things.mat(build, 760, -100, 560, (760, 480), plain((0.35, 0.42, 0.5)))
        things.bin_(build, -420, -100, 190, metal(roughness=0.35))

    return Shot(
        "room3_sheet_beside",
        "Room 3 shower",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room, aside=90),
        (sheet,),
        Expected("hold", suspect=("width_middle",), reasons=("suspect-reading",)),
        ("--card", option),
        furnish=furnish,
        slips_mm={"width_middle": 25.4},
        note="a Letter sheet, measured, taped to the painted wall on the right; the middle width is an inch long",
    )


def room5_four_cards_plumb() -> Shot:
    seed = 505
    rng = np.random.default_rng(seed)
    opening = Opening(
        1206.0, 2012.0, lean_left=0.6, lean_right=-0.5, bow_left_mm=0.5, bow_right_mm=0.7, curb_level=0.2, head_slope=-0.4
    )
    walls = paint((0.33, 0.40, 0.48), rng)
    tile = Tile(100, 100, (0.74, 0.74, 0.72), (0.36, 0.36, 0.36), grout_mm=2.5)
    finish = Finish(
        face=walls,
        walls=walls,
        curb=lacquer((0.13, 0.13, 0.14), 0.25),
        header=walls,
        skirting=lacquer((0.75, 0.75, 0.73), 0.3),
        alcove=tiled(tile, rng),
        back=tiled(Tile(100, 100, (0.10, 0.26, 0.30), (0.5, 0.5, 0.48), grout_mm=2.5, variation=0.08), rng),
        shower_floor=tiled(Tile(50, 50, (0.2, 0.2, 0.21), (0.4, 0.4, 0.4)), rng),
        floor=tiled(
            Tile(140, 900, (0.36, 0.24, 0.15), (0.16, 0.1, 0.06), grout_mm=1.5, half_bond=True, roughness=0.35, variation=0.12),
            rng,
        ),
        ceiling=plain((0.82, 0.82, 0.8)),
    )
    room = Room(
        finish,
        (*lamps(opening, 2350, WARM, DAY), window(1206 + 948, -1)),
        curb_height_mm=90,
        ceiling_mm=2440,
        beyond_left_mm=900,
        beyond_right_mm=950,
    )
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
        "room5_four_cards_plumb",
        "Room 5 shower",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room),
        cards,
        Expected("hold", reasons=("no-second-witness",)),
        ("--card", "id-1@-0.8+-0.3"),
        furnish=furnish,
        plumb_line=PlumbLine(250.0, 2085.0, 70.0, plain((0.03, 0.03, 0.03)), z_mm=4.0, thickness_mm=1.8),
        development=Development(orientation=6, white_balance=(0.9, 1.0, 1.16)),
        note="four bank-size cards near the corners and a plumb line; every reading is right; stored sideways (orientation 6)",
    )


def room7_leaning_walls() -> Shot:
    seed = 707
    rng = np.random.default_rng(seed)
    opening = Opening(
        1372.0, 1994.0, lean_left=4.8, lean_right=-4.8, bow_left_mm=-0.5, bow_right_mm=0.4, curb_level=0.3, head_slope=0.2
    )
    tile = Tile(600, 300, (0.47, 0.45, 0.42), (0.3, 0.29, 0.28), vein=0.06, shift_mm=(210, 80), half_bond=True)
    walls = tiled(tile, rng)
    finish = Finish(
        face=walls,
        walls=paint((0.66, 0.62, 0.55), rng),
        curb=lacquer((0.7, 0.69, 0.66), 0.2),
        header=lacquer((0.7, 0.7, 0.69), 0.3),
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
        sheets.append(
            Card("a4", size, place, plain((0.84, 0.84, 0.83)), turn_deg=float(rng.uniform(-1, 1)), tape=plain((0.1, 0.25, 0.5)))
        )

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, head_y=1860)
        things.bottle(build, 240, -65, -880, (0.65, 0.62, 0.6), 170)
        things.cabinet(build, (-1000, -100, 0), (-480, 720, 420), lacquer((0.5, 0.33, 0.2), 0.35), lacquer((0.8, 0.8, 0.79), 0.2))

    return Shot(
        "room7_leaning_walls",
        "Room 7 shower",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room),
        tuple(sheets),
        Expected("hold", reasons=("rectangle-too-narrow",)),
        tuple(options),
        furnish=furnish,
        plumb_line=PlumbLine(1110.0, 2060.0, 60.0, plain((0.85, 0.6, 0.05)), z_mm=5.0, thickness_mm=2.0),
        note="three equal widths, but both walls lean to the right by 3/8 in over the height; "
        "two measured A4 sheets and a plumb line",
    )


def room9_sheet_on_back_wall() -> Shot:
    seed = 909
    rng = np.random.default_rng(seed)
    opening = Opening(
        1487.0, 1962.0, lean_left=-0.9, lean_right=1.3, bow_left_mm=-0.7, bow_right_mm=0.5, curb_level=-0.5, head_slope=0.6
    )
    walls = paint((0.74, 0.70, 0.62), rng)
    tile = Tile(400, 250, (0.50, 0.53, 0.56), (0.7, 0.7, 0.68), grout_mm=3, vein=0.03)
    finish = Finish(
        face=walls,
        walls=walls,
        curb=lacquer((0.3, 0.29, 0.28), 0.25),
        header=walls,
        skirting=lacquer((0.34, 0.22, 0.14), 0.35),
        alcove=tiled(tile, rng),
        back=tiled(tile, rng),
        shower_floor=lacquer((0.75, 0.75, 0.74), 0.3),
        floor=tiled(Tile(300, 300, (0.5, 0.46, 0.4), (0.4, 0.38, 0.35), roughness=0.3, variation=0.05), rng),
        ceiling=plain((0.82, 0.82, 0.8)),
    )
    room = Room(
        finish,
        lamps(opening, 2330, WARM, WARM, (8.0, 18.0)),
        curb_height_mm=110,
        ceiling_mm=2440,
        beyond_left_mm=650,
        beyond_right_mm=1000,
        alcove_depth_mm=930,
    )
    sheet = Card(
        "letter",
        true_size("letter", rng),
        (900.0, 1240.0),
        plain((0.83, 0.83, 0.82)),
        turn_deg=-0.7,
        back_z_mm=-930.0,
        tape=plain(MASKING_TAPE),
    )

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, right=False, head_y=1850)
        things.bottle(build, 1290, -75, -800, (0.3, 0.12, 0.3))
        things.mat(build, 700, -110, 500, (650, 420), plain((0.5, 0.2, 0.16)))
        things.towel(build, 1487 + 520, 1250, (480, 560), paint((0.25, 0.38, 0.36), rng, 0.05))

    return Shot(
        "room9_sheet_on_back_wall",
        "Room 9 shower",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room, aside=-60),
        (sheet,),
        Expected("hold", findings=("card-plane",)),
        ("--card", "letter"),
        furnish=furnish,
        development=Development(white_balance=(0.86, 1.0, 1.25)),
        note="the Letter sheet hangs on the back wall, not in the plane of the opening; every reading is right",
    )


def room2_one_card() -> Shot:
    seed = 202
    rng = np.random.default_rng(seed)
    opening = Opening(
        764.0, 1936.0, lean_left=1.4, lean_right=-0.8, bow_left_mm=0.9, bow_right_mm=0.3, curb_level=0.6, head_slope=-0.8
    )
    walls = paint((0.52, 0.30, 0.20), rng)
    metro = Tile(200, 100, (0.76, 0.76, 0.74), (0.6, 0.6, 0.59), grout_mm=2.5, half_bond=True)
    finish = Finish(
        face=walls,
        walls=paint((0.76, 0.74, 0.7), rng),
        header=walls,
        skirting=lacquer((0.8, 0.79, 0.76), 0.3),
        curb=tiled(Tile(200, 100, (0.76, 0.76, 0.74), (0.6, 0.6, 0.59), grout_mm=2.5, shift_mm=(60, 50)), rng),
        alcove=tiled(metro, rng),
        back=tiled(metro, rng),
        shower_floor=tiled(Tile(50, 50, (0.1, 0.1, 0.11), (0.4, 0.4, 0.4), variation=0.1), rng),
        floor=tiled(Tile(200, 200, (0.12, 0.13, 0.14), (0.35, 0.35, 0.34), roughness=0.25, variation=0.08), rng),
        ceiling=plain((0.82, 0.82, 0.8)),
    )
    room = Room(
        finish,
        (*lamps(opening, 2300, DAY, DAY, (10.0, 9.0)), window(-848, 1, strength=4.0)),
        beyond_left_mm=850,
        beyond_right_mm=900,
        alcove_depth_mm=900,
    )
    card = Card(
        "id-1",
        true_size("id-1", rng),
        (opening.width_mm + 92, 1010.0),
        printed(prints.stripe((0.78, 0.79, 0.8), (0.05, 0.2, 0.35))),
        turn_deg=1.3,
    )

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, head_y=1870)
        things.bin_(build, -330, -100, 200, lacquer((0.7, 0.68, 0.1), 0.3))
        things.towel(build, 1180, 1380, (340, 600), paint((0.75, 0.74, 0.72), rng, 0.04))
        things.mat(build, 380, -100, 520, (560, 400), plain((0.15, 0.3, 0.3)))

    return Shot(
        "room2_one_card",
        "Room 2 shower",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room, distance=2430.0),
        (card,),
        Expected("hold", cannot_measure="tilt-two-ways"),
        ("--card", "id-1"),
        furnish=furnish,
        note="one bank-size card beside a narrow opening; every reading is right, but one small card cannot witness the heights",
    )


def room4_tub_sheet_on_tile() -> Shot:
    seed = 404
    rng = np.random.default_rng(seed)
    opening = Opening(
        1519.0, 1486.0, lean_left=0.8, lean_right=0.9, bow_left_mm=-0.6, bow_right_mm=-0.4, curb_level=-0.6, head_slope=0.3
    )
    face = tiled(Tile(250, 400, (0.66, 0.62, 0.52), (0.72, 0.7, 0.66), grout_mm=2.5, variation=0.02, shift_mm=(70, 120)), rng)
    enamel = lacquer((0.8, 0.8, 0.79), 0.12)
    inner = Tile(250, 400, (0.20, 0.30, 0.44), (0.68, 0.67, 0.64), grout_mm=2.5, variation=0.06, shift_mm=(110, 120))
    finish = Finish(
        face=face,
        walls=paint((0.7, 0.7, 0.66), rng),
        curb=enamel,
        header=face,
        alcove=tiled(inner, rng),
        back=tiled(inner, rng),
        shower_floor=enamel,
        floor=tiled(Tile(330, 330, (0.42, 0.4, 0.36), (0.3, 0.3, 0.29), roughness=0.3), rng),
        ceiling=plain((0.82, 0.82, 0.8)),
    )
    room = Room(
        finish,
        (*lamps(opening, 1890, DAY, WARM, (10.0, 12.0)), window(1519 + 898, -1, strength=2.0)),
        curb_height_mm=510,
        curb_depth_mm=85,
        beyond_left_mm=950,
        beyond_right_mm=900,
        alcove_depth_mm=760,
        header_depth_mm=120,
        tub=True,
    )
    size = true_size("a4", rng)
    option, _ = measured("a4", size, rng)
    sheet = Card("a4", size, (-185.0, 720.0), plain((0.84, 0.84, 0.84)), turn_deg=-1.1, tape=plain((0.55, 0.08, 0.08)))

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, head_y=1340, z=-400)
        things.bottle(build, 130, 0, -715, (0.65, 0.12, 0.2), 170)
        things.bottle(build, 215, 0, -715, (0.75, 0.72, 0.6), 200)
        things.mat(build, 800, -510, 430, (800, 500), plain((0.6, 0.56, 0.5)))

    return Shot(
        "room4_tub_sheet_on_tile",
        "Room 4 tub",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room, landscape=True, distance=2380.0, height=1180.0),
        (sheet,),
        Expected("hold", suspect=("height_right",), reasons=("suspect-reading",)),
        ("--card", option),
        furnish=furnish,
        slips_mm={"height_right": -25.4},
        note="a tub, landscape; a measured A4 sheet on the tiled face; the right height is an inch short",
    )


def room6_one_wall_leans() -> Shot:
    seed = 606
    rng = np.random.default_rng(seed)
    opening = Opening(
        1325.0, 1978.0, lean_left=7.6, lean_right=0.5, bow_left_mm=0.6, bow_right_mm=-0.8, curb_level=-0.3, head_slope=-0.2
    )
    face = tiled(Tile(300, 300, (0.24, 0.25, 0.27), (0.16, 0.16, 0.17), grout_mm=3, variation=0.06, shift_mm=(95, 130)), rng)
    inner = Tile(600, 300, (0.62, 0.60, 0.57), (0.45, 0.44, 0.43), grout_mm=2, vein=0.08, shift_mm=(250, 130))
    finish = Finish(
        face=face,
        walls=paint((0.72, 0.72, 0.7), rng),
        curb=lacquer((0.62, 0.6, 0.57), 0.2),
        header=face,
        alcove=tiled(inner, rng),
        back=tiled(inner, rng),
        shower_floor=tiled(Tile(50, 50, (0.55, 0.54, 0.52), (0.4, 0.4, 0.4)), rng),
        floor=tiled(
            Tile(180, 1200, (0.34, 0.27, 0.2), (0.2, 0.16, 0.12), grout_mm=1, half_bond=True, roughness=0.35, variation=0.07), rng
        ),
        ceiling=plain((0.82, 0.82, 0.8)),
    )
    room = Room(
        finish,
        lamps(opening, 2330, WARM, DAY, (12.0, 10.0)),
        ceiling_mm=2430,
        beyond_left_mm=800,
        beyond_right_mm=1100,
        bead_mm=3.0,
    )
    faces = (
        printed(prints.waves((0.75, 0.75, 0.7), (0.1, 0.35, 0.3))),
        printed(prints.stripe((0.7, 0.68, 0.6), (0.45, 0.1, 0.08))),
        printed(prints.rings((0.78, 0.77, 0.76), (0.25, 0.2, 0.4))),
        printed(prints.stripe((0.65, 0.7, 0.75), (0.1, 0.1, 0.12), (0.6, 0.8))),
    )
    places = ((-88, 205), (opening.width_mm + 96, 120), (opening.width_mm + 80, 1880), (-80, 1845))
    pack, turns = true_size("id-1", rng), rng.uniform(-2.5, 2.5, 4)
    cards = tuple(
        Card("id-1", pack, place, print_, turn_deg=float(t)) for place, print_, t in zip(places, faces, turns, strict=True)
    )

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, right=False, head_y=1870)
        things.bottle(build, 1080, -65, -900, (0.2, 0.32, 0.12), 220)
        things.cabinet(
            build,
            (1325 + 560, -100, 0),
            (1325 + 1090, 760, 430),
            lacquer((0.75, 0.74, 0.7), 0.3),
            lacquer((0.14, 0.14, 0.15), 0.2),
        )

    return Shot(
        "room6_one_wall_leans",
        "Room 6 shower",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room),
        cards,
        Expected("hold", reasons=("lean-over-limit",)),
        ("--card", "id-1"),
        furnish=furnish,
        plumb_line=PlumbLine(935.0, 2050.0, 80.0, plain((0.02, 0.02, 0.03)), z_mm=4.0, thickness_mm=1.9),
        development=Development(white_balance=(0.93, 1.0, 1.12)),
        note="the left wall leans 15 mm into the opening over its height; four printed cards, a plumb line, "
        "metal beads at the arrises that run on to the ceiling; the head is hard to see on the right",
    )


def room8_open_to_ceiling() -> Shot:
    seed = 808
    rng = np.random.default_rng(seed)
    opening = Opening(
        1118.0, 2032.0, lean_left=-1.2, lean_right=0.9, bow_left_mm=0.4, bow_right_mm=0.9, curb_level=0.0, head=False
    )
    walls = paint((0.70, 0.71, 0.72), rng)
    inner = Tile(150, 150, (0.46, 0.22, 0.13), (0.66, 0.64, 0.6), grout_mm=4, variation=0.07, roughness=0.25, shift_mm=(60, 40))
    finish = Finish(
        face=walls,
        walls=walls,
        curb=lacquer((0.68, 0.66, 0.62), 0.2),
        header=walls,
        skirting=lacquer((0.2, 0.2, 0.21), 0.3),
        alcove=tiled(inner, rng),
        back=tiled(inner, rng),
        shower_floor=tiled(Tile(100, 100, (0.4, 0.38, 0.35), (0.5, 0.5, 0.48)), rng),
        floor=tiled(Tile(450, 450, (0.45, 0.44, 0.42), (0.3, 0.3, 0.3), roughness=0.3), rng),
        ceiling=plain((0.82, 0.82, 0.8)),
    )
    room = Room(
        finish,
        (*lamps(opening, 3200, DAY, WARM, (20.0, 40.0)), window(-898, 1, strength=2.5, z=1700.0)),
        ceiling_mm=3300,
        beyond_left_mm=900,
        beyond_right_mm=800,
        length_mm=3300,
    )
    pack, turns = true_size("id-1", rng), rng.uniform(-2, 2, 2)
    dark, teal = lacquer((0.08, 0.08, 0.1), 0.25), printed(prints.waves((0.1, 0.4, 0.38), (0.7, 0.7, 0.6)))
    cards = (
        Card("id-1", pack, (-90.0, 150.0), dark, turn_deg=float(turns[0])),
        Card("id-1", pack, (opening.width_mm + 85, 1870.0), teal, turn_deg=float(turns[1])),
    )

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, head_y=1900)
        things.bottle(build, 180, -65, -900, (0.7, 0.7, 0.72), 230)
        things.mat(build, 560, -100, 430, (620, 420), plain((0.4, 0.42, 0.45)))

    return Shot(
        "room8_open_to_ceiling",
        "Room 8 shower",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room, distance=2230.0, height=1060.0, aim_y=840.0, aside=-50.0),
        cards,
        Expected(None),
        ("--card", "id-1", "--no-head", "--height", "80 in"),
        furnish=furnish,
        readings=("width_top", "width_middle", "width_bottom"),
        note="the walls run on to a ceiling above the picture; widths up to 80 in; "
        "a dark and a coloured card at opposite corners",
    )


def room10_two_sheets_plumb() -> Shot:
    seed = 1010
    rng = np.random.default_rng(seed)
    opening = Opening(
        1402.0, 1998.0, lean_left=0.2, lean_right=-0.15, bow_left_mm=0.3, bow_right_mm=0.4, curb_level=0.2, head_slope=0.1
    )
    walls = paint((0.22, 0.33, 0.33), rng)
    tile = Tile(150, 300, (0.76, 0.74, 0.69), (0.58, 0.56, 0.53), grout_mm=2.5, variation=0.02, shift_mm=(60, 90))
    finish = Finish(
        face=walls,
        walls=paint((0.74, 0.72, 0.67), rng),
        curb=lacquer((0.16, 0.17, 0.18), 0.25),
        header=lacquer((0.74, 0.73, 0.7), 0.3),
        skirting=lacquer((0.78, 0.77, 0.74), 0.3),
        alcove=tiled(tile, rng),
        back=tiled(tile, rng),
        shower_floor=tiled(Tile(50, 50, (0.42, 0.44, 0.43), (0.6, 0.6, 0.58), variation=0.05), rng),
        floor=tiled(
            Tile(160, 1000, (0.44, 0.31, 0.2), (0.2, 0.13, 0.08), grout_mm=1, half_bond=True, roughness=0.35, variation=0.09), rng
        ),
        ceiling=plain((0.82, 0.82, 0.8)),
    )
    room = Room(
        finish,
        (*lamps(opening, 2330, DAY, WARM, (11.0, 17.0)), window(-748, 1)),
        ceiling_mm=2430,
        beyond_left_mm=750,
        beyond_right_mm=850,
    )
    options, sheets = [], []
    for number, place in enumerate(((-175.0, 250.0), (opening.width_mm + 175.0, 1750.0)), 1):
        size = true_size("a4", rng)
        option, _ = measured(f"a4#{number}@-0.1+-0.5", size, rng, sd_mm=STEEL_RULE_SD_MM, stated_mm=0.15)
        options += ["--card", option]
        sheets.append(
            Card("a4", size, place, plain((0.84, 0.84, 0.83)), turn_deg=float(rng.uniform(-1, 1)), tape=plain(MASKING_TAPE))
        )

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, right=False, head_y=1870)
        things.bottle(build, 1190, -65, -880, (0.75, 0.45, 0.3), 170)
        things.bottle(build, 1275, -65, -850, (0.2, 0.42, 0.4), 210)
        things.towel(build, 1402 + 330, 1180, (360, 620), paint((0.78, 0.62, 0.36), rng, 0.05))
        things.mat(build, 700, -100, 520, (820, 460), plain((0.66, 0.6, 0.5)))
        things.bin_(build, -470, -100, 210, lacquer((0.72, 0.7, 0.66), 0.3))

    return Shot(
        "room10_two_sheets_plumb",
        "Room 10 shower",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room, distance=2520.0),
        tuple(sheets),
        Expected("ready"),
        tuple(options),
        furnish=furnish,
        plumb_line=PlumbLine(930.0, 2085.0, 70.0, plain((0.03, 0.03, 0.03)), z_mm=3.0, thickness_mm=1.9),
        development=Development(largest_bytes=1_700_000),
        note="straight walls, two A4 sheets at opposite corners, measured with a steel rule, and a plumb line; "
        "every reading is right",
    )


SCENES = {
    made.__name__: made
    for made in (
        room2_one_card,
        room3_sheet_beside,
        room4_tub_sheet_on_tile,
        room5_four_cards_plumb,
        room6_one_wall_leans,
        room7_leaning_walls,
        room8_open_to_ceiling,
        room9_sheet_on_back_wall,
        room10_two_sheets_plumb,
    )
}

if __name__ == "__main__":
    main(SCENES, {}, FOLDER)
