"""Renders the benchmark's photographs: one difficulty each, or two; see README.md beside this file.

python tests/benchmarks/scenes/render.py --variant cuda_ad_rgb --samples 160
"""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

FOLDER = Path(__file__).resolve().parent
SAMPLES = FOLDER.parents[2] / "sample_images"
sys.path.insert(0, str(SAMPLES))

from studio import develop, prints, run, things  # noqa: E402
from studio.lights import COOL, DAY, WARM, lamps, window  # noqa: E402
from studio.opening import Opening  # noqa: E402
from studio.room import Finish, Room  # noqa: E402
from studio.shapes import Builder  # noqa: E402
from studio.shot import Development, Expected, Shot, phone_camera  # noqa: E402
from studio.sizes import measured, true_size  # noqa: E402
from studio.surfaces import Surface, Tile, lacquer, metal, paint, plain, printed, tiled  # noqa: E402
from studio.things import Card, PlumbLine  # noqa: E402

CEILING = (0.82, 0.82, 0.8)


def finish_of(rng: np.random.Generator, face: Surface, inner: Tile, floor: Tile, curb: Surface, **more: Surface) -> Finish:
    """Face and rooms alike unless said otherwise, one tile throughout the alcove."""
    mosaic = Tile(50, 50, tuple(0.8 * c for c in inner.rgb), inner.grout_rgb)  # type: ignore[arg-type]
    parts = {
        "face": face,
        "walls": face,
        "header": face,
        "curb": curb,
        "alcove": tiled(inner, rng),
        "back": tiled(inner, rng),
        "shower_floor": tiled(mosaic, rng),
        "floor": tiled(floor, rng),
        "ceiling": plain(CEILING),
    }
    return Finish(**{**parts, **more})


def cards_at(rng: np.random.Generator, places: list[tuple[float, float]], fronts: list[Surface]) -> tuple[Card, ...]:
    """Bank-size cards of one pack, each a little askew."""
    pack = true_size("id-1", rng)
    return tuple(
        Card("id-1", pack, place, front, turn_deg=float(rng.uniform(-2, 2))) for place, front in zip(places, fronts, strict=True)
    )


def stacked_cards_equal_grey() -> Shot:
    seed = 1101
    rng = np.random.default_rng(seed)
    opening = Opening(
        912.0, 2034.0, lean_left=-0.7, lean_right=1.0, bow_left_mm=0.6, bow_right_mm=-0.5, curb_level=0.3, head_slope=0.5
    )
    inner = Tile(200, 200, (0.60, 0.39, 0.33), (0.46, 0.34, 0.3), grout_mm=2, variation=0.02, shift_mm=(90, 70))
    finish = finish_of(
        rng,
        paint((0.138, 0.214, 0.147), rng),
        inner,
        Tile(300, 300, (0.5, 0.48, 0.44), (0.4, 0.39, 0.37), roughness=0.3),
        lacquer((0.75, 0.73, 0.68), 0.2),
        skirting=lacquer((0.78, 0.77, 0.74), 0.3),
    )
    room = Room(finish, lamps(opening, 2300, DAY, DAY, (11.0, 2.0)), beyond_left_mm=900, beyond_right_mm=850, alcove_depth_mm=860)
    cards = cards_at(rng, [(1010.0, 300.0), (1002.0, 1700.0)], [lacquer((0.8, 0.79, 0.77)), lacquer((0.8, 0.79, 0.77))])

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, right=False, head_y=1940)
        things.bin_(build, -420, -100, 210, lacquer((0.75, 0.75, 0.73), 0.3))
        things.mat(build, 470, -100, 470, (600, 400), plain((0.66, 0.6, 0.5)))

    return Shot(
        "stacked_cards_equal_grey",
        "Room 11 shower",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room),
        cards,
        Expected(None),
        ("--card", "id-1"),
        furnish=furnish,
        note="two cards one above the other on one side; green paint and red tile of the same grey value meet at both arrises",
    )


def white_sheet_on_white() -> Shot:
    seed = 1202
    rng = np.random.default_rng(seed)
    opening = Opening(
        1287.0, 1969.0, lean_left=0.5, lean_right=1.6, bow_left_mm=-0.9, bow_right_mm=0.7, curb_level=-0.2, head_slope=-0.7
    )
    inner = Tile(250, 330, (0.66, 0.68, 0.7), (0.3, 0.3, 0.3), grout_mm=4, variation=0.015, shift_mm=(0, 110))
    finish = finish_of(
        rng,
        paint((0.78, 0.775, 0.755), rng, 0.006),
        inner,
        Tile(330, 330, (0.28, 0.25, 0.22), (0.4, 0.38, 0.35), roughness=0.3, variation=0.05),
        lacquer((0.66, 0.66, 0.65), 0.2),
        skirting=lacquer((0.8, 0.8, 0.79), 0.3),
    )
    room = Room(
        finish,
        (*lamps(opening, 2300, DAY, DAY, (7.0, 8.0)), window(-798, 1, COOL, 5.0, 1500.0)),
        beyond_left_mm=800,
        beyond_right_mm=900,
    )
    sheet = Card(
        "letter",
        true_size("letter", rng),
        (-190.0, 1010.0),
        plain((0.85, 0.85, 0.86)),
        turn_deg=0.5,
        tape=plain((0.78, 0.77, 0.72)),
    )

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, head_y=1890)
        things.bottle(build, 230, -65, -880, (0.5, 0.65, 0.7), 200)
        things.towel(build, 1287 + 470, 1300, (400, 520), paint((0.2, 0.22, 0.4), rng, 0.05))

    return Shot(
        "white_sheet_on_white",
        "Room 12 shower",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room, aside=-40.0),
        (sheet,),
        Expected(None),
        ("--card", "letter"),
        furnish=furnish,
        development=Development(sharpening=0.6),
        note="a white Letter sheet, not measured, on white paint; a dark joint runs along both arrises",
    )


def bullnose_four_cards() -> Shot:
    seed = 1303
    rng = np.random.default_rng(seed)
    opening = Opening(
        1451.0, 1948.0, lean_left=0.9, lean_right=0.6, bow_left_mm=0.4, bow_right_mm=0.8, curb_level=0.4, head_slope=0.1
    )
    tile = Tile(150, 150, (0.62, 0.56, 0.42), (0.74, 0.71, 0.65), grout_mm=3.5, variation=0.035, roughness=0.2, shift_mm=(55, 20))
    face = tiled(tile, rng)
    finish = finish_of(
        rng,
        face,
        replace(tile, shift_mm=(20, 20)),
        Tile(150, 150, (0.36, 0.2, 0.13), (0.4, 0.36, 0.32), roughness=0.3, variation=0.08),
        tiled(replace(tile, shift_mm=(40, 60)), rng),
        walls=paint((0.7, 0.68, 0.62), rng),
    )
    room = Room(
        finish,
        lamps(opening, 2250, WARM, WARM, (10.0, 14.0)),
        ceiling_mm=2350,
        beyond_left_mm=1000,
        beyond_right_mm=800,
        bullnose_mm=6.0,
    )
    fronts = [
        printed(prints.stripe((0.1, 0.12, 0.3), (0.7, 0.7, 0.7))),
        lacquer((0.05, 0.25, 0.2)),
        printed(prints.rings((0.12, 0.12, 0.13), (0.6, 0.5, 0.2))),
        lacquer((0.35, 0.06, 0.1)),
    ]
    cards = cards_at(rng, [(-85, 260), (1451 + 95, 190), (1451 + 90, 1790), (-92, 1835)], fronts)

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, head_y=1850)
        things.bottle(build, 1250, -65, -900, (0.1, 0.3, 0.5), 160)
        things.mat(build, 700, -100, 600, (800, 480), plain((0.25, 0.35, 0.2)))

    return Shot(
        "bullnose_four_cards",
        "Room 13 shower",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room, distance=2690.0),
        cards,
        Expected(None),
        ("--card", "id-1"),
        furnish=furnish,
        development=Development(white_balance=(0.88, 1.0, 1.22)),
        note="rounded tile edges of 6 mm radius at both walls; four dark cards on a tiled face",
    )


def bowed_wall() -> Shot:
    seed = 1404
    rng = np.random.default_rng(seed)
    opening = Opening(
        1530.0, 2046.0, lean_left=0.4, lean_right=-0.6, bow_left_mm=5.0, bow_right_mm=-0.4, curb_level=0.1, head_slope=0.8
    )
    inner = Tile(600, 600, (0.15, 0.15, 0.16), (0.09, 0.09, 0.09), grout_mm=2, vein=0.1, variation=0.02, shift_mm=(240, 130))
    finish = finish_of(
        rng,
        paint((0.66, 0.58, 0.36), rng),
        inner,
        Tile(600, 600, (0.55, 0.54, 0.52), (0.42, 0.42, 0.41), roughness=0.25, vein=0.05),
        lacquer((0.12, 0.12, 0.13), 0.2),
        skirting=lacquer((0.12, 0.12, 0.13), 0.3),
        walls=paint((0.74, 0.73, 0.71), rng),
    )
    room = Room(finish, lamps(opening, 2400, DAY, WARM, (11.0, 26.0)), ceiling_mm=2500, beyond_left_mm=750, beyond_right_mm=750)
    options, sheets = [], []
    for number, place in enumerate(((-170.0, 1800.0), (1530.0 + 165.0, 230.0)), 1):
        size = true_size("a4", rng)
        option, _ = measured(f"a4#{number}", size, rng)
        options += ["--card", option]
        sheets.append(
            Card("a4", size, place, plain((0.84, 0.84, 0.83)), turn_deg=float(rng.uniform(-1, 1)), tape=plain((0.2, 0.4, 0.2)))
        )

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, head_y=1930)
        things.bottle(build, 300, -65, -930, (0.75, 0.75, 0.72), 210)
        things.bottle(build, 380, -65, -910, (0.7, 0.5, 0.1), 150)

    return Shot(
        "bowed_wall",
        "Room 14 shower",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room, distance=2760.0),
        tuple(sheets),
        Expected(None),
        tuple(options),
        furnish=furnish,
        plumb_line=PlumbLine(1270.0, 2120.0, 90.0, plain((0.8, 0.8, 0.76)), z_mm=5.0, thickness_mm=1.7),
        note="the left wall bows 5 mm into the opening; two measured A4 sheets at opposite corners and a bright plumb line; "
        "top and front of the dark curb look alike: its edge can hardly be seen",
    )


def wide_lens() -> Shot:
    seed = 1505
    rng = np.random.default_rng(seed)
    opening = Opening(
        1176.0, 1981.0, lean_left=1.0, lean_right=-0.5, bow_left_mm=0.2, bow_right_mm=0.5, curb_level=-0.4, head_slope=0.4
    )
    inner = Tile(65, 200, (0.16, 0.22, 0.36), (0.62, 0.62, 0.6), grout_mm=2.5, half_bond=True, variation=0.1, shift_mm=(25, 60))
    finish = finish_of(
        rng,
        paint((0.72, 0.66, 0.6), rng),
        inner,
        Tile(250, 250, (0.66, 0.65, 0.62), (0.3, 0.3, 0.3), roughness=0.25, variation=0.02),
        lacquer((0.74, 0.74, 0.73), 0.2),
        skirting=lacquer((0.3, 0.2, 0.13), 0.3),
    )
    room = Room(finish, lamps(opening, 2300, DAY, DAY, (9.0, 9.0)), beyond_left_mm=1100, beyond_right_mm=700, length_mm=2400)
    fronts = [lacquer((0.1, 0.3, 0.5)), lacquer((0.06, 0.06, 0.07)), lacquer((0.1, 0.3, 0.5)), lacquer((0.55, 0.1, 0.25))]
    cards = cards_at(rng, [(-90, 120), (1176 + 84, 170), (1176 + 98, 1890), (-88, 1860)], fronts)

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, right=False, head_y=1880)
        things.cabinet(
            build, (-1100, -100, 0), (-420, 740, 400), lacquer((0.3, 0.36, 0.33), 0.3), lacquer((0.78, 0.77, 0.75), 0.2)
        )
        things.bottle(build, 960, -65, -900, (0.7, 0.2, 0.1), 190)

    camera = phone_camera(rng, opening, room, distance=1720.0, equivalent_mm=20.0, k1=-0.12, k2=0.02)
    return Shot(
        "wide_lens",
        "Room 15 shower",
        seed,
        opening,
        room,
        camera,
        cards,
        Expected(None),
        ("--card", "id-1"),
        furnish=furnish,
        equivalent_mm=20.0,
        note="a wide lens (20 mm equivalent) with strong barrel distortion, from 1.7 m; four cards",
    )


def card_on_block_curb_slopes() -> Shot:
    seed = 1606
    rng = np.random.default_rng(seed)
    opening = Opening(
        1093.0, 2007.0, lean_left=0.3, lean_right=1.1, bow_left_mm=-0.5, bow_right_mm=0.6, curb_level=5.0, head_slope=0.2
    )
    inner = Tile(300, 450, (0.34, 0.38, 0.33), (0.55, 0.55, 0.52), grout_mm=3, vein=0.04, shift_mm=(130, 190))
    finish = finish_of(
        rng,
        paint((0.48, 0.47, 0.5), rng),
        inner,
        Tile(120, 700, (0.45, 0.33, 0.22), (0.25, 0.18, 0.12), grout_mm=1.5, half_bond=True, roughness=0.35, variation=0.1),
        lacquer((0.72, 0.7, 0.66), 0.2),
        skirting=lacquer((0.8, 0.79, 0.77), 0.3),
    )
    room = Room(
        finish,
        (*lamps(opening, 2320, WARM, DAY, (11.0, 13.0)), window(1093 + 798, -1, DAY, 2.5)),
        curb_height_mm=120,
        ceiling_mm=2440,
        beyond_left_mm=850,
        beyond_right_mm=800,
    )
    flush, raised = cards_at(rng, [(1093 + 90, 1830.0), (-125.0, 380.0)], [lacquer((0.78, 0.74, 0.6)), lacquer((0.8, 0.8, 0.79))])
    raised = replace(raised, back_z_mm=60.0, block=lacquer((0.45, 0.3, 0.16), 0.5))

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, head_y=1900)
        things.bin_(build, 1093 + 430, -120, 200, metal(roughness=0.3))
        things.bottle(build, 820, -85, -900, (0.12, 0.12, 0.3), 200)

    return Shot(
        "card_on_block_curb_slopes",
        "Room 16 shower",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room),
        (raised, flush),
        Expected(None),
        ("--card", "id-1#1@-60.76+-1", "--card", "id-1#2"),
        furnish=furnish,
        plumb_line=PlumbLine(330.0, 2085.0, 75.0, plain((0.7, 0.05, 0.05)), z_mm=4.0, thickness_mm=1.8),
        development=Development(white_balance=(0.94, 1.0, 1.1)),
        note="the left card stands 60 mm in front of the wall on a block, which is stated; the curb rises 5 mm/m to the right",
    )


def dark_and_grainy() -> Shot:
    seed = 1707
    rng = np.random.default_rng(seed)
    opening = Opening(
        1334.0, 1957.0, lean_left=-0.5, lean_right=-0.9, bow_left_mm=0.7, bow_right_mm=0.3, curb_level=0.7, head_slope=-0.3
    )
    inner = Tile(100, 300, (0.68, 0.66, 0.62), (0.5, 0.49, 0.47), grout_mm=2.5, variation=0.03, shift_mm=(35, 90))
    finish = finish_of(
        rng,
        paint((0.36, 0.24, 0.30), rng),
        inner,
        Tile(300, 300, (0.2, 0.2, 0.21), (0.3, 0.3, 0.3), roughness=0.3),
        lacquer((0.6, 0.58, 0.55), 0.2),
        skirting=lacquer((0.6, 0.58, 0.55), 0.3),
    )
    room = Room(finish, lamps(opening, 2300, WARM, WARM, (9.0, 5.0)), beyond_left_mm=700, beyond_right_mm=950)
    cards = cards_at(rng, [(-95.0, 1800.0), (1334 + 92, 210.0)], [lacquer((0.8, 0.79, 0.75)), lacquer((0.8, 0.79, 0.75))])

    def furnish(build: Builder) -> None:
        things.shower_fittings(build, opening, right=False, head_y=1860)
        things.towel(build, 1334 + 560, 1280, (420, 600), paint((0.5, 0.5, 0.48), rng, 0.05))
        things.mat(build, 700, -100, 540, (700, 420), plain((0.3, 0.1, 0.1)))

    return Shot(
        "dark_and_grainy",
        "Room 17 shower",
        seed,
        opening,
        room,
        phone_camera(rng, opening, room),
        cards,
        Expected("hold", suspect=("width_bottom",), reasons=("suspect-reading",)),
        ("--card", "id-1"),
        furnish=furnish,
        slips_mm={"width_bottom": 76.2},
        development=Development(
            exposure=-2.0, noise=0.1, blur_px=0.95, sharpening=0.3, white_balance=(1.05, 1.0, 0.92), largest_bytes=1_600_000
        ),
        note="taken in bad light: two stops too dark and full of noise; the bottom width has the tape's case (3 in) in it twice",
    )


def opening_cut_off() -> Shot:
    seed = 1808
    rng = np.random.default_rng(seed)
    opening = Opening(1402.0, 1992.0, lean_left=0.6, lean_right=0.4, curb_level=0.2, head_slope=0.3)
    inner = Tile(400, 200, (0.72, 0.72, 0.71), (0.6, 0.6, 0.6), grout_mm=2, variation=0.02, shift_mm=(170, 60))
    finish = finish_of(
        rng,
        paint((0.2, 0.3, 0.34), rng),
        inner,
        Tile(450, 450, (0.4, 0.38, 0.35), (0.3, 0.3, 0.3), roughness=0.3),
        lacquer((0.7, 0.7, 0.69), 0.2),
        skirting=lacquer((0.78, 0.78, 0.76), 0.3),
    )
    room = Room(finish, lamps(opening, 2300, DAY, DAY, (10.0, 9.0)), beyond_left_mm=900, beyond_right_mm=900)
    size = true_size("a4", rng)
    option, _ = measured("a4", size, rng)
    sheet = Card("a4", size, (1402 + 180.0, 1000.0), plain((0.84, 0.84, 0.84)), turn_deg=0.6, tape=plain((0.55, 0.5, 0.2)))
    camera = phone_camera(rng, opening, room, distance=1640.0, aside=330.0, aim_x=1040.0, aim_y=960.0)
    return Shot(
        "opening_cut_off",
        "Room 18 shower",
        seed,
        opening,
        room,
        camera,
        (sheet,),
        Expected("hold", cannot_measure="opening-cut"),
        ("--card", option),
        furnish=lambda build: things.shower_fittings(build, opening, head_y=1880),
        note="taken from too near: the left wall's edge is outside the picture, and so are two of the four corners",
    )


def messenger_copy(out: Path) -> None:
    """Room 5 as a chat program hands it on: 1600 pixels, no metadata."""
    photo = develop.messenger_copy((SAMPLES / "room5_four_cards_plumb.jpg").read_bytes(), 1600)
    facts = json.loads((SAMPLES / "room5_four_cards_plumb.json").read_text())
    _scale(facts, 1200, 1600)
    facts["note"] = "the photo of Room 5 after a chat program: 1600 pixels on the long side, compressed again, no metadata"
    facts["origin"] = "a copy of sample_images/room5_four_cards_plumb.jpg, made by the render.py beside it"
    facts["expected"] = {"status": None, "suspect": [], "reasons": [], "findings": []}
    run.write(out, "messenger_copy", photo, facts, (SAMPLES / "room5_four_cards_plumb.readings.toml").read_text())


def shaken(out: Path) -> None:
    """Room 3 out of focus and shaken."""
    how = Development(noise=0.03, motion_px=34.0, largest_bytes=900_000)
    photo = develop.spoiled_copy((SAMPLES / "room3_sheet_beside.jpg").read_bytes(), how, 26.0, 13.0, 1909)
    facts = json.loads((SAMPLES / "room3_sheet_beside.json").read_text())
    facts["note"] = "the view of Room 3 out of focus and shaken: nothing can be measured in it"
    facts["origin"] = "a copy of sample_images/room3_sheet_beside.jpg, made by the render.py beside it"
    facts["expected"] = {"status": "hold", "suspect": [], "reasons": [], "findings": [], "cannot_measure": "blur"}
    run.write(out, "shaken", photo, facts, (SAMPLES / "room3_sheet_beside.readings.toml").read_text())


def _scale(facts: dict, width: int, height: int) -> None:
    """The truth of a picture that was resized; (0, 0) stays the centre of the first pixel."""
    fx, fy = width / facts["image"]["width"], height / facts["image"]["height"]
    point = lambda p: [round((p[0] + 0.5) * fx - 0.5, 4), round((p[1] + 0.5) * fy - 0.5, 4)]  # noqa: E731
    camera = facts["camera"]
    camera["cx"], camera["cy"] = point([camera["cx"], camera["cy"]])
    camera["f_px"] = round(camera["f_px"] * fx, 5)
    facts["image"] = {"width": width, "height": height}
    facts["opening"]["corners_px"] = [point(p) for p in facts["opening"]["corners_px"]]
    edges = [facts["edges_px"], *(card["edges_px"] for card in facts["cards"])]
    for group in edges:
        for name, points in group.items():
            group[name] = [point(p) for p in points]
    for card in facts["cards"]:
        card["corners_px"] = [point(p) for p in card["corners_px"]]
    line = [[round(x), round(y)] for x, y in (point(p) for p in facts["plumb_line_px"])]
    facts["plumb_line_px"] = line
    options = facts["command_options"]
    options[options.index("--plumb-line") + 1] = " ".join(f"{x},{y}" for x, y in line)


SCENES = {
    made.__name__: made
    for made in (
        stacked_cards_equal_grey,
        white_sheet_on_white,
        bullnose_four_cards,
        bowed_wall,
        wide_lens,
        card_on_block_curb_slopes,
        dark_and_grainy,
        opening_cut_off,
    )
}
COPIES = {"messenger_copy": messenger_copy, "shaken": shaken}

if __name__ == "__main__":
    run.main(SCENES, COPIES, FOLDER)
