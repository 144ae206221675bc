"""How a wall face turns into the reveal: the finishes of the arris in the twelfth rooms.

A profile is a run of points (inward, depth): inward from the line where the flat of the face ends, depth along z (negative is
behind the face). Every profile starts at (0, 0), so that line is the opening's outline whatever follows it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from studio.surfaces import Surface

from .twelfth_choice import JOINTS, STONE, TIMBER, gloss, matt, one_of, shade, steel
from .twelfth_fabric import RGB, Rng

KINDS = ("mitre", "metal", "bullnose", "silicone", "chamfer", "plaster", "timber", "stone", "bead", "sharp")
IN_FACE = "the line where the flat of the wall face ends"


@dataclass(frozen=True)
class Arris:
    kind: str
    profile: np.ndarray  # (n, 2)
    band_mm: float = 0.0  # a flush strip of other material before the line
    joint_mm: float = 0.0  # and the joint between it and the wall's finish
    band: Surface | None = None
    joint: Surface | None = None
    bend: Surface | None = None  # the profile's material; None: that of the reveal
    reveal: Surface | None = None  # None: as the room has it
    words: str = IN_FACE

    @property
    def outer_mm(self) -> float:
        return self.band_mm + self.joint_mm


def quarter(radius: float, steps: int = 9) -> np.ndarray:
    """A quarter round that leaves the face without a kink."""
    a = np.linspace(0, np.pi / 2, steps)
    return radius * np.stack([np.sin(a), np.cos(a) - 1], axis=1)


def bevel(size: float) -> np.ndarray:
    return np.array([[0.0, 0.0], [size, -size]])


def sharp() -> np.ndarray:
    return np.array([[0.0, 0.0], [0.0, -0.6]])


def arris(kind: str, rng: Rng, face: Surface, reveal: Surface) -> Arris:
    """Draws the sizes and colours of one kind; face and reveal are the finishes that it lies between."""
    u = rng.uniform
    if kind == "mitre":
        size = float(u(0.5, 1.1))
        words = f"where the flat of the tile's face ends before a mitre with a filled joint of {size:.1f} mm a side"
        return Arris(kind, bevel(size), bend=matt(one_of(rng, JOINTS)), words=words)
    if kind == "bullnose":
        radius = float(u(4, 11))
        words = (
            f"where the flat of the face ends and a rounding of {radius:.1f} mm radius begins; the reveal is that much further in"
        )
        return Arris(kind, quarter(radius, 13), bend=face if rng.random() < 0.6 else reveal, words=words)
    if kind == "silicone":
        radius = float(u(2, 4))
        tone = (0.75, 0.75, 0.73) if rng.random() < 0.6 else (0.3, 0.3, 0.3)
        words = f"where the flat of the face ends before a bead of silicone {radius:.1f} mm wide"
        return Arris(kind, quarter(radius), bend=gloss(tone, 0.25), words=words)
    if kind == "chamfer":
        size = float(u(2, 6))
        words = f"where the flat of the face ends and a chamfer of {size:.1f} mm begins; the reveal is that much further in"
        return Arris(kind, bevel(size), bend=face, words=words)
    if kind == "plaster":
        radius = float(u(1, 4))
        words = f"where the flat of the plaster ends and a rounding of {radius:.1f} mm radius begins"
        return Arris(kind, quarter(radius), bend=face, words=words)
    if kind in ("metal", "timber", "stone", "bead"):
        return _banded(kind, rng, face, reveal)
    return Arris("sharp", sharp())


def _banded(kind: str, rng: Rng, face: Surface, reveal: Surface) -> Arris:
    """Arrises with a strip of their own, flush with the face."""
    u = rng.uniform
    if kind == "bead":
        width, radius = float(u(2, 4)), float(u(0.4, 0.8))
        band = gloss((0.78, 0.78, 0.77), 0.35) if rng.random() < 0.5 else steel((0.62, 0.6, 0.55), 0.35)
        made = Arris(kind, quarter(radius, 5), width, 0.0, band, None, band)
    elif kind == "metal":
        width, radius = float(u(4, 12)), float(u(0.3, 1.0))
        tone: RGB = ((0.7, 0.7, 0.71), (0.05, 0.05, 0.05), (0.62, 0.48, 0.25), (0.5, 0.36, 0.3))[int(rng.integers(4))]
        band = gloss(tone, 0.3) if tone[0] < 0.1 else steel(tone, float(u(0.12, 0.35)))
        made = Arris(kind, quarter(radius, 5), width, float(u(1, 2)), band, matt(one_of(rng, JOINTS)), band)
    elif kind == "timber":
        width, radius = float(u(24, 62)), float(u(0.8, 3))
        tone = one_of(rng, TIMBER) if rng.random() < 0.5 else shade(rng, 0.8, 0.1)
        band = gloss(tone, 0.35)
        made = Arris(kind, quarter(radius), width, float(u(0.8, 2)), band, matt((0.1, 0.09, 0.08)), band, band)
    else:
        width, size = float(u(14, 40)), float(u(0.7, 2.2))
        band = gloss(one_of(rng, STONE), 0.15)
        made = Arris(kind, bevel(size), width, float(u(1, 2.5)), band, matt(one_of(rng, JOINTS)), band, band)
    words = f"where the flat of a {kind} strip {made.band_mm:.1f} mm wide, flush with the wall face, ends toward the opening"
    return Arris(**{**made.__dict__, "words": words})


def lower(kind: str, rng: Rng) -> np.ndarray:
    """The upper edge of a curb, rim, threshold or sill."""
    if kind == "tub":
        return quarter(float(rng.uniform(4, 9)), 13)
    at = rng.random()
    if at < 0.3:
        return sharp()
    if at < 0.6:
        return bevel(float(rng.uniform(0.6, 2.5)))
    return quarter(float(rng.uniform(1, 4)))
