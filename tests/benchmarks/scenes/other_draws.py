"""Draws of the second family: kinds of opening, finishes, edges, camera, development. Every layout meets every kind."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import other_finish as finish
import room_draws
from other_build import World
from other_materials import Laid, Rng, Surface, laid
from studio.camera import Camera, aimed, focal_px
from studio.opening import Opening
from studio.room import Finish
from studio.shot import Development
from studio.surfaces import lacquer, plain
from studio.things import Card

OPENINGS = ("shower", "shower", "shower", "tub", "tub", "door", "door", "window")
FACES = ("wallpaper over tiles", "wallpaper", "mosaic", "marble", "bricks", "stacked", "render", "two paints")
EDGES = ("sharp", "sharp", "mitre", "chrome", "black", "eased", "brass", "white")
LIGHTS = ("ceiling", "bulb", "flash", "inside", "sun", "side", "spots", "tube")
LEAST_LIMIT = 6.0  # mm/m, of leans, taper and rack
RANGES = {
    "shower": ((700, 1500), (1850, 2100), (60, 140)),
    "tub": ((1350, 1700), (1350, 1600), (480, 560)),
    "door": ((620, 950), (1930, 2080), (20, 45)),
    "window": ((700, 1300), (900, 1350), (800, 980)),
}
"""kind: width, height, height of the foot above the floor, mm (common practice, no source)"""
MARGIN_PX = 110.0
OBLIQUE = 0.4  # share of photos taken 10 to 20 degrees off the axis


@dataclass(frozen=True)
class Recipe:
    """One room's kinds; the eight of a layout are shuffled so that each kind comes up."""

    opening: str
    face: str
    edge: str
    light: str
    oblique: bool
    plumb_line: bool


def recipe(base: int, layout: int, number: int) -> Recipe:
    """The number-th room (from 1) of a layout; from the ninth on the kinds come round again in another order."""
    rng = np.random.default_rng([base, layout, (number - 1) // 8])
    n = (number - 1) % 8
    kinds = [str(rng.permutation(np.array(of))[n]) for of in (OPENINGS, FACES, EDGES, LIGHTS)]
    oblique = rng.permutation(8)[n] < round(8 * OBLIQUE)
    return Recipe(*kinds, bool(oblique), bool(rng.permutation(8)[n] < 3))


def opening(rng: Rng, kind: str) -> Opening:
    """Leans, bows and slopes as a house has them."""
    (w0, w1), (h0, h1), _ = RANGES[kind]
    most = 3.0 if kind in ("door", "window") else LEAST_LIMIT
    while True:
        found = Opening(
            width_mm=round(float(rng.uniform(w0, w1)), 1),
            height_mm=round(float(rng.uniform(h0, h1)), 1),
            lean_left=round(float(rng.normal(0, most / 2)), 2),
            lean_right=round(float(rng.normal(0, most / 2)), 2),
            bow_left_mm=round(float(rng.normal(0, 1.2)), 2),
            bow_right_mm=round(float(rng.normal(0, 1.2)), 2),
            curb_level=round(float(rng.normal(0, 1.5)), 2),
            head_slope=round(float(rng.normal(0, 1.5)), 2),
        )
        if max(map(abs, (found.lean_left, found.lean_right, found.taper, found.rack))) <= LEAST_LIMIT:
            return found


def world(rng: Rng, of: Opening, kinds: Recipe) -> tuple[World, str]:
    """The room without its lamps, and words for it."""
    kind = kinds.opening
    foot = float(rng.uniform(*RANGES[kind][2]))
    bands, face_words = _face(rng, kinds.face, foot, of)
    edge, edge_words = _edge(rng, kinds, bands)
    inner, inner_words = _inner(rng, kind, bands, kinds.edge)
    back = inner if rng.random() < 0.5 else (finish.rendered if kind == "door" else finish.tiles)(rng)[0]
    coat = finish.joinery(rng)[0]
    materials = Finish(
        face=bands[0][1],
        walls=bands[-1][1] if rng.random() < 0.5 else finish.emulsion(rng)[0],
        header=edge.get("rim", inner) if kind == "door" else inner,
        curb=_foot(rng, kind, inner),
        alcove=edge.get("rim", inner) if kind == "door" else inner,
        back=back,
        shower_floor=finish.boards(rng) if kind == "door" else finish.mosaic(rng)[0],
        floor=finish.floor(rng),
        ceiling=plain((0.8, 0.8, 0.78)),
        skirting=coat if kind in ("door", "window") and rng.random() < 0.6 else None,
    )
    made = World(
        materials,
        (),
        curb_height_mm=foot,
        curb_depth_mm=float(rng.uniform(80, 140)),
        ceiling_mm=float(max(2400.0, of.height_mm + foot + rng.uniform(150, 450))),
        beyond_left_mm=float(rng.uniform(750, 1500)),
        beyond_right_mm=float(rng.uniform(750, 1500)),
        length_mm=float(rng.uniform(3400, 4200)),
        alcove_depth_mm=float(rng.uniform(1100, 1500) if kind == "door" else rng.uniform(720, 1000)),
        header_depth_mm=float(rng.uniform(80, 150)),
        tub=kind == "tub",
        kind=kind,
        bands=bands,
        reveal_mm=float(rng.uniform(90, 220)),
        panes=lacquer((0.02, 0.02, 0.025), 0.03) if kind == "window" and kinds.light in ("flash", "tube") else None,
        frame=coat,
        **edge,
    )
    return made, f"{kind}, {face_words}, {edge_words}, {inner_words}"


def _face(rng: Rng, kind: str, foot: float, of: Opening) -> tuple[tuple[tuple[float, Surface], ...], str]:
    """Bands of the wall face from below, and words."""
    high = foot + of.height_mm * float(rng.uniform(0.25, 0.6))
    if kind == "wallpaper over tiles":
        (low, low_words), (up, up_words) = finish.tiles(rng), finish.papered(rng)
        border = laid(Laid(100.0, 40.0, (finish.hue(rng),), finish.grout(rng), 1.5, gloss=0.1), rng)
        return ((high, low), (high + 40.0, border), (1.0, up)), f"{up_words} over {low_words} with a border"
    if kind == "two paints":
        (low, _), (up, _) = finish.emulsion(rng), finish.emulsion(rng)
        return ((high, low), (1.0, up)), "paint in two colours"
    makers = {"wallpaper": finish.papered, "mosaic": finish.mosaic, "marble": finish.marble, "bricks": finish.bricks}
    made, words = (makers | {"stacked": finish.stacked, "render": finish.rendered})[kind](rng)
    return ((1.0, made),), words


def _inner(rng: Rng, kind: str, bands: tuple[tuple[float, Surface], ...], edge: str) -> tuple[Surface, str]:
    """What the reveal or the alcove is finished in; a mitred edge carries the face on."""
    if edge == "mitre":
        return bands[0][1], "the face's finish carried round the edge"
    made, words = (finish.rendered if kind in ("door", "window") and rng.random() < 0.6 else finish.tiles)(rng)
    return made, "behind it " + words


def _edge(rng: Rng, kinds: Recipe, bands: tuple[tuple[float, Surface], ...]) -> tuple[dict, str]:
    """Fields of World for the arris, and words. A door always has a flush lining."""
    kind = kinds.edge
    if kinds.opening == "door":
        wide = float(rng.uniform(22, 60))
        ease = float(rng.uniform(0.8, 2.0)) if kind in ("eased", "mitre") else 0.0
        coat, word = finish.joinery(rng)
        words = f"a flush lining of {word}, its edge {wide:.0f} mm wide" + (f", eased {ease:.1f} mm" if ease else "")
        return {"rim": coat, "rim_mm": wide, "rim_leg_mm": 60.0, "ease_mm": ease}, words
    if kind == "mitre":
        size = float(rng.uniform(0.6, 1.2))
        joint = plain(finish.grout(rng))
        return {"ease_mm": size, "chamfer": True, "joint": joint}, f"mitred, a joint of {size:.1f} mm on the edge"
    if kind == "eased":
        size = float(rng.uniform(1.0, 2.5))
        return {"ease_mm": size}, f"arrises rounded {size:.1f} mm"
    if kind == "sharp":
        return {}, "sharp arrises"
    wide = float(rng.uniform(2.5, 11.0))
    return {"rim": finish.trim(rng, kind), "rim_mm": wide, "rim_leg_mm": wide}, f"{kind} trim {wide:.1f} mm wide"


def _foot(rng: Rng, kind: str, inner: Surface) -> Surface:
    """Curb, tub, threshold or ledge."""
    if kind == "tub":
        return lacquer((0.77, 0.77, 0.75), 0.08) if rng.random() < 0.7 else finish.mosaic(rng)[0]
    if kind == "door":
        return finish.boards(rng)
    pick = rng.random()
    if kind == "window" and pick < 0.5:
        return finish.joinery(rng)[0]
    return inner if pick < 0.25 else finish.marble(rng)[0] if pick < 0.6 else lacquer(finish.hue(rng), 0.15)


def camera(rng: Rng, of: Opening, around: World, cards: tuple[Card, ...], oblique: bool) -> tuple[Camera, float]:
    """A hand-held phone, and the 35 mm equivalent that it claims."""
    wanted = np.vstack([np.column_stack([of.corners, np.zeros(4)]), *(card.outline() for card in cards)])
    for attempt in range(20000):
        found, claimed = _phone(rng, (wanted.max(axis=0) + wanted.min(axis=0)) / 2, around, oblique)
        seen = found.project(wanted)
        margin = MARGIN_PX if attempt < 15000 else MARGIN_PX / 2
        inside = seen.min() > margin and bool(np.all(seen.max(axis=0) < np.array([found.width, found.height]) - margin))
        if inside and -around.beyond_left_mm + 150 < found.position_mm[0] < of.width_mm + around.beyond_right_mm - 150:
            return found, claimed
    raise RuntimeError("no place for the camera")


def _phone(rng: Rng, centre: np.ndarray, around: World, oblique: bool) -> tuple[Camera, float]:
    landscape = rng.random() < 0.45
    width, height = (4032, 3024) if landscape else (3024, 4032)
    claimed, distance = float(rng.integers(24, 29)), float(rng.uniform(2200, 3000))
    yaw = rng.uniform(10, 20) * rng.choice([-1, 1]) if oblique else np.clip(rng.normal(0, 4.0), -9, 9)
    pitch = np.clip(rng.normal(0, 3.5), -8, 8)
    target = np.array([centre[0] + rng.normal(0, 60), 0.0, 0.0])
    up = float(rng.uniform(1050, 1650)) - around.curb_height_mm
    target[1] = up + distance * np.tan(np.radians(pitch))
    place = np.array([target[0] + distance * np.tan(np.radians(yaw)), up, distance])
    made = Camera(
        width=width,
        height=height,
        f_px=focal_px(claimed, width, height) * (1 + float(np.clip(rng.normal(0, 0.025), -0.05, 0.05))),
        cx=(width - 1) / 2 + float(rng.normal(0, 20)),
        cy=(height - 1) / 2 + float(rng.normal(0, 20)),
        k1=float(rng.uniform(-0.06, 0.04)),
        k2=float(rng.normal(0, 0.006)),
        position_mm=place,
        rotation=aimed(place, target, float(np.clip(rng.normal(0, 1.7), -4, 4))),
    )
    return made, claimed


def development(rng: Rng, hue: np.ndarray, upright: bool) -> Development:
    """As the first family's phones, with more noise, more and less sharpening, and never a burnt-out card by choice."""
    made = room_draws.development(rng, hue, upright)
    return replace(
        made,
        exposure=float(np.clip(rng.normal(-0.1, 0.25), -0.7, 0.1)),
        noise=float(np.exp(rng.uniform(np.log(0.005), np.log(0.03)))),
        sharpening=float(rng.uniform(0.05, 0.8)),
        blur_px=float(rng.uniform(0.6, 1.15)),
        shading=float(rng.uniform(0, 0.3)),
    )
