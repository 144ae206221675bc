"""What stands along an edge of the thirteenth family's openings: a cross-section from the flat face into the opening."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sample_images.studio.surfaces import Surface

from . import thirteenth_finishes as finishes
from . import thirteenth_surfaces as s

KINDS = (
    ["sharp"] * 5
    + ["eased"] * 3
    + ["bullnose"] * 3
    + ["chamfer"] * 2
    + ["metal trim"] * 4
    + ["plastic quadrant"] * 2
    + ["mitre joint"] * 3
    + ["timber lining"] * 2
    + ["set-back architrave"] * 2
    + ["tile end"] * 3
    + ["tile held back"] * 2
    + ["stone jamb"] * 2
    + ["silicone"]
    + ["seal"]
    + ["rebate"]
    + ["shadow gap"]
    + ["edge tiles"] * 2
    + ["glass block end"] * 4
)


@dataclass(frozen=True)
class Profile:
    """`strips` lie flush with the face, from the edge outward; `path` leads inward, s into the opening, z depth."""

    name: str
    strips: tuple[tuple[float, Surface], ...] = ()
    path: tuple[tuple[float, float, Surface | None], ...] = ()  # None: as the reveal
    gap_mm: float = 0.0  # a groove outside of the strips
    casing: tuple[float, float, float, Surface] | None = None  # set back, width, how proud
    taken: str = "the arris: where the flat of the face ends"

    @property
    def front_mm(self) -> float:
        return sum(width for width, _ in self.strips)


def _arc(radius: float, surface: Surface | None, steps: int = 9) -> tuple[tuple[float, float, Surface | None], ...]:
    angles = np.linspace(0, np.pi / 2, steps)[1:]
    return tuple((float(radius * np.sin(a)), float(-radius * (1 - np.cos(a))), surface) for a in angles)


def draw(rng: np.random.Generator, name: str) -> Profile:
    """One drawn cross-section of this name."""
    made = _rounded(rng, name) or _flush(rng, name) or _stepped(rng, name)
    return made or Profile("sharp")


def _rounded(rng: np.random.Generator, name: str) -> Profile | None:
    if name in ("eased", "bullnose"):
        radius = float(rng.uniform(0.8, 2.5) if name == "eased" else rng.uniform(4, 14))
        words = f"where the flat of the face ends and a rounding of {radius:.1f} mm begins; the reveal is that much further in"
        return Profile(name, path=_arc(radius, None), taken=words)
    if name == "chamfer":
        cut = float(rng.uniform(2, 12))
        words = f"where the flat of the face ends and a chamfer of {cut:.1f} mm begins; the reveal is that much further in"
        return Profile(name, path=((cut, -cut, None),), taken=words)
    if name == "plastic quadrant":
        radius, flange = float(rng.uniform(6, 11)), float(rng.uniform(1, 3))
        surface = s.plain(finishes.pick(rng, ((0.8, 0.8, 0.79), (0.7, 0.66, 0.56), (0.4, 0.4, 0.4), (0.08, 0.08, 0.08))), 0.2)
        words = f"where the flat flange of a plastic quadrant ends and its rounding of {radius:.1f} mm begins"
        return Profile(name, ((flange, surface),), _arc(radius, surface), taken=words)
    if name in ("mitre joint", "silicone"):
        cut = float(rng.uniform(0.6, 2.2) if name == "mitre joint" else rng.uniform(3, 6))
        rgb = (
            finishes.pick(rng, finishes.GROUTS)
            if name == "mitre joint"
            else finishes.pick(rng, ((0.8, 0.8, 0.8), (0.4, 0.4, 0.4), (0.3, 0.25, 0.18)))
        )
        words = f"where the flat of the face ends and a joint of {cut:.1f} mm across the corner begins"
        return Profile(name, path=((cut, -cut, s.plain(rgb, 1.0 if name == "mitre joint" else 0.3)),), taken=words)
    return None


def _flush(rng: np.random.Generator, name: str) -> Profile | None:
    words = "the inner corner of a strip flush with the face ({})"
    if name == "metal trim":
        metal, surface = finishes.bar(rng)
        width, leg = float(rng.uniform(1.5, 12)), float(rng.uniform(2, 12))
        return Profile(name, ((width, surface),), ((0.0, -leg, surface),), taken=words.format(f"{metal} trim, {width:.1f} mm"))
    if name == "timber lining":
        width = float(rng.uniform(16, 60))
        surface = (
            s.timber(rng, finishes.pick(rng, finishes.WOODS), 500, 0, True)
            if rng.random() < 0.6
            else s.plain(finishes.tint(rng), 0.3)
        )
        gap = float(rng.uniform(2, 8)) if rng.random() < 0.3 else 0.0
        return Profile(
            name,
            ((width, surface),),
            ((0.0, -float(rng.uniform(60, 140)), surface),),
            gap,
            taken=words.format(f"lining, {width:.0f} mm"),
        )
    if name == "tile end":
        width = float(rng.uniform(6, 11))
        surface = s.plain(finishes.pick(rng, ((0.6, 0.5, 0.4), (0.75, 0.74, 0.7), (0.5, 0.3, 0.2), (0.35, 0.35, 0.35))))
        bed = s.plain((0.45, 0.44, 0.42))
        return Profile(
            name,
            ((width, surface), (float(rng.uniform(1.5, 4)), bed)),
            taken=words.format(f"cut end of the reveal's tile, {width:.1f} mm"),
        )
    if name == "stone jamb":
        width = float(rng.uniform(12, 120))
        _, surface = finishes.ledge(rng)
        soft = _arc(float(rng.uniform(0.6, 2)), surface, 5) if rng.random() < 0.5 else ()
        last = soft[-1] if soft else (0.0, 0.0, surface)
        deep = (last[0], last[1] - float(rng.uniform(20, 160)), surface)
        return Profile(name, ((width, surface),), (*soft, deep), taken=words.format(f"slab, {width:.0f} mm"))
    if name == "edge tiles":
        width = float(finishes.pick(rng, (25, 50, 65, 100, 150)))
        look = finishes.tile_look(rng)
        surface = s.tiles(
            rng, s.Look(width, float(rng.uniform(80, 260)), rgb=look.rgb, joint=2.5, grout=look.grout, gloss=look.gloss)
        )
        joint = s.plain(look.grout)
        return Profile(
            name,
            ((width, surface), (2.5, joint)),
            _arc(float(rng.uniform(1, 8)), surface),
            taken="where the flat of border tiles along the edge ends",
        )
    if name == "glass block end":
        metal, surface = finishes.bar(rng)
        if rng.random() < 0.5:
            surface = s.plain((0.75, 0.75, 0.73))
        width = float(rng.uniform(8, 30))
        glass = finishes.blocks(rng)
        wide = glass.repeat_mm[1] if rng.random() < 0.5 else 2 * glass.repeat_mm[1]
        wide = float(rng.choice([1, 2])) * 198 if wide > 800 else wide
        leg = (0.0, -80.0, surface)
        return Profile(
            name, ((width, surface), (wide, glass)), (leg,), taken=words.format(f"end profile of glass blocks, {width:.0f} mm")
        )
    return None


def _stepped(rng: np.random.Generator, name: str) -> Profile | None:
    if name == "tile held back":
        back, step = float(rng.uniform(4, 30)), float(rng.uniform(6, 12))
        plaster = s.plain(finishes.tint(rng, 0.1))
        end = s.plain((0.62, 0.57, 0.5))
        return Profile(
            name,
            path=((0.0, -back, plaster), (step, -back - 0.4, end)),
            taken="the arris of the face; the reveal's tiles begin further in",
        )
    if name == "seal":
        dark = s.plain((0.05, 0.05, 0.05) if rng.random() < 0.6 else (0.75, 0.75, 0.75), 0.4)
        a, b = float(rng.uniform(2, 10)), float(rng.uniform(4, 14))
        return Profile(name, path=((0.0, -a, None), (2.0, -a - 1, dark), (2.0, -a - b, dark), (0.0, -a - b - 1, dark)))
    if name == "rebate":
        deep, step = float(rng.uniform(25, 60)), float(rng.uniform(8, 22))
        return Profile(
            name, path=((0.0, -deep, None), (step, -deep, None)), taken="the arris of the face; a stop stands further in"
        )
    if name == "shadow gap":
        width = float(rng.uniform(15, 45))
        surface = s.plain(finishes.tint(rng), 0.3)
        return Profile(
            name, ((width, surface),), gap_mm=float(rng.uniform(5, 15)), taken="the inner corner of a frame flush with the face"
        )
    if name == "set-back architrave":
        back, width, proud = float(rng.uniform(4, 12)), float(rng.uniform(35, 110)), float(rng.uniform(6, 18))
        timber = rng.random() < 0.4
        surface = (
            s.timber(rng, finishes.pick(rng, finishes.WOODS), 500, 0, True) if timber else s.plain(finishes.tint(rng, 0.2), 0.25)
        )
        words = (
            f"the lining's edge at the plane of the face; an architrave {proud:.0f} mm proud stands {back:.0f} mm outside of it"
        )
        return Profile(
            name,
            ((back + 12, surface),),
            ((0.0, -float(rng.uniform(60, 120)), surface),),
            casing=(back, width, proud, surface),
            taken=words,
        )
    return None
