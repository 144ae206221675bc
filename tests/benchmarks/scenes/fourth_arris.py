"""What the edges of an opening are made of: profiles that are swept along the four sides.

A profile starts where the flat of the wall face ends for the truth (0, 0); a point (d, z) lies d into the opening and z
toward the camera. `band` is a flush flat strip of its own before that edge, as wide as the trim, lining or stone shows.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .fourth_base import Rng, Surface, chance, lacquer, metal, one_of, plain
from .fourth_finishes import boards, slab, tint

Profile = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Arris:
    name: str
    profile: Profile  # ends where the reveal's own finish goes on to its depth
    surfaces: tuple[Surface, ...]  # one per piece of the profile; the reveal's finish follows
    band_mm: float = 0.0
    band: Surface | None = None
    own_reveal_mm: float = 0.0  # this deep the reveal is of the band's material
    truth: str = "the arris: where the flat of the wall face ends"


def _eased(radius: float, steps: int = 8) -> Profile:
    turn = np.radians(np.linspace(0, 90, steps + 1))
    return tuple((float(radius * np.sin(a)), float(-radius * (1 - np.cos(a)))) for a in turn)


def _banded(name: str, width: float, radius: float, leg: float, surface: Surface) -> Arris:
    profile = (*_eased(radius), (radius, -leg))
    truth = (
        f"the outer corner of {name} {width:.1f} mm wide, flush with the face: where its flat ends "
        f"and an easing of {radius:.2f} mm begins"
    )
    return Arris(f"{name} {width:.1f} mm", profile, (surface,) * (len(profile) - 1), width, surface, leg, truth)


def side_arris(rng: Rng, which: str, face: Surface, reveal: Surface) -> Arris:
    """Edges at the walls and the head."""
    if which == "rounded":
        radius = float(rng.uniform(1, 5))
        profile = _eased(radius, 12)
        skin = face if chance(rng, 0.5) else reveal
        truth = f"where the flat of the wall face ends and a rounding of {radius:.2f} mm begins"
        return Arris(f"rounded {radius:.1f} mm", profile, (skin,) * (len(profile) - 1), truth=truth)
    if which == "mitred":
        cut = float(rng.uniform(0.5, 1.3))
        joint = plain(tint(rng, one_of(rng, "grey", "white", "dark")))
        truth = f"where the flat of the wall face ends and the mitre's joint of {cut:.2f} mm begins"
        return Arris(f"mitred, joint {cut:.1f} mm", ((0, 0), (cut, -cut)), (joint,), truth=truth)
    if which == "silicone":
        lip, bead = float(rng.uniform(6, 11)), float(rng.uniform(3, 6))
        body, rubber = (
            plain(tint(rng, one_of(rng, "earth", "cream", "grey"))),
            lacquer(tint(rng, one_of(rng, "white", "grey", "dark")), 0.2),
        )
        profile = ((0, 0), (0, -lip), (0.4 * bead, -lip - 0.3 * bead), (0.4 * bead, -lip - 0.7 * bead), (0, -lip - bead))
        return Arris(f"cut tile {lip:.0f} mm over a silicone bead {bead:.1f} mm", profile, (body, rubber, rubber, rubber))
    if which == "metal":
        skin = one_of(rng, metal((0.75, 0.75, 0.76), 0.18), metal((0.8, 0.62, 0.36), 0.22), lacquer((0.025, 0.025, 0.026), 0.35))
        return _banded("a metal profile", float(rng.uniform(2, 6)), float(rng.uniform(0.3, 0.8)), 9.0, skin)
    if which == "plastic":
        skin = lacquer(tint(rng, one_of(rng, "white", "cream", "grey")), 0.3)
        return _banded("a plastic profile", float(rng.uniform(6, 12)), float(rng.uniform(0.8, 2.5)), 10.0, skin)
    if which == "stone":
        return _banded(
            "a stone jamb", float(rng.uniform(14, 32)), float(rng.uniform(0.8, 2)), float(rng.uniform(90, 150)), slab(rng)[0]
        )
    if which == "lining":
        skin = boards(rng)[0] if chance(rng, 0.4) else lacquer(tint(rng, one_of(rng, "white", "cream", "dark")), 0.3)
        return _banded(
            "a door lining", float(rng.uniform(18, 34)), float(rng.uniform(0.6, 1.8)), float(rng.uniform(85, 140)), skin
        )
    return Arris("sharp", ((0.0, 0.0),), ())


def foot_arris(rng: Rng, kind: str) -> Arris:
    """The edge below: curb, rim, threshold, sill or ledge; the profile ends on its level top."""
    if kind == "tub":
        return _banded(
            "an enamel rim", float(rng.uniform(20, 45)), float(rng.uniform(3, 8)), 9.0, lacquer(tint(rng, "white"), 0.08)
        )
    if kind == "doorway":
        skin = boards(rng)[0] if chance(rng, 0.6) else metal((0.6, 0.55, 0.45), 0.3)
        return _banded("a threshold", float(rng.uniform(9, 16)), float(rng.uniform(0.8, 2.5)), 6.0, skin)
    if chance(rng, 0.35):
        skin = metal((0.75, 0.75, 0.76), 0.18) if chance(rng, 0.6) else lacquer((0.03, 0.03, 0.03), 0.4)
        return _banded("a metal profile", float(rng.uniform(2.5, 6)), float(rng.uniform(0.3, 0.8)), 9.0, skin)
    return _banded("a stone cap", float(rng.uniform(12, 32)), float(rng.uniform(0.8, 3)), 6.0, slab(rng)[0])
