"""Walls, curb, floor, ceilings of a room of the thirteenth family as meshes."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np

from sample_images.studio.shapes import Builder
from sample_images.studio.surfaces import Surface

from . import thirteenth_surfaces as s
from .thirteenth_edges import Profile
from .thirteenth_plan import Plan

Array = np.ndarray
DARK = (0.03, 0.03, 0.03)


class Shell:
    """Builds everything whose place the truth speaks of."""

    def __init__(self, build: Builder, plan: Plan) -> None:
        self.build, self.plan, self.surfaces = build, plan, plan.surfaces
        self.corners = plan.opening.corners
        self.high = plan.bottom == "sill"  # the face goes on below the opening
        self.dark = s.plain(DARK)

    def all(self) -> None:
        self._side("left", 1)
        self._side("right", -1)
        self._foot()
        if self.plan.head == "lintel":
            self._lintel()
        self._inner()
        self._room()

    # -- the upright edges ---------------------------------------------------------------------------------------------------

    def _wall(self, side: str, y: Array) -> Array:
        return self.plan.opening.left(y) if side == "left" else self.plan.opening.right(y)

    def head_y(self, x: Array | float) -> Array:
        _, _, tr, tl = self.corners
        return tl[1] + (np.asarray(x) - tl[0]) * (tr[1] - tl[1]) / (tr[0] - tl[0])

    def foot_y(self, x: Array | float) -> Array:
        bl, br = self.corners[:2]
        return bl[1] + (np.asarray(x) - bl[0]) * (br[1] - bl[1]) / (br[0] - bl[0])

    def _span(self, side: str, over: float, under: float) -> Array:
        """Heights along a side's edge, from the floor (or the sill) to the head (or the ceiling)."""
        foot = self.corners[0 if side == "left" else 1]
        top = self.corners[3 if side == "left" else 2]
        low = foot[1] - under if self.high else self.plan.floor_y
        y = np.linspace(foot[1], top[1], 41)
        end = top[1] + over if self.plan.head == "lintel" else self.plan.ceiling_y
        return np.unique(np.concatenate([[low], y, [end]]))

    def _upright(self, x_a: Array, x_b: Array, z: tuple[float, float], y: Array, surface: Surface) -> None:
        """Between two upright curves; the pattern goes with x on the face and with depth on a reveal."""
        a = np.column_stack([x_a, y, np.full_like(y, z[0])])
        b = np.column_stack([x_b, y, np.full_like(y, z[1])])
        flat = z[0] == z[1]
        u = (x_a, x_b) if flat else (np.full_like(y, -z[0]), np.full_like(y, -z[1] + float(np.max(abs(x_a - x_b)))))
        self.build.strip(a, b, np.column_stack([u[0], y]), np.column_stack([u[1], y]), surface)

    def _side(self, side: str, way: int) -> None:
        plan, profile = self.plan, self.plan.profiles[side]
        head, foot = plan.profiles["head"], plan.profiles["curb"]
        y = self._span(side, head.front_mm, foot.front_mm)
        out = 0.0
        for width, surface in profile.strips:
            edge = self._wall(side, y)
            self._upright(edge - way * (out + width), edge - way * out, (0.0, 0.0), y, surface)
            out += width
        full = np.unique(np.concatenate([y, [plan.floor_y, plan.ceiling_y]]))
        if profile.gap_mm:
            edge = self._wall(side, full)
            a, b = edge - way * (out + profile.gap_mm), edge - way * out
            self._upright(a, b, (-9.0, -9.0), full, self.dark)
            self._upright(b, b, (-9.0, 0.0), full, self.dark)
            self._upright(a, a, (-9.0, 0.0), full, self.surfaces["face"])
            out += profile.gap_mm
        self._face(side, way, out, full)
        self._reveal(side, way, profile, y)
        if profile.casing:
            self._casing(side, way, profile, y)

    def _face(self, side: str, way: int, out: float, y: Array) -> None:
        """The face beside an edge, from the strips to the room's side wall, in its zones."""
        plan = self.plan
        far = -plan.beyond[0] if way == 1 else plan.opening.width_mm + plan.beyond[1]
        cuts = [plan.floor_y, plan.ceiling_y] if plan.dado_y is None else [plan.floor_y, plan.dado_y, plan.ceiling_y]
        for number, (low, top) in enumerate(itertools.pairwise(cuts)):
            rows = np.unique(np.concatenate([y[(y > low) & (y < top)], [low, top]]))
            surface = self.surfaces["lower" if plan.dado_y is not None and number == 0 else "face"]
            edge = self._wall(side, rows)
            near, end = edge - way * out, np.full_like(rows, far)
            if plan.band and abs(far - float(edge.mean())) > plan.band[0] + 40:
                stop = np.full_like(rows, float(edge.mean()) - way * plan.band[0])
                deep = -plan.band[1]
                self._upright(end, stop, (deep, deep), rows, self.surfaces["outer"])
                if deep:
                    self._upright(stop, stop, (deep, 0.0), rows, self.surfaces["face"])
                end = stop
            self._upright(end, near, (0.0, 0.0), rows, surface)

    def _reveal(self, side: str, way: int, profile: Profile, y: Array) -> None:
        plan, (at, z) = self.plan, (0.0, 0.0)
        edge = self._wall(side, y)
        for inward, deep, surface in profile.path:
            self._upright(edge + way * at, edge + way * inward, (z, deep), y, surface or self.surfaces["reveal"])
            at, z = inward, deep
        end = -min(plan.wall or plan.depth, plan.depth)
        tall = y
        if plan.wall is None and plan.lintel < plan.depth and plan.head == "lintel":
            tall = np.unique(np.concatenate([y, [plan.inner_ceiling_y + 5]]))
        if plan.wall is None and self.high and plan.ledge_depth < plan.depth:
            tall = np.unique(np.concatenate([[plan.floor_y], tall]))
        edge = self._wall(side, tall)
        self._upright(edge + way * at, edge + way * at, (min(z, 0.0), min(end, z)), tall, self.surfaces["reveal"])

    def _casing(self, side: str, way: int, profile: Profile, y: Array) -> None:
        back, width, proud, surface = profile.casing
        top = self.plan.profiles["head"].casing
        y = np.unique(np.concatenate([y, [y[-1] + (back + width if top and self.plan.head == "lintel" else 0.0)]]))
        edge = self._wall(side, y)
        a, b = edge - way * (back + width), edge - way * back
        self._upright(a, b, (proud, proud), y, surface)
        for x in (a, b):
            self._upright(x, x, (0.0, proud), y, surface)

    # -- lower edge and head -------------------------------------------------------------------------------------------------

    def _level(
        self, line: Callable[[Array], Array], x: Array, shift: tuple[float, float], z: tuple[float, float], surface: Surface
    ) -> None:
        """A strip along x between two lines: each a shift upward of `line` at a depth."""
        y = np.broadcast_to(line(x), x.shape)
        a = np.column_stack([x, y + shift[0], np.full_like(x, z[0])])
        b = np.column_stack([x, y + shift[1], np.full_like(x, z[1])])
        v = (a[:, 1], b[:, 1]) if z[0] == z[1] else (np.full_like(x, -z[0]), np.full_like(x, -z[1] + abs(shift[0] - shift[1])))
        self.build.strip(a, b, np.column_stack([x, v[0]]), np.column_stack([x, v[1]]), surface)

    def _ends(self, with_strips: bool) -> Array:
        bl, br, tr, tl = self.corners
        left, right = (self.plan.profiles[name] for name in ("left", "right"))
        spare = (left.front_mm + left.gap_mm, right.front_mm + right.gap_mm) if with_strips else (0.0, 0.0)
        return np.array([min(bl[0], tl[0]) - spare[0] - 6 * with_strips, max(br[0], tr[0]) + spare[1] + 6 * with_strips])

    def _foot(self) -> None:
        plan, profile = self.plan, self.plan.profiles["curb"]
        x = np.array([self.corners[0][0], self.corners[1][0]])
        wide = x + np.array([-30.0, 30.0])
        if plan.bottom in ("floor", "saddle"):
            if plan.bottom == "saddle":
                low = plan.floor_y - 0.0
                self.build.quad(np.array([[x[0], low, 0], [x[1], low, 0], [x[1], 0, 0], [x[0], 0, 0]]), self.surfaces["ledge"])
                self._level(self.foot_y, wide, (0, 0), (0, -plan.ledge_depth), self.surfaces["ledge"])
                self._level(
                    self.foot_y, wide, (0, plan.inner_floor_y), (-plan.ledge_depth, -plan.ledge_depth), self.surfaces["ledge"]
                )
            return
        out = 0.0
        for width, surface in profile.strips:
            self._level(self.foot_y, x, (-out - width, -out), (0, 0), surface)
            out += width
        self._below(x, out)
        at, z = 0.0, 0.0
        for up, deep, surface in profile.path:
            self._level(self.foot_y, x, (at, up), (z, deep), surface or self.surfaces["ledge"])
            at, z = up, deep
        self._level(self.foot_y, wide, (at, at), (z, -max(plan.ledge_depth, 30 - z)), self.surfaces["ledge"])
        if plan.ledge_depth < plan.depth:
            end = -max(plan.ledge_depth, 30 - z)
            self._level(self.foot_y, wide, (at, plan.inner_floor_y), (end, end), self.surfaces["ledge"])

    def _below(self, x: Array, out: float) -> None:
        """The front under the lower edge."""
        plan = self.plan
        if self.high:
            y = np.array([plan.floor_y, float(self.foot_y(x).mean()) - out])
            ends = self._ends(True)
            steps = np.linspace(0, 1, 2)
            corners = [[ends[0], y[0], 0], [ends[1], y[0], 0]]
            corners += [[ends[1], float(self.foot_y(ends[1])) - out, 0], [ends[0], float(self.foot_y(ends[0])) - out, 0]]
            quad = np.array(corners) + 0 * steps[0]
            self.build.quad(quad, self.surfaces["lower" if plan.dado_y is not None and plan.dado_y > 0 else "face"], quad[:, :2])
            return
        nose = plan.nose[0] if plan.nose and plan.nose[0] > out + 2 else 0.0
        low = plan.floor_y
        if nose:
            self._level(self.foot_y, x, (-nose, -out), (0, 0), self.surfaces["ledge"])
            self._level(self.foot_y, x, (-nose, -nose), (-40, 0), self.surfaces["ledge"])
        back = -plan.nose[1] if plan.nose and nose else 0.0
        top = self.foot_y(x) - (nose or out)
        quad = np.array([[x[0], low, back], [x[1], low, back], [x[1], top[1], back], [x[0], top[0], back]])
        self.build.quad(quad, self.surfaces["front"], quad[:, :2])

    def _lintel(self) -> None:
        plan, profile = self.plan, self.plan.profiles["head"]
        tl, tr = self.corners[3], self.corners[2]
        x, out = np.array([tl[0], tr[0]]), 0.0
        for width, surface in profile.strips:
            self._level(self.head_y, x, (out, out + width), (0, 0), surface)
            out += width
        ends = self._ends(True)
        low = self.head_y(ends) + out
        top = plan.ceiling_y
        quad = np.array([[ends[0], low[0], 0], [ends[1], low[1], 0], [ends[1], top, 0], [ends[0], top, 0]])
        self.build.quad(quad, self.surfaces["face"], quad[:, :2])
        at, z, wide = 0.0, 0.0, np.array([tl[0] - 25, tr[0] + 25])
        for down, deep, surface in profile.path:
            self._level(self.head_y, x, (-at, -down), (z, deep), surface or self.surfaces["reveal"])
            at, z = down, deep
        end = min(-plan.lintel, z - 1)
        self._level(self.head_y, wide, (-at, -at), (z, end), self.surfaces["reveal"])
        if plan.lintel < plan.depth:
            top = max(plan.inner_ceiling_y - float(self.head_y(x).mean()), 0.0)
            self._level(self.head_y, wide, (-at, top + 5), (end, end), self.surfaces["reveal"])
        if profile.casing:
            back, width, proud, surface = profile.casing
            a = x + np.array([-1, 1]) * (back + width)
            self._level(self.head_y, a, (back, back + width), (proud, proud), surface)
            for shift in (back, back + width):
                self._level(self.head_y, a, (shift, shift), (0, proud), surface)

    # -- behind and before ---------------------------------------------------------------------------------------------------

    def _quad(self, corners: list[list[float]], surface: Surface, axes: tuple[int, int]) -> None:
        points = np.array(corners, float)
        self.build.quad(points, surface, points[:, list(axes)])

    def _inner(self) -> None:
        plan, get = self.plan, self.surfaces
        spare = 60.0
        x0, x1 = -plan.wider[0] - spare, plan.opening.width_mm + plan.wider[1] + spare
        low = plan.inner_floor_y if not (self.high and plan.wall) else plan.floor_y
        low = min(low, plan.floor_y) if plan.bottom != "tub" else plan.floor_y
        floor = low if plan.bottom != "tub" else plan.inner_floor_y
        top = plan.ceiling_y if plan.head != "lintel" else plan.inner_ceiling_y
        far, near = -plan.depth, 0.0 if plan.head != "lintel" else -plan.lintel
        top = top + 60 if plan.lintel >= plan.depth else top
        self._quad([[x0, low, far], [x1, low, far], [x1, top, far], [x0, top, far]], get["back"], (0, 1))
        over = get["ceiling" if plan.head == "lintel" else "inner ceiling"]
        if plan.lintel < plan.depth or plan.head != "lintel":
            self._quad([[x0, top, near], [x1, top, near], [x1, top, far], [x0, top, far]], over, (0, 2))
        start = 0.0 if plan.bottom in ("floor", "saddle") else -20.0
        start = -plan.wall if plan.wall and plan.bottom == "sill" else start
        if plan.bottom == "saddle":
            start = -plan.ledge_depth
        self._quad([[x0, floor, start], [x1, floor, start], [x1, floor, far], [x0, floor, far]], get["inner floor"], (0, 2))
        if plan.wall:
            for x in (x0, x1):
                self._quad([[x, low, -plan.wall], [x, low, far], [x, top, far], [x, top, -plan.wall]], get["back"], (2, 1))

    def _room(self) -> None:
        plan, get = self.plan, self.surfaces
        x0, x1, z1 = -plan.beyond[0], plan.opening.width_mm + plan.beyond[1], plan.length
        low, top, back = plan.floor_y, plan.ceiling_y, 0.0
        for a, b in ((x0, -plan.band[0] + 5), (x1, plan.opening.width_mm + plan.band[0] - 5)) if plan.band else ():
            if (b - a) * (1 if a == x0 else -1) > 0:  # under and over the part that lies deeper
                self._quad([[a, low, 0], [b, low, 0], [b, low, -15], [a, low, -15]], get["floor"], (0, 2))
                self._quad([[a, top, 0], [b, top, 0], [b, top, -15], [a, top, -15]], get["ceiling"], (0, 2))
                self._quad([[a, low, 0], [a, low, -15], [a, top, -15], [a, top, 0]], get["walls"], (2, 1))
        self._quad([[x0, low, z1], [x1, low, z1], [x1, low, back], [x0, low, back]], get["floor"], (0, 2))
        self._quad([[x0, top, back], [x1, top, back], [x1, top, z1], [x0, top, z1]], get["ceiling"], (0, 2))
        for x in (x0, x1):
            self._quad([[x, low, z1], [x, low, back], [x, top, back], [x, top, z1]], get["walls"], (2, 1))
        self._quad([[x1, low, z1], [x0, low, z1], [x0, top, z1], [x1, top, z1]], get["walls"], (0, 1))
