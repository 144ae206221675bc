"""What stands along an edge: the list of arrises, strips, linings and frames, and the words that say where the edge lies."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sample_images.studio.surfaces import Surface, lacquer, metal, plain

from . import fourteenth_cloth as cloth
from . import fourteenth_grain as g
from .fourteenth_frame import Edge, Node, Proud

FLAT = "the arris: where the flat of the wall face ends"
BATH = {
    "sharp": 2, "eased": 2, "bullnose": 2.5, "chamfer": 1, "trim": 3, "trim rounded": 1.2, "bead": 1.5, "mitre": 2.5,
    "tile edge": 2,
    "silicone": 1.2, "glass block": 0.8, "border": 1.2, "stone strip": 0.8, "timber strip": 0.4, "tape": 0.3,
}  # fmt: skip
ROOM = {
    "sharp": 2, "eased": 2, "chamfer": 1, "corner bead": 1, "lining": 2.5, "architrave": 5, "casing": 2, "painted band": 0.8,
    "bead": 0.5,
    "shadow gap": 1, "trim": 0.7, "tape": 0.7, "bullnose": 0.7, "stone strip": 0.8,
}  # fmt: skip
ROUGH = {
    "sharp": 2.5, "eased": 2, "bullnose": 1, "chamfer": 0.8, "brick strip": 2.5, "stone strip": 2.5, "lining": 1.5,
    "architrave": 0.8,
    "corner bead": 0.4, "steel angle": 1,
}  # fmt: skip


@dataclass(frozen=True)
class Arris:
    """An edge's beginning: strips on the face, first nodes of the reveal, the frame on the face, if any."""

    name: str
    strips: tuple[tuple[float, Surface], ...]
    nodes: tuple[Node, ...]
    words: str
    reveal: Surface
    proud: Proud | None = None
    casing: bool = False


def drawn(rng: np.random.Generator, table: dict[str, float], allowed: set[str] | None = None) -> str:
    names = [name for name in table if allowed is None or name in allowed]
    p = np.array([table[name] for name in names])
    return str(rng.choice(names, p=p / p.sum()))


def arris(rng: np.random.Generator, name: str, face: Surface, reveal: Surface) -> Arris:
    """Draws the parts of a named arris between a face and a reveal."""
    if name in ("eased", "bullnose", "trim rounded"):
        return _rounded(rng, name, reveal)
    if name == "chamfer":
        size = float(rng.uniform(2, 12))
        words = f"the arris: where the flat of the face ends and a chamfer of {size:.1f} mm begins"
        of = reveal if rng.random() < 0.6 else face
        return Arris(name, (), ((size, -size, of),), words, reveal)
    if name in ("architrave", "casing", "lining", "timber strip"):
        return _joinery(rng, name)
    if name == "sharp":
        return Arris(name, (), (), FLAT, reveal)
    return _flush(rng, name, face, reveal)


def _rounded(rng: np.random.Generator, name: str, reveal: Surface) -> Arris:
    of, strips = reveal, ()
    if name == "eased":
        r = float(rng.uniform(0.6, 2.2))
    elif name == "bullnose":
        r = float(rng.uniform(3, 14))
    else:
        r, of = float(rng.uniform(6, 11)), shiny(rng)
        strips = ((float(rng.uniform(0.8, 2)), of),)
    angles = np.radians(np.linspace(0, 90, 10)[1:])
    nodes = [(r * np.sin(t), -r * (1 - np.cos(t)), of) for t in angles]
    return Arris(
        name, strips, tuple(nodes), f"where the flat of the face ends and a rounding of {r:.1f} mm radius begins", reveal
    )


def shiny(rng: np.random.Generator) -> Surface:
    """A strip of metal or plastic."""
    kind = rng.integers(6)
    if kind < 3:
        return metal(((0.75, 0.75, 0.76), (0.8, 0.62, 0.33), (0.5, 0.4, 0.3))[kind], float(rng.uniform(0.1, 0.4)))
    return lacquer(((0.02, 0.02, 0.02), (0.85, 0.85, 0.84), (0.45, 0.45, 0.44))[kind - 3], 0.25)


def _flush(rng: np.random.Generator, name: str, face: Surface, reveal: Surface) -> Arris:
    """Strips that lie in the plane of the face; the edge is the inner side of them."""
    low, high = {
        "trim": (2, 12), "bead": (3, 9), "mitre": (0.6, 1.6), "tile edge": (7, 11), "silicone": (3, 9), "glass block": (80, 190),
        "border": (20, 70), "stone strip": (40, 160), "tape": (24, 48), "corner bead": (22, 34), "painted band": (20, 90),
        "shadow gap": (6, 15), "brick strip": (65, 215), "steel angle": (30, 60),
    }[name]  # fmt: skip
    width, joint = float(rng.uniform(low, high)), cloth.painted(rng, g.colour("b5afa4"))
    of = {
        "trim": shiny, "bead": lambda r: lacquer((0.85, 0.85, 0.83), 0.3), "mitre": lambda r: joint, "glass block": _blocks,
        "tile edge": lambda r: cloth.painted(r, g.colour(str(r.choice(["b07a5a", "d8d2c6", "8e8e8c", "efeeea"])))),
        "silicone": lambda r: lacquer(((0.8, 0.8, 0.8), (0.35, 0.35, 0.34), (0.6, 0.58, 0.5))[r.integers(3)], 0.2),
        "border": lambda r: cloth.tiles(r, size=(width, width)), "stone strip": cloth.slab if rng.random() < 0.5 else cloth.stone,
        "tape": lambda r: plain(((0.08, 0.25, 0.6), (0.75, 0.65, 0.4), (0.3, 0.6, 0.3))[r.integers(3)]),
        "corner bead": lambda r: metal((0.55, 0.55, 0.56), 0.45), "painted band": cloth.painted,
        "shadow gap": lambda r: plain((0.02,) * 3),
        "brick strip": cloth.brick, "steel angle": lambda r: lacquer((0.05, 0.05, 0.05), 0.4),
    }[name](rng)  # fmt: skip
    strips: list[tuple[float, Surface]] = [(width, of)]
    if name in ("trim", "bead", "tile edge", "border", "stone strip", "glass block") and rng.random() < 0.5:
        strips.append((float(rng.uniform(0.8, 4)), joint))
    if name == "shadow gap":
        strips = [(float(rng.uniform(15, 45)), cloth.gloss(rng)), (width, of)]
    nodes: tuple[Node, ...] = ()
    if name in ("trim", "bead", "mitre", "corner bead", "steel angle", "tape", "silicone"):
        back = {"mitre": width, "trim": rng.uniform(2, 14), "silicone": width}.get(name, rng.uniform(4, 40))
        nodes = ((0.0, -float(back), of),)
    elif name in ("border", "stone strip", "brick strip", "glass block") and rng.random() < 0.6:
        reveal = of
    elif name == "shadow gap":
        reveal = strips[0][1]
    return Arris(name, tuple(strips), nodes, f"the inner arris of the {name}, flush with the face, {width:.1f} mm wide", reveal)


def _blocks(rng: np.random.Generator) -> Surface:
    made = g.rows((190, 190))
    return cloth.laid_pieces(rng, made, np.array([0.62, 0.72, 0.7]) * rng.uniform(0.7, 1.1), 8.0)


def _joinery(rng: np.random.Generator, name: str) -> Arris:
    """Linings flush with the face, with or without boards on it; casings so wide that cards lie on them."""
    of = cloth.gloss(rng) if rng.random() < 0.6 else cloth.wood(rng)
    if name in ("lining", "timber strip"):
        width = float(rng.uniform(18, 45) if name == "lining" else rng.uniform(30, 70))
        strips = ((width, of), (float(rng.uniform(0.8, 2.5)), plain((0.1, 0.09, 0.08)))) if rng.random() < 0.6 else ((width, of),)
        return Arris(name, strips, (), f"the inner arris of the {name}, flush with the face, {width:.1f} mm wide", of)
    if name == "casing":
        width = float(rng.uniform(115, 165))
        words = f"the inner arris of a flat casing of {width:.0f} mm, on which the cards lie; the wall is behind it"
        step = ((0.0, -float(rng.uniform(8, 25)), of),)
        return Arris(name, ((width, of),), step, words, of, casing=True)
    quirk, width, thick = float(rng.uniform(5, 12)), float(rng.uniform(45, 95)), float(rng.uniform(9, 22))
    kind = rng.integers(4)
    section = [(quirk, 0.0), (quirk, thick * 0.6), (quirk + width, thick), (quirk + width, 0.0)]
    if kind == 1:
        section = [(quirk, 0.0), (quirk, thick), (quirk + width, thick), (quirk + width, 0.0)]
    elif kind == 2:
        section[2:2] = [
            (quirk + 8, thick * 0.6),
            (quirk + 8, thick * 0.8),
            (quirk + 0.6 * width, thick * 0.75),
            (quirk + 0.65 * width, thick),
        ]
    elif kind == 3:
        t = np.linspace(0, 1, 9)
        section = [(quirk, 0.0), *((quirk + width * v, thick * (0.4 + 0.6 * np.sin(1.7 * v))) for v in t), (quirk + width, 0.0)]
    frame = cloth.gloss(rng) if rng.random() < 0.3 else of
    strips = ((quirk + 20.0, of),)
    words = f"the inner arris of the lining, flush with the wall; an architrave stands {quirk:.0f} mm back, {thick:.0f} mm thick"
    return Arris(name, strips, (), words, of, proud=Proud(tuple((float(a), float(b)) for a, b in section), frame))


def inward(rng: np.random.Generator, start: Arris, until: float, further: tuple[Node, ...] = ()) -> Edge:
    """An edge whose reveal runs on to a depth, perhaps with a stop or a rebate on the way, and then as told."""
    nodes = list(start.nodes)
    inset, z = (nodes[-1][0], nodes[-1][1]) if nodes else (0.0, 0.0)
    room = until + z
    if start.name in ("architrave", "lining", "casing") and room > 90 and rng.random() < 0.6:  # a stop
        at, thick, wide = z - float(rng.uniform(30, 45)), float(rng.uniform(9, 14)), float(rng.uniform(28, 45))
        nodes += [(inset, at, start.reveal), (inset + thick, at, start.reveal)]
        nodes += [(inset + thick, at - wide, start.reveal), (inset, at - wide, start.reveal)]
    elif room > 120 and rng.random() < 0.12:  # a rebate
        at, step = z - float(rng.uniform(25, 80)), float(rng.uniform(8, 25))
        nodes += [(inset, at, start.reveal), (inset - step, at, start.reveal)]
        inset -= step
    nodes.append((inset, -until, start.reveal))
    return Edge(tuple(nodes) + tuple((n[0] + 0.0, n[1], n[2]) for n in further), start.strips)
