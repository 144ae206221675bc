"""What a ninth room is, in numbers: opening, edge, camera, references. Nothing here needs the renderer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from sample_images.studio.camera import Camera
from sample_images.studio.opening import Opening

LAYOUTS = ("sheet", "opposite", "four", "letters")
NOMINAL_MM = {"id-1": (85.60, 53.98), "letter": (215.9, 279.4), "a4": (210.0, 297.0)}


@dataclass(frozen=True)
class Edge:
    """How face and reveal meet. All widths count from the clear opening outward, all depths backward from the face."""

    kind: str  # sharp, eased, rounded, bead, trim, lining, cased, tile edge, lapped
    radius: float = 0.0
    width: float = 0.0  # of the bead, trim, lining or tile's edge that is seen from the front
    proud: float = 0.0
    joint: float = 0.0
    leg: float = 0.0  # how far the bead goes back, or where the joint of a lapped edge lies
    board: tuple[float, float, float] = (0.0, 0.0, 0.0)  # casing: set back by, width, thickness

    @property
    def face_from(self) -> float:
        """Where the flat of the wall face begins."""
        if self.kind in ("sharp", "eased", "rounded", "lapped"):
            return self.radius
        return self.width + self.joint

    @property
    def clear_of(self) -> float:
        """Nothing may be fixed to the face nearer to the opening than this."""
        return self.board[0] + self.board[1] if self.kind == "cased" else self.face_from

    def words(self) -> str:
        rest = "; the readings were taken to the same lines"
        rounding = f"; the corner is rounded with {self.radius:.2f} mm radius" if self.radius else ""
        if self.kind in ("sharp", "eased", "rounded", "lapped"):
            return "where the planes of the wall face and of the side wall cross" + rounding + rest
        name = {"bead": "bead", "trim": "trim", "tile edge": "tile's edge"}.get(self.kind, "wooden lining")
        stands = "flush with the wall face" if self.proud == 0 else f"{self.proud:.2f} mm proud of the wall face"
        return f"the border toward the opening of a {name} {self.width:.2f} mm wide that is {stands}" + rounding + rest


@dataclass(frozen=True)
class Reference:
    """A card or sheet on the wall face; the front's height above the face may vary over a sheet."""

    kind: str
    size_mm: tuple[float, float]
    centre_mm: tuple[float, float]
    turn_deg: float
    thickness_mm: float
    gap_mm: float
    style: str
    radius_mm: float = 0.0
    wave: tuple[float, float, float, float] = (0.0, 1.0, 1.0, 0.0)  # height, turns across, turns up, phase
    tape: str = ""  # none, corners, sides, clear
    seed: int = 0

    def front(self, u: np.ndarray, v: np.ndarray) -> np.ndarray:
        """World points of the front at shares of width and height."""
        u, v = np.asarray(u, float), np.asarray(v, float)
        a, b = (u - 0.5) * self.size_mm[0], (v - 0.5) * self.size_mm[1]
        c, s = np.cos(np.radians(self.turn_deg)), np.sin(np.radians(self.turn_deg))
        x, y = self.centre_mm
        return np.stack([x + c * a - s * b, y + s * a + c * b, self.height(u, v)], axis=-1)

    def height(self, u: np.ndarray, v: np.ndarray) -> np.ndarray:
        up, across, along, phase = self.wave
        ripple = 0.5 + 0.5 * np.sin(2 * np.pi * (across * u + along * v) + phase)
        return self.gap_mm + self.thickness_mm + up * ripple

    def corners(self) -> np.ndarray:
        """Bottom-left, bottom-right, top-right, top-left; rounded ones as if sharp."""
        return self.front(np.array([0, 1, 1, 0.0]), np.array([0, 0, 1, 1.0]))

    def side(self, name: str, t: np.ndarray) -> np.ndarray:
        zero, one = np.zeros_like(t), np.ones_like(t)
        at = {"bottom": (t, zero), "right": (one, t), "top": (t, one), "left": (zero, t)}[name]
        return self.front(*at)

    @property
    def mean_height(self) -> float:
        u, v = np.meshgrid(np.linspace(0, 1, 21), np.linspace(0, 1, 21))
        return float(self.height(u, v).mean())

    @property
    def reach(self) -> tuple[float, float]:
        """Half of the upright rectangle that it fills."""
        c, s = abs(np.cos(np.radians(self.turn_deg))), abs(np.sin(np.radians(self.turn_deg)))
        w, h = self.size_mm
        return (c * w + s * h) / 2, (s * w + c * h) / 2


@dataclass(frozen=True)
class PlumbLine:
    x_mm: float
    z_mm: float
    top_mm: float
    bottom_mm: float
    thickness_mm: float
    colour: str

    def ends(self, top_seen_mm: float) -> np.ndarray:
        high = min(self.top_mm - 60, top_seen_mm)
        return np.array([[self.x_mm, high, self.z_mm], [self.x_mm, self.bottom_mm + 150, self.z_mm]])


@dataclass(frozen=True)
class Phone:
    """The camera's own doing."""

    equivalent_mm: float
    exposure: float
    blur_px: float
    noise: float
    denoise: float
    sharpening: float
    halo_px: float
    contrast: float
    local: float
    evening: float
    balance: tuple[float, float, float]
    quality: int
    sideways: bool
    shading: float
    glare: float


@dataclass(frozen=True)
class Plan:
    name: str
    layout: str
    kind: str
    seed: tuple[int, ...]
    opening: Opening
    edge: Edge
    curb_radius: float
    floor_y: float
    ceiling_y: float
    wall_depth: float
    inner_depth: float
    inner_wider: tuple[float, float]
    room: tuple[float, float, float]  # how far the room goes on to the left, to the right and behind the camera
    light: str
    dado_y: float | None
    camera: Camera
    phone: Phone
    references: tuple[Reference, ...]
    plumb: PlumbLine | None
    options: tuple[str, ...]
    unit: str
    note: list[str] = field(default_factory=list)

    @property
    def four_sided(self) -> bool:
        return self.kind in ("window", "niche")

    def rng(self, purpose: int) -> np.random.Generator:
        """A stream of its own for each purpose."""
        return np.random.default_rng([*self.seed, purpose])

    def number(self) -> int:
        return int(np.random.default_rng([*self.seed, 1]).integers(1, 2**30))


def head_line(opening: Opening) -> Callable[[float], float]:
    _, _, tr, tl = opening.corners
    return lambda x: float(tl[1] + (tr[1] - tl[1]) / (tr[0] - tl[0]) * (x - tl[0]))


def curb_line(opening: Opening) -> Callable[[float], float]:
    bl, br, _, _ = opening.corners
    return lambda x: float(bl[1] + (br[1] - bl[1]) / (br[0] - bl[0]) * (x - bl[0]))
