"""Meshes and primitives, in millimetres. Every function returns Mitsuba shapes as {name: shape}."""

from __future__ import annotations

from typing import Any

import mitsuba as mi
import numpy as np

from .surfaces import Surface

Shapes = dict[str, Any]


class Builder:
    """Collects shapes under unique names; a surface that is used twice is loaded once."""

    def __init__(self) -> None:
        self.shapes: Shapes = {}
        self._loaded: dict[int, Any] = {}
        self._kept: list[Surface] = []

    def add(self, shape: Any) -> None:
        self.shapes[f"part{len(self.shapes):04d}"] = shape

    def material(self, surface: Surface) -> Any:
        if id(surface) not in self._loaded:
            self._loaded[id(surface)] = mi.load_dict({"type": "twosided", "inner": surface.bsdf})
            self._kept.append(surface)
        return self._loaded[id(surface)]

    def mesh(self, vertices: np.ndarray, faces: np.ndarray, uv_mm: np.ndarray, surface: Surface) -> None:
        """Triangles with pattern coordinates in millimetres."""
        properties = mi.Properties()
        properties["bsdf"] = self.material(surface)
        made = mi.Mesh(f"mesh{len(self.shapes)}", len(vertices), len(faces), has_vertex_texcoords=True, props=properties)
        held = mi.traverse(made)
        held["vertex_positions"] = np.asarray(vertices, np.float32).ravel()
        held["faces"] = np.asarray(faces, np.uint32).ravel()
        uv = (np.asarray(uv_mm) + surface.shift_mm) / surface.repeat_mm
        held["vertex_texcoords"] = np.asarray(uv, np.float32).ravel()
        held.update()
        self.add(made)

    def strip(self, first: np.ndarray, second: np.ndarray, uv_first: np.ndarray, uv_second: np.ndarray, surface: Surface) -> None:
        """The ruled surface between two polylines of equal length; its front is where first -> second -> next turns left."""
        n = len(first)
        i = np.arange(n - 1)
        faces = np.concatenate([np.stack([i, i + n, i + 1], 1), np.stack([i + 1, i + n, i + n + 1], 1)])
        self.mesh(np.concatenate([first, second]), faces, np.concatenate([uv_first, uv_second]), surface)

    def quad(self, corners: np.ndarray, surface: Surface, uv_mm: np.ndarray | None = None) -> None:
        """Four corners, counter-clockwise as seen from the front; pattern coordinates default to lengths along the sides."""
        c = np.asarray(corners, float)
        if uv_mm is None:
            u, v = np.linalg.norm(c[1] - c[0]), np.linalg.norm(c[3] - c[0])
            uv_mm = np.array([[0, 0], [u, 0], [u, v], [0, v]])
        self.mesh(c, np.array([[0, 1, 2], [0, 2, 3]]), uv_mm, surface)

    def box(self, low: tuple[float, float, float], high: tuple[float, float, float], surface: Surface) -> None:
        (x0, y0, z0), (x1, y1, z1) = low, high
        p = lambda x, y, z: [x, y, z]  # noqa: E731
        for corners in (
            [p(x0, y0, z1), p(x1, y0, z1), p(x1, y1, z1), p(x0, y1, z1)],
            [p(x1, y0, z0), p(x0, y0, z0), p(x0, y1, z0), p(x1, y1, z0)],
            [p(x0, y0, z0), p(x0, y0, z1), p(x0, y1, z1), p(x0, y1, z0)],
            [p(x1, y0, z1), p(x1, y0, z0), p(x1, y1, z0), p(x1, y1, z1)],
            [p(x0, y1, z1), p(x1, y1, z1), p(x1, y1, z0), p(x0, y1, z0)],
            [p(x0, y0, z0), p(x1, y0, z0), p(x1, y0, z1), p(x0, y0, z1)],
        ):
            self.quad(np.array(corners), surface)

    def rod(self, start: tuple[float, float, float], end: tuple[float, float, float], radius: float, surface: Surface) -> None:
        self.add({"type": "cylinder", "p0": list(start), "p1": list(end), "radius": radius, "bsdf": self.material(surface)})

    def capped_rod(
        self, start: tuple[float, float, float], end: tuple[float, float, float], radius: float, surface: Surface
    ) -> None:
        self.rod(start, end, radius, surface)
        axis = np.asarray(end, float) - np.asarray(start, float)
        for centre, way in ((end, axis), (start, -axis)):
            self.disc(centre, way, radius, surface)

    def disc(self, centre: tuple[float, float, float], normal: np.ndarray, radius: float, surface: Surface) -> None:
        facing = list(np.asarray(centre, float) + np.asarray(normal, float))
        up = [0.0, 1.0, 0.0] if abs(normal[1]) < 0.9 * np.linalg.norm(normal) else [1.0, 0.0, 0.0]
        place = mi.ScalarTransform4f().look_at(list(centre), facing, up) @ mi.ScalarTransform4f().scale(radius)
        self.add({"type": "disk", "to_world": place, "bsdf": self.material(surface)})

    def ball(self, centre: tuple[float, float, float], radius: float, surface: Surface) -> None:
        self.add({"type": "sphere", "center": list(centre), "radius": radius, "bsdf": self.material(surface)})

    def lamp(
        self,
        centre: tuple[float, float, float],
        toward: tuple[float, float, float],
        size_mm: tuple[float, float],
        rgb: tuple[float, float, float],
    ) -> None:
        """A glowing rectangle that shines in one direction."""
        target = list(np.asarray(centre, float) + np.asarray(toward, float))
        up = [0.0, 1.0, 0.0] if abs(toward[1]) < 0.9 else [0.0, 0.0, 1.0]
        place = mi.ScalarTransform4f().look_at(list(centre), target, up)
        place = place @ mi.ScalarTransform4f().scale([size_mm[0] / 2, size_mm[1] / 2, 1.0])
        glow = {"type": "area", "radiance": {"type": "rgb", "value": list(rgb)}}
        self.add({"type": "rectangle", "to_world": place, "emitter": glow, "bsdf": {"type": "diffuse"}})

    def slab(self, outline: np.ndarray, thickness: float, place: np.ndarray, front: Surface, side: Surface | None = None) -> None:
        """A thin flat body: a convex outline (n, 2) counter-clockwise, moved by a 4 x 4 matrix; its back lies at local z = 0."""
        n = len(outline)
        size = np.ptp(outline, axis=0)
        uv = (outline - outline.min(axis=0)) / size * np.array(front.repeat_mm)
        top = _moved(place, np.column_stack([outline, np.full(n, thickness)]))
        bottom = _moved(place, np.column_stack([outline, np.zeros(n)]))
        fan = np.stack([np.zeros(n - 2), np.arange(1, n - 1), np.arange(2, n)], 1)
        self.mesh(top, fan, uv, front)
        i = np.arange(n)
        j = (i + 1) % n
        rim = np.concatenate([np.stack([i + n, j + n, i], 1), np.stack([i, j + n, j], 1)])
        self.mesh(np.concatenate([top, bottom]), rim, np.zeros((2 * n, 2)), side or front)


def rounded_rectangle(width: float, height: float, radius: float, steps: int = 10) -> np.ndarray:
    """Outline of a card about its centre, counter-clockwise from the lower left."""
    if radius <= 0:
        return np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * [width / 2, height / 2]
    points = []
    for quarter, (sx, sy) in enumerate(((-1, -1), (1, -1), (1, 1), (-1, 1))):
        angle = np.radians(180 + 90 * quarter + np.linspace(0, 90, steps + 1))
        centre = np.array([sx * (width / 2 - radius), sy * (height / 2 - radius)])
        points.append(centre + radius * np.stack([np.cos(angle), np.sin(angle)], 1))
    return np.concatenate(points)


def placed(x: float, y: float, z: float, turn_deg: float = 0.0) -> np.ndarray:
    """Local frame to world: turned in the wall's plane (+ = anticlockwise), then moved."""
    c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    return np.array([[c, -s, 0, x], [s, c, 0, y], [0, 0, 1, z], [0, 0, 0, 1.0]])


def _moved(place: np.ndarray, points: np.ndarray) -> np.ndarray:
    return points @ place[:3, :3].T + place[:3, 3]
