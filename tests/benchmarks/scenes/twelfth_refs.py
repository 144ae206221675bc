"""Reference cards and sheets of the twelfth rooms: prints, bodies, tape, and where their outlines truly lie."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from studio.shapes import Builder, placed, rounded_rectangle
from studio.surfaces import Surface

from .twelfth_choice import matt
from .twelfth_fabric import Rng, noise, texels
from .twelfth_shell import Dip

RADIUS_MM = 3.18
SIDES = (("bottom", 0, 1), ("right", 1, 2), ("top", 3, 2), ("left", 0, 3))


@dataclass(frozen=True)
class Ref:
    """One reference; size as it hangs. A sheet may belly out inside its rim and lift along its lower edge."""

    kind: str
    size_mm: tuple[float, float]
    centre_mm: tuple[float, float]
    turn_deg: float
    front_z: float
    thick_mm: float
    gap_mm: float
    print_seed: int
    looks: str
    belly_mm: float = 0.0
    lift_mm: float = 0.0
    tape: str = "none"
    tape_rgb: tuple[float, float, float] = (0.6, 0.5, 0.25)
    standing: bool = field(default=False)

    def points(self, u: np.ndarray, v: np.ndarray) -> np.ndarray:
        """World points of the front at shares u (right) and v (up)."""
        rise = self.belly_mm * 16 * u * (1 - u) * v * (1 - v) + self.lift_mm * (np.clip(0.3 - v, 0, 1) / 0.3) ** 2
        flat = np.stack([(u - 0.5) * self.size_mm[0], (v - 0.5) * self.size_mm[1], rise], axis=-1)
        place = placed(*self.centre_mm, self.front_z, self.turn_deg)
        return np.asarray(flat @ place[:3, :3].T + place[:3, 3])

    def outline(self) -> np.ndarray:
        return self.points(np.array([0.0, 1.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0, 1.0]))

    def side(self, first: int, last: int, count: int = 25) -> np.ndarray:
        share = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
        t = np.linspace(0.08, 0.92, count)[:, None]
        at = share[first] + t * (share[last] - share[first])
        return self.points(at[:, 0], at[:, 1])

    def dip(self, room_mm: float) -> Dip:
        """What the wall does behind it, ending within the room there is toward the opening."""
        corners = self.outline()[:, :2]
        low, high = corners.min(axis=0) - 3, corners.max(axis=0) + 3
        depth = self.front_z - self.thick_mm - self.gap_mm
        return Dip(tuple(low), tuple(high), float(depth), float(np.clip(room_mm - 5, 16, 110)))


def hang(build: Builder, ref: Ref) -> None:
    surface = printed(ref)
    if ref.kind == "id-1":
        body = rounded_rectangle(*ref.size_mm, RADIUS_MM)
        build.slab(body, ref.thick_mm, placed(*ref.centre_mm, ref.front_z - ref.thick_mm, ref.turn_deg), surface)
    else:
        _sheet(build, ref, surface)
    _tape(build, ref)


def _sheet(build: Builder, ref: Ref, surface: Surface) -> None:
    n = 41
    v, u = np.meshgrid(np.linspace(0, 1, n), np.linspace(0, 1, n), indexing="ij")
    points = ref.points(u, v)
    i = np.arange(n * n).reshape(n, n)
    a, b, c, d = i[:-1, :-1].ravel(), i[:-1, 1:].ravel(), i[1:, 1:].ravel(), i[1:, :-1].ravel()
    faces = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])
    build.mesh(points.reshape(-1, 3), faces, np.stack([u, v], 2).reshape(-1, 2), surface)
    rim = np.concatenate([points[0], points[1:, -1], points[-1, -2::-1], points[-2::-1, 0]])
    under = rim - [0, 0, ref.thick_mm]
    build.strip(under, rim, np.zeros((len(rim), 2)), np.zeros((len(rim), 2)), matt((0.6, 0.6, 0.58)))


def _tape(build: Builder, ref: Ref) -> None:
    width, height = ref.size_mm
    w, long = (19.0, 45.0) if ref.kind != "id-1" else (8.0, 26.0)
    places: dict[str, tuple[tuple[float, float, float], ...]] = {
        "top": ((-0.3, 0.5, 92), (0.31, 0.5, 87)),
        "edges": ((-0.02, 0.5, 90), (0.03, -0.5, 88), (-0.5, 0.1, 2), (0.5, -0.08, -3)),
        "corners": ((-0.5, 0.5, 45), (0.5, 0.5, -45), (-0.5, -0.5, -44), (0.5, -0.5, 46)),
        "two corners": ((-0.5, 0.5, 47), (0.5, 0.5, -43)),
        "one": ((0.06, 0.5, 84),),
    }
    spin = placed(*ref.centre_mm, 0, ref.turn_deg)
    for across, up, turn in places.get(ref.tape, ()):
        inward = 0.3 * w if "corners" in ref.tape else 0.0
        local = [across * width - np.sign(across) * inward, up * height - np.sign(up) * inward, 0]
        if "corners" in ref.tape:
            local = [across * width, up * height, 0]
        at = spin[:3, :3] @ local
        flat = rounded_rectangle(long, w, 0.0)
        where = (ref.centre_mm[0] + at[0], ref.centre_mm[1] + at[1], ref.front_z + 0.08 + max(ref.lift_mm, 0) * (up < 0))
        build.slab(flat, 0.1, placed(*where, ref.turn_deg + _lie(turn)), matt(ref.tape_rgb))


def _lie(turn: float) -> float:
    """Strips on corners cut across them, strips on sides run over them."""
    return -turn if abs(abs(turn) - 45) < 5 else turn


def printed(ref: Ref) -> Surface:
    rng = np.random.default_rng([ref.print_seed, 3])
    picture = (bank_print if ref.kind == "id-1" else sheet_print)(ref.looks, rng)
    if ref.standing:
        picture = np.rot90(picture)
    rough = float(rng.uniform(0.12, 0.4)) if ref.kind == "id-1" else 0.6
    bsdf = {"type": "roughplastic", "alpha": rough, "diffuse_reflectance": texels(picture[::-1], "clamp")}
    return Surface(bsdf if ref.kind == "id-1" else {"type": "diffuse", "reflectance": texels(picture[::-1], "clamp")}, (1.0, 1.0))


BANK = ("white", "dark", "halves", "band", "stripe", "picture", "dots", "tint", "slant")
SHEETS = ("white", "text", "ruled", "squares", "headed", "tint", "dark", "drawing")


def bank_print(looks: str, rng: Rng) -> np.ndarray:
    """(h, w, 3), row 0 on top."""
    rows, columns = 340, 540
    y, x = np.mgrid[0:rows, 0:columns] / np.array([rows, columns])[:, None, None]
    ink = rng.uniform(0.03, 0.6, 3)
    grounds: dict[str, np.ndarray] = {
        "white": np.array([0.8, 0.8, 0.79]),
        "dark": rng.uniform(0.02, 0.08, 3),
        "tint": rng.uniform(0.08, 0.7, 3),
        "dots": rng.uniform(0.5, 0.78, 3),
        "picture": rng.uniform(0.2, 0.5, 3),
    }
    picture = np.ones((rows, columns, 3)) * grounds.get(looks, rng.uniform(0.6, 0.8, 3))
    if looks == "halves":
        picture[x > rng.uniform(0.35, 0.65)] = ink
    elif looks == "band":
        low = rng.uniform(0.1, 0.6)
        picture[(y > low) & (y < low + 0.2)] = ink * 0.4
    elif looks == "stripe":
        picture[np.abs(x - rng.uniform(0.2, 0.8)) < 0.05] = ink
    elif looks == "slant":
        picture[np.mod(x * 1.6 + y, 0.5) < 0.16] = ink
    elif looks == "dots":
        picture[np.hypot(np.mod(x * 1.6, 0.12) - 0.06, np.mod(y, 0.12) - 0.06) < 0.03] = ink
    elif looks == "picture":
        hue = np.stack([noise(rng, (rows, columns), 50) for _ in range(3)], 2)
        picture = np.clip(picture * np.exp(0.5 * hue), 0.02, 0.8)
    if rng.random() < 0.4:
        picture[(x > 0.1) & (x < 0.24) & (y > 0.36) & (y < 0.58)] = (0.55, 0.45, 0.2)
    if rng.random() < 0.5:
        picture[(np.abs(y - 0.8) < 0.025) & (x > 0.1) & (x < 0.6) & (np.mod(x, 0.04) < 0.025)] = 0.4 * ink
    return picture


def sheet_print(looks: str, rng: Rng) -> np.ndarray:
    rows, columns = 840, 600
    y, x = np.mgrid[0:rows, 0:columns] / np.array([rows, columns])[:, None, None]
    ground = {"tint": rng.uniform(0.3, 0.75, 3), "dark": rng.uniform(0.04, 0.2, 3)}.get(looks, np.array([0.83, 0.83, 0.82]))
    picture = np.ones((rows, columns, 3)) * ground
    inside: Callable[[float], np.ndarray] = lambda m: (x > m) & (x < 1 - m) & (y > m) & (y < 1 - m)  # noqa: E731
    if looks in ("text", "headed"):
        line = (y * 42).astype(int)
        ragged = rng.uniform(0.6, 0.9, 60)[line]
        words = np.repeat(rng.random((60, 75)) < 0.8, 8, axis=1)[line[:, 0]]
        picture[inside(0.1) & (np.mod(y * 42, 1) < 0.42) & (x < ragged) & words & (y > 0.2)] = 0.08
    if looks == "headed":
        picture[y < rng.uniform(0.07, 0.13)] = rng.uniform(0.05, 0.4, 3)
    elif looks == "ruled":
        picture[(np.mod(y * 32, 1) < 0.07) & (y > 0.08)] = (0.4, 0.5, 0.7)
        picture[np.abs(x - 0.13) < 0.0025] = (0.7, 0.3, 0.3)
    elif looks == "squares":
        picture[(np.mod(y * 56, 1) < 0.1) | (np.mod(x * 40, 1) < 0.1)] = (0.55, 0.6, 0.68)
    elif looks == "drawing":
        far = noise(rng, (rows, columns), 70)
        picture[inside(0.12) & (np.abs(far) < 0.02)] = 0.1
    return picture * (1 + 0.015 * noise(rng, (rows, columns), 60))[..., None]
