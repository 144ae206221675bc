"""Flat rooms: photos by an outside checker with exact truth, camera and opening by plain perspective.

    python -m tests.benchmarks.scenes.flat_rooms --out DIR [--only NAME] [--truth-only]

Wall plane z = 0, x right, y up, z toward the camera, mm, origin at the foot of the left wall; gravity along -y. The photos lie
in no repository; the same seed gives the same truth and readings.
"""

from __future__ import annotations

import argparse
import io
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

F = NDArray[Any]


@dataclass(frozen=True)
class Camera:
    """Pinhole with Brown k1; rows of `rotation` are right, down and forward in the room."""

    f: float
    cx: float
    cy: float
    k1: float
    rotation: F
    position: F

    def project(self, points: F) -> F:
        """Pixels (n, 2) of points (n, 3) mm."""
        p = (np.asarray(points, float) - self.position) @ self.rotation.T
        q = p[:, :2] / p[:, 2:]
        return np.asarray(q * (1 + self.k1 * (q**2).sum(1, keepdims=True)) * self.f + (self.cx, self.cy))

    def rays(self, px: F, py: F) -> F:
        """Directions (n, 3) in the room through pixels."""
        x, y = (px - np.float32(self.cx)) / np.float32(self.f), (py - np.float32(self.cy)) / np.float32(self.f)
        rd2 = x * x + y * y
        scale = np.ones_like(x)
        for _ in range(4):
            scale = 1 / (1 + np.float32(self.k1) * rd2 * scale * scale)
        d = np.stack([x * scale, y * scale, np.ones_like(x)], 1)
        return np.asarray(d @ self.rotation.astype(np.float32))


@dataclass(frozen=True)
class Opening:
    """Both walls as line and bow, curb and head as lines; leans, slopes in mm/m, + as in the contract; `height` at x = 0."""

    width: float
    height: float
    lean_left: float
    lean_right: float
    bow_left: float
    bow_right: float
    curb_level: float
    head_level: float
    head: bool = True

    def _bow(self, y: F, foot: float, top: float) -> F:
        t = np.clip((y - foot) / (top - foot), 0, 1)
        return np.asarray(4 * t * (1 - t))

    def _tops(self) -> tuple[float, float]:
        m, h = self.head_level / 1e3, self.height
        left = h / (1 - m * self.lean_left / 1e3)
        foot, lean = self.curb_level / 1e3 * self.width, self.lean_right / 1e3
        return left, (h + m * (self.width + lean * foot)) / (1 + m * lean)

    def left(self, y: F) -> F:
        return np.asarray(self.lean_left / 1e3 * y + self.bow_left * self._bow(y, 0, self._tops()[0]))

    def right(self, y: F) -> F:
        foot = self.curb_level / 1e3 * self.width
        return np.asarray(self.width - self.lean_right / 1e3 * (y - foot) - self.bow_right * self._bow(y, foot, self._tops()[1]))

    def curb(self, x: F) -> F:
        return np.asarray(self.curb_level / 1e3 * x)

    def top(self, x: F) -> F:
        return np.asarray(self.height + self.head_level / 1e3 * x + (0 if self.head else 5000.0))

    def slopes(self) -> tuple[float, float, float, float]:
        return self.lean_left / 1e3, -self.lean_right / 1e3, self.curb_level / 1e3, self.head_level / 1e3

    def outside(self, x: F, y: F) -> F:
        """How far outside the outline, mm (negative inside)."""
        return np.maximum(np.maximum(self.left(y) - x, x - self.right(y)), np.maximum(self.curb(x) - y, y - self.top(x)))

    def corners(self) -> F:
        """Bottom-left, bottom-right, top-right, top-left (4, 2) mm."""
        lt, rt = self._tops()
        foot = float(self.curb(np.float64(self.width)))
        return np.array(
            [[0, 0], [self.width, foot], [float(self.right(np.float64(rt))), rt], [float(self.left(np.float64(lt))), lt]]
        )

    def width_at(self, h: float) -> float:
        """Width parallel to the curb, `h` mm above it."""
        u = np.array([1, self.curb_level / 1e3])
        u /= np.hypot(*u)
        base = h * np.array([-u[1], u[0]])
        a, b = 0.0, self.width
        for _ in range(30):
            a = (float(self.left(base[1] + a * u[1])) - base[0]) / u[0]
            b = (float(self.right(base[1] + b * u[1])) - base[0]) / u[0]
        return b - a

    def sizes(self) -> tuple[dict[str, float], dict[str, float]]:
        """The seven sizes and where the widths are, mm."""
        c = self.corners()
        hl, hr = float(np.hypot(*(c[3] - c[0]))), float(np.hypot(*(c[2] - c[1])))
        mean = (hl + hr) / 2 if self.head else self.height
        at = {"width_top": mean - 25, "width_middle": mean / 2, "width_bottom": 25.0}
        out = {name: self.width_at(h) for name, h in at.items()}
        if self.head:
            out |= {"height_left": hl, "height_right": hr}
            out |= {"diagonal_rising": float(np.hypot(*(c[2] - c[0]))), "diagonal_falling": float(np.hypot(*(c[3] - c[1])))}
        return out, at

    def truth(self) -> dict[str, Any]:
        """Everything the contract names, from the drawn numbers."""
        c = self.corners()
        sizes, at = self.sizes()
        y = np.linspace(max(c[0, 1], c[1, 1]), min(c[2, 1], c[3, 1]), 4001)
        h = np.hypot(*(c[3] - c[0])), np.hypot(*(c[2] - c[1]))
        walls = {
            "lean_left": self.lean_left,
            "lean_right": self.lean_right,
            "bow_left": self.bow_left,
            "bow_right": self.bow_right,
            "taper": -(self.lean_left + self.lean_right),
            "rack": (self.lean_left - self.lean_right) / 2 + self.curb_level,
            "curb_level": self.curb_level,
            "curb_against_head": self.head_level - self.curb_level,
            "plumb_rectangle": float(self.right(y).min() - self.left(y).max()),
            "width_over_height": sizes["width_middle"] / float(np.mean(h)),
            "top_over_bottom_width": sizes["width_top"] / sizes["width_bottom"],
            "left_over_right_height": float(h[0] / h[1]),
        }
        return {"corners_mm": c.tolist(), "head": self.head, "sizes_mm": sizes, "widths_at_mm": at, "walls": walls}


def save(picture: NDArray[np.uint8], path: Path, focal35: float, turned: bool, quality: int) -> None:
    """JPEG with plain metadata; `turned`: stored lying, upright by its orientation tag."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x0112] = "Lumo", "Lumo P3", 6 if turned else 1
    exif[0x8769] = {0x920A: round(focal35 * 0.265, 2), 0xA405: round(focal35), 0x9003: "2026:11:29 10:00:00"}
    image = Image.fromarray(np.ascontiguousarray(np.rot90(picture)) if turned else picture)
    data = io.BytesIO()
    image.save(data, "JPEG", quality=quality, exif=exif)
    path.write_bytes(data.getvalue())


def main() -> None:
    """Draws all rooms; renders those that are asked for."""
    from tests.benchmarks.scenes.flat_draw import LAYOUTS, draw, readings_text
    from tests.benchmarks.scenes.flat_paint import render

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path("flat"))
    parser.add_argument("--seed", type=int, default=2911)
    parser.add_argument("--only", default="")
    parser.add_argument("--truth-only", action="store_true")
    parser.add_argument("--missing", action="store_true", help="leave photos alone that are there")
    args = parser.parse_args()
    args.out.mkdir(parents=True, exist_ok=True)
    for k, (layout, number) in enumerate(LAYOUTS):
        name = f"flat_{layout}_{number:02d}"
        room = draw(layout, number, np.random.default_rng([args.seed, k]), args.seed * 1000 + k)
        if args.only not in name:
            continue
        (args.out / f"{name}.json").write_text(json.dumps(room.truth, indent=1) + "\n")
        (args.out / f"{name}.readings.toml").write_text(readings_text(room.truth))
        if args.truth_only or (args.missing and (args.out / f"{name}.jpg").exists()):
            continue
        picture = render(room.look, room.opening, room.camera, room.size, args.seed + k)
        save(picture, args.out / f"{name}.jpg", room.focal35, room.turned, room.quality)
        print(name, flush=True)


if __name__ == "__main__":
    main()
