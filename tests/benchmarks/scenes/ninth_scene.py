"""From a plan to a Mitsuba scene: finishes are drawn, walls built, references fixed, things left about."""

from __future__ import annotations

import mitsuba as mi
import numpy as np

from sample_images.studio.shapes import Builder

from . import ninth_things as things
from .ninth_finishes import boards_floor, drawn_tiling, enamel, floor_finish, pick, plaster, stone, tile_words, wall_finish, wood
from .ninth_plan import Plan
from .ninth_space import build_behind, build_room
from .ninth_textures import matt, metal, shade, tiles
from .ninth_walls import Finishes, build_curb, build_wall

METALS = ("c9c9c6", "c9c9c6", "b9a06a", "3a3a3c", "8f8f90")


def assemble(plan: Plan) -> mi.Scene:
    """The whole room; what was chosen is noted in the plan."""
    build = Builder()
    use = finishes(plan)
    build_wall(build, plan, use)
    if not plan.four_sided:
        build_curb(build, plan, use)
    build_behind(build, plan, use)
    build_room(build, plan, use)
    for card in plan.references:
        things.fix_reference(build, card)
    if plan.plumb:
        things.hang_line(build, plan.plumb, plan.opening.head)
    _furnish(build, plan)
    plan.note.append("references: " + ", ".join(card.style for card in plan.references))
    return mi.load_dict({"type": "scene", **build.shapes})


def finishes(plan: Plan) -> Finishes:
    """Everything's surface, and the words for the note."""
    rng = plan.rng(2)
    wet = plan.kind in ("shower", "tub", "niche")
    face, face_words = wall_finish(rng, wet)
    inner = drawn_tiling(rng)
    if wet:
        reveal, reveal_words = tiles(inner, rng), tile_words(inner)
        if "tiles" in face_words and rng.random() < 0.35:
            reveal, reveal_words = face, "as the face"
    elif rng.random() < 0.55:
        reveal, reveal_words = face, "as the face"
    else:
        reveal, reveal_words = plaster(rng), "painted plaster"
    if plan.edge.kind == "lapped" and "tiles" not in face_words:
        kind = drawn_tiling(rng)
        face, face_words = tiles(kind, rng), tile_words(kind)
    back = reveal if rng.random() < 0.5 else (tiles(drawn_tiling(rng), rng) if wet else plaster(rng))
    trim = _trim(plan, rng)
    other = drawn_tiling(rng)
    curb = enamel("f3f3f0", 0.1) if plan.kind == "tub" else _curb(plan, rng)
    edge_tile = enamel(inner.colour, 0.15)
    plan.note.extend([plan.kind, f"face {face_words}", f"reveals {reveal_words}", plan.edge.kind, f"light: {plan.light}"])
    walls = plaster(rng)
    return Finishes(
        face=face,
        dado=tiles(other, rng) if plan.dado_y is not None else face,
        reveal=reveal,
        trim=trim,
        tile_edge=edge_tile,
        grout=matt(shade(inner.grout)),
        curb=curb,
        sill=wood(rng) if rng.random() < 0.4 else stone(rng),
        back=back,
        tray=enamel("eeeeea", 0.15) if plan.kind == "tub" or rng.random() < 0.4 else floor_finish(rng),
        floor=floor_finish(rng) if wet or rng.random() < 0.4 else boards_floor(rng),
        ceiling=matt(shade("f1f0ec")),
        walls=walls,
        beyond=plaster(rng),
    )


def _trim(plan: Plan, rng: np.random.Generator) -> object:
    if plan.edge.kind in ("bead", "trim"):
        return enamel("f2f1ee", 0.2) if rng.random() < 0.3 else metal(str(pick(rng, METALS)), float(rng.uniform(0.1, 0.35)))
    if rng.random() < 0.55:
        return enamel(str(pick(rng, ("f4f3ef", "ece6d8", "d9dcd8", "50606a", "2f3a36"))), 0.22)
    return wood(rng)


def _curb(plan: Plan, rng: np.random.Generator) -> object:
    roll = rng.random()
    if plan.kind == "doorway":
        return wood(rng) if roll < 0.5 else metal("b8a878", 0.3) if roll < 0.7 else stone(rng)
    if roll < 0.6:
        return stone(rng)
    return tiles(drawn_tiling(rng), rng)


def _furnish(build: Builder, plan: Plan) -> None:
    rng = plan.rng(3)
    {"shower": _wet, "tub": _wet, "niche": _on_sill, "window": _on_sill, "doorway": _door, "recess": _cupboard}[plan.kind](
        build, plan, rng
    )
    wall = things.Wall(plan)
    chosen = rng.permutation(["switch", "hung_towel", "picture", "none", "none"])[:2]
    for name in chosen:
        half, heights = {
            "switch": ((50, 50), (1000, 1200)),
            "hung_towel": ((190, 400), (1250, 1400)),
            "picture": ((185, 200), (1300, 1600)),
        }.get(str(name), ((0, 0), (0, 1)))
        at = wall.place(rng, half, heights) if name != "none" else None
        if at:
            y = at[1] + (350 if name == "hung_towel" else 0)
            getattr(things, str(name))(build, at[0], y, rng)
            plan.note.append(str(name).replace("_", " "))
    for name in rng.permutation(["bucket", "crate", "mat", "stool", "ladder", "plant", "none", "none"])[:3]:
        if name != "none" and _stand(build, plan, str(name), rng):
            plan.note.append(str(name))


def _stand(build: Builder, plan: Plan, name: str, rng: np.random.Generator) -> bool:
    """On the floor, beside the opening; a mat may lie before it."""
    if name == "mat":
        if plan.four_sided:
            return False
        x, z = plan.opening.width_mm * float(rng.uniform(0.35, 0.65)), float(rng.uniform(420, 620))
    else:
        left = bool(rng.random() < 0.5)
        off = plan.edge.clear_of + float(rng.uniform(330, 700))
        x, z = (-off if left else plan.opening.width_mm + off), float(rng.uniform(190, 320))
        room = plan.room[0] if left else plan.room[1]
        tall = {"ladder": 1550, "stool": 450, "plant": 560}.get(name, 340)
        near = [r for r in plan.references if (r.centre_mm[0] < plan.opening.width_mm / 2) == left]
        if off > room - 210 or any(r.centre_mm[1] - r.reach[1] < plan.floor_y + tall * 1.25 + 60 for r in near):
            return False
    getattr(things, name)(build, x, plan.floor_y, z, rng)
    return True


def _wet(build: Builder, plan: Plan, rng: np.random.Generator) -> None:
    """Valve, riser or arm on a side wall, bottles, in a tub its body."""
    opening, chrome = plan.opening, metal(str(pick(rng, METALS[:3])), 0.12)
    right = bool(rng.random() < 0.5)
    far = -plan.wall_depth - plan.inner_depth
    z, way = far * float(rng.uniform(0.45, 0.65)), -1 if right else 1
    tub = plan.kind == "tub"
    top, low = (1250.0, 250.0) if tub else (1880.0, 1000.0)
    wall = opening.right if right else opening.left
    more = plan.inner_wider[1 if right else 0] * (1 if right else -1)
    at = lambda y: float(wall(np.array(y))) + more  # noqa: E731
    build.capped_rod((at(low), low, z), (at(low) + way * 14, low, z), 72, chrome)
    build.capped_rod((at(low), low, z), (at(low) + way * 62, low, z), 21, chrome)
    build.rod((at(low) + way * 45, low + 30, z), (at(low) + way * 45, top, z), 9, chrome)
    build.capped_rod((at(top) + way * 45, top, z), (at(top) + way * 300, top + 12, z), 10, chrome)
    build.capped_rod((at(top) + way * 300, top - 4, z), (at(top) + way * 300, top - 22, z), float(rng.uniform(60, 120)), chrome)
    if tub:
        white = enamel("f3f3f0", 0.1)
        x0, x1 = -60.0, opening.width_mm + 60
        build.box((x0, plan.floor_y, far), (x1, -4.0, far + 85), white)
        for low_x, high_x in ((x0, 62.0), (opening.width_mm - 62.0, x1)):
            build.box((low_x, plan.floor_y, far), (high_x, -5.0, -76.0), white)
    for _ in range(int(rng.integers(0, 4))):
        x = float(rng.uniform(0.08, 0.92)) * opening.width_mm
        things.bottle(build, x, -3.0 if tub else plan.floor_y + 9, far + 42 if tub else far + 60, rng)


def _on_sill(build: Builder, plan: Plan, rng: np.random.Generator) -> None:
    """Bottles or a plant that stand well inside."""
    deep = plan.wall_depth
    for _ in range(int(rng.integers(0, 3))):
        if deep < 120:
            return
        x = float(rng.uniform(0.2, 0.8)) * plan.opening.width_mm
        z = -deep + 40 if plan.kind == "niche" else -deep + 100
        if z < -45:
            things.bottle(build, x, 3.0 + plan.opening.curb_level * x / 1000, z, rng)


def _door(build: Builder, plan: Plan, rng: np.random.Generator) -> None:
    """A leaf that stands open into the space beyond."""
    if rng.random() < 0.35:
        return
    surface = wood(rng) if rng.random() < 0.5 else enamel("eeece5", 0.25)
    right, turn = bool(rng.random() < 0.5), np.radians(float(rng.uniform(82, 120)))
    x0 = plan.opening.width_mm - 4 if right else 4.0
    x0 += 45 if right else -45
    way = -1 if right else 1
    width, y0, y1 = plan.opening.width_mm - 6, plan.floor_y + 8, plan.opening.height_mm - 6
    tip = (x0 + way * width * np.cos(turn), -plan.wall_depth - 30 - width * np.sin(turn))
    thick = np.array([np.sin(turn) * 40, way * np.cos(turn) * 40])
    a, b = np.array([x0, -plan.wall_depth - 30]), np.array(tip)
    loop = [a, b, b + thick * way, a + thick * way]
    for p, q in zip(loop, [*loop[1:], loop[0]], strict=True):
        corners = [[p[0], y0, p[1]], [q[0], y0, q[1]], [q[0], y1, q[1]], [p[0], y1, p[1]]]
        build.quad(np.array(corners), surface)
    plan.note.append("open leaf")


def _cupboard(build: Builder, plan: Plan, rng: np.random.Generator) -> None:
    """Shelves or a rail, and a box or two."""
    far, timber = -plan.wall_depth - plan.inner_depth, wood(rng)
    if rng.random() < 0.6:
        for y in (float(rng.uniform(700, 900)), float(rng.uniform(1250, 1500))):
            build.box(
                (-plan.inner_wider[0] - 30, y, far), (plan.opening.width_mm + plan.inner_wider[1] + 30, y + 24, far + 330), timber
            )
    else:
        build.rod(
            (-plan.inner_wider[0] - 30, 1600, far / 2),
            (plan.opening.width_mm + plan.inner_wider[1] + 30, 1600, far / 2),
            14,
            metal(),
        )
    for _ in range(int(rng.integers(0, 3))):
        things.crate(build, float(rng.uniform(0.25, 0.75)) * plan.opening.width_mm, plan.floor_y + 9, far + 180, rng)
