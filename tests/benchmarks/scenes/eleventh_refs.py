"""Reference cards and sheets: what is on them, how they are stuck to the wall, how they curl, and where they truly are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import cv2
import mitsuba as mi
import numpy as np

from .eleventh_grain import RGB, Surface, bitmap

from studio.shapes import Builder, placed, rounded_rectangle  # isort: skip
from studio.surfaces import lacquer, plain  # isort: skip

THICKNESS_MM = {"id-1": 0.76, "letter": 0.1, "a4": 0.1}
CARD_RADIUS_MM = 3.18
SIDES = (("bottom", (-1, -1), (1, -1)), ("right", (1, -1), (1, 1)), ("top", (-1, 1), (1, 1)), ("left", (-1, -1), (-1, 1)))
CURLS: dict[str, Callable[[np.ndarray, np.ndarray], np.ndarray]] = {
    "flat": lambda u, v: 0 * u,
    "belly": lambda u, v: 1 - u * u,
    "lip": lambda u, v: ((1 - v) / 2) ** 2,
    "ear": lambda u, v: ((1 + u) / 2) ** 2 * ((1 - v) / 2) ** 2,
    "roll": lambda u, v: v * v,
}
"""lift of the paper over its face, u to the right and v up from -1 to 1"""


@dataclass(frozen=True)
class Strip:
    """A piece of tape: its middle in units of the half sides, its turn and size."""

    at: tuple[float, float]
    turn_deg: float
    size_mm: tuple[float, float]


@dataclass(frozen=True)
class Reference:
    """One card as it hangs; size is across and up, turn anticlockwise; z counts from the opening plane toward the camera."""

    kind: str
    size_mm: tuple[float, float]
    centre_mm: tuple[float, float]
    back_z_mm: float
    surface: Surface
    turn_deg: float = 0.0
    curl: str = "flat"
    curl_mm: float = 0.0
    strips: tuple[Strip, ...] = ()
    tape: Surface | None = None
    clear: bool = False

    def points(self, u: np.ndarray, v: np.ndarray) -> np.ndarray:
        """World points of the front face at u, v (each -1 to 1)."""
        z = THICKNESS_MM[self.kind] + self.curl_mm * CURLS[self.curl](u, v)
        local = np.stack([u * self.size_mm[0] / 2, v * self.size_mm[1] / 2, z], axis=-1)
        frame = placed(*self.centre_mm, self.back_z_mm, self.turn_deg)
        return np.asarray(local @ frame[:3, :3].T + frame[:3, 3])

    def corners(self) -> np.ndarray:
        """Bottom left, bottom right, top right, top left of the front face, as if sharp."""
        return self.points(np.array([-1.0, 1, 1, -1]), np.array([-1.0, -1, 1, 1]))

    def side(self, start: tuple[int, int], end: tuple[int, int]) -> np.ndarray:
        """25 points along one side."""
        t = np.linspace(0.08, 0.92, 25)
        return self.points(start[0] + t * (end[0] - start[0]), start[1] + t * (end[1] - start[1]))

    @property
    def offset_mm(self) -> float:
        """Mean depth of the face behind the opening plane."""
        u, v = np.meshgrid(np.linspace(-1, 1, 21), np.linspace(-1, 1, 21))
        return -float(self.points(u.ravel(), v.ravel())[:, 2].mean())


def hang(build: Builder, card: Reference) -> None:
    """Puts a card and its tape on the wall."""
    if card.kind == "id-1":
        outline = rounded_rectangle(*card.size_mm, CARD_RADIUS_MM)
        place = placed(*card.centre_mm, card.back_z_mm, card.turn_deg)
        build.slab(outline, THICKNESS_MM[card.kind], place, card.surface, lacquer((0.7, 0.7, 0.68), 0.3))
    else:
        n = 33
        u, v = (a.ravel() for a in np.meshgrid(np.linspace(-1, 1, n), np.linspace(-1, 1, n)))
        i = np.arange(n * n).reshape(n, n)[:-1, :-1].ravel()
        faces = np.concatenate([np.stack([i, i + 1, i + n + 1], 1), np.stack([i, i + n + 1, i + n], 1)])
        uv = np.stack([(u + 1) / 2, (v + 1) / 2], 1) * np.array(card.surface.repeat_mm)
        build.mesh(card.points(u, v), faces, uv, card.surface)
    for strip in card.strips:
        _stick(build, card, strip)


def _stick(build: Builder, card: Reference, strip: Strip) -> None:
    tape = card.tape or plain((0.7, 0.6, 0.3))
    if card.clear and id(tape) not in build._loaded:
        film = {"type": "roughplastic", "alpha": 0.08, "diffuse_reflectance": {"type": "rgb", "value": [0.7, 0.68, 0.6]}}
        build._loaded[id(tape)] = mi.load_dict({"type": "mask", "opacity": 0.16, "inner": {"type": "twosided", "a": film}})
        build._kept.append(tape)
    middle = card.points(np.array([strip.at[0]]), np.array([strip.at[1]]))[0]
    outline = rounded_rectangle(*strip.size_mm, 0.0)
    frame = placed(middle[0], middle[1], middle[2] + 0.06, card.turn_deg + strip.turn_deg)
    flat = np.column_stack([outline, np.zeros(4), np.ones(4)]) @ frame.T
    build.quad(flat[:, :3], tape)


def strips_for(rng: np.random.Generator, kind: str, size: tuple[float, float]) -> tuple[Strip, ...]:
    """One of the ways in which people stick paper and cards to a wall."""
    wide = float(rng.choice([12.0, 15.0, 19.0, 25.0])) if kind != "id-1" else float(rng.choice([9.0, 12.0]))
    long = float(rng.uniform(34, 60)) if kind != "id-1" else float(rng.uniform(18, 28))
    way = rng.choice(["corners", "top", "ends", "sides"])
    wobble = rng.uniform(-9, 9, 4)
    if way == "corners":
        found = [
            ((sx, sy), 45.0 * sx * sy * -1 + w) for (sx, sy), w in zip(((-1, -1), (1, -1), (1, 1), (-1, 1)), wobble, strict=True)
        ]
    elif way == "top":
        found = [((a, 1.0), 90 + w) for a, w in zip((-0.7, 0.65), wobble, strict=False)]
    elif way == "ends":
        found = [((0.1, 1.0), 90 + wobble[0]), ((-0.1, -1.0), 90 + wobble[1])]
    else:
        found = [((-1.0, 0.3), wobble[0]), ((1.0, 0.2), wobble[1])]
    pull = 1 - 0.1 * wide / min(size)
    return tuple(Strip((at[0] * pull, at[1] * pull), float(turn), (long, wide)) for at, turn in found)


def card_face(rng: np.random.Generator, upright: bool) -> Surface:
    """The face of a bank-size card of nobody's make."""
    ground = _ground(rng)
    picture = np.tile(ground, (540, 856, 1)).astype(np.float32)
    kind = rng.choice(["plain", "chip", "magnetic", "two", "fade", "pass", "wave"])
    ink = tuple(float(c) for c in (0.75, 0.75, 0.72)) if ground.mean() < 0.35 else (0.05, 0.06, 0.08)
    y, x = np.mgrid[0:540, 0:856] / 540.0
    if kind == "two":
        picture[(x + 0.4 * y) > rng.uniform(0.6, 1.2)] = _ground(rng)
    elif kind == "fade":
        picture += (_ground(rng) - ground) * (0.5 + 0.5 * np.sin(2.2 * x + 1.4 * y))[..., None]
    elif kind == "wave":
        picture[(np.mod(3 * y + 0.4 * np.sin(4 * x), 1) < 0.3) & (y > 0.2) & (y < 0.85)] = _ground(rng)
    elif kind == "magnetic":
        picture[50:185] = (0.02, 0.02, 0.022)
        picture[235:315, 50:600] = (0.7, 0.7, 0.66)
    elif kind == "pass":
        cv2.rectangle(picture, (60, 130), (270, 400), tuple(float(c) for c in 0.6 * ground + 0.1), -1)
        cv2.circle(picture, (165, 230), 60, (0.35, 0.26, 0.2), -1, cv2.LINE_AA)
    if kind in ("chip", "fade", "two", "wave") and rng.random() < 0.8:
        cv2.rectangle(picture, (95, 190), (215, 285), (0.62, 0.5, 0.24), -1)
        cv2.line(picture, (95, 237), (215, 237), (0.3, 0.24, 0.1), 3)
    if kind != "plain":
        _scribble(picture, rng, (330 if kind == "pass" else 90, 370, 760), (26, 3), ink)
    return _print(picture, upright, float(rng.choice([0.12, 0.2, 0.35])))


def _ground(rng: np.random.Generator) -> np.ndarray:
    palette = np.array(
        [
            (0.78, 0.78, 0.76),
            (0.03, 0.03, 0.035),
            (0.04, 0.09, 0.28),
            (0.45, 0.04, 0.05),
            (0.05, 0.28, 0.16),
            (0.7, 0.55, 0.1),
            (0.55, 0.56, 0.58),
            (0.26, 0.08, 0.3),
            (0.72, 0.32, 0.06),
            (0.6, 0.72, 0.8),
        ]
    )
    return palette[int(rng.integers(len(palette)))] * rng.uniform(0.9, 1.05)


def sheet_face(rng: np.random.Generator, kind: str, across: bool) -> tuple[Surface, str]:
    """The face of a sheet of paper and what it is."""
    height, width = (1188, 840) if kind == "a4" else (1118, 864)
    paper = np.array((0.80, 0.80, 0.79)) * rng.uniform(0.92, 1.06) * np.array((1, 1, rng.uniform(0.9, 1.03)))
    picture = np.tile(paper, (height, width, 1)).astype(np.float32)
    what = str(rng.choice(["blank", "blank", "text", "lined", "graph", "form", "drawing"]))
    blue = (0.25, 0.40, 0.62)
    if what == "text":
        _scribble(picture, rng, (90, 110, width - 90), (17, int(rng.integers(18, 36))), (0.06, 0.06, 0.07))
    elif what == "lined":
        for y in range(130, height - 40, 32):
            cv2.line(picture, (0, y), (width, y), blue, 1, cv2.LINE_AA)
        cv2.line(picture, (110, 0), (110, height), (0.65, 0.25, 0.25), 2)
    elif what == "graph":
        for step in range(10, max(width, height), 20):
            cv2.line(picture, (step, 8), (step, height - 8), blue, 1)
            cv2.line(picture, (8, step), (width - 8, step), blue, 1)
    elif what == "form":
        for k, y in enumerate(range(160, height - 120, 88)):
            cv2.rectangle(picture, (70, y), (width - 70, y + 70), (0.2, 0.2, 0.2), 2)
            _scribble(picture, rng, (90, y + 14, 200 + 30 * (k % 4)), (15, 1), (0.1, 0.1, 0.1))
    elif what == "drawing":
        cv2.rectangle(picture, (180, 240), (width - 200, height - 300), (0.08, 0.08, 0.1), 3)
        cv2.line(picture, (180, 180), (width - 200, 180), (0.5, 0.1, 0.1), 2)
        _scribble(picture, rng, (width // 2 - 60, 140, width // 2 + 60), (18, 1), (0.5, 0.1, 0.1))
    return _print(picture, not across, 0.5, turned=across), what


def _scribble(picture: np.ndarray, rng: np.random.Generator, box: tuple[int, int, int], type_: tuple[int, int], ink: RGB) -> None:
    """Rows of words made of strokes: box is left, top, right; type is the size of a letter and the number of rows."""
    left, top, right = box
    size, rows = type_
    for row in range(rows):
        y, x = top + round(row * size * 1.75), left
        end = right if rng.random() < 0.8 else left + round(0.6 * (right - left))
        while x < end - size and y + size < picture.shape[0]:
            for _ in range(int(rng.integers(2, 9))):
                if x > end - size:
                    break
                low, high = (y + round(size * f) for f in (rng.choice([0.0, 0.3]), rng.choice([1.0, 1.0, 1.25])))
                cv2.line(picture, (x, low), (x + round(size * rng.uniform(0, 0.3)), high), ink, max(1, size // 8), cv2.LINE_AA)
                if rng.random() < 0.6:
                    middle = (x + size // 4, y + round(0.65 * size))
                    cv2.ellipse(picture, middle, (size // 4, size // 3), 0, 0, 300, ink, max(1, size // 8), cv2.LINE_AA)
                x += round(0.62 * size)
            x += round(0.6 * size)


def _print(picture: np.ndarray, upright: bool, roughness: float, turned: bool = False) -> Surface:
    """Row 0 is the top; a card that hangs upright, or a sheet that hangs across, is turned by a quarter."""
    landscape = picture.shape[1] > picture.shape[0]
    shown = np.rot90(picture) if (landscape and upright) or turned else picture
    skin = {"type": "roughplastic", "alpha": roughness, "nonlinear": True, "diffuse_reflectance": bitmap(shown[::-1], "clamp")}
    matt = {"type": "diffuse", "reflectance": bitmap(shown[::-1], "clamp")}
    return Surface(matt if roughness >= 0.5 else skin)


def card_truth(card: Reference, number: int, project: Callable[[np.ndarray], np.ndarray]) -> dict[str, Any]:
    """What is true of a card in this photo."""
    return {
        "number": number,
        "kind": card.kind,
        "size_mm": np.round(card.size_mm, 4).tolist(),
        "offset_mm": round(card.offset_mm, 4),
        "corners_px": np.round(project(card.corners()), 4).tolist(),
        "edges_px": {name: np.round(project(card.side(a, b)), 4).tolist() for name, a, b in SIDES},
    }
