"""The opening's outline in the plane of the wall face, and every size that a tape could take of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

FROM_EDGE_MM = 25.0  # the bottom width is taken this far above the curb, the top width this far below the head


@dataclass(frozen=True)
class Opening:
    width_mm: float  # between the feet of the walls, level
    height_mm: float  # of the left wall's top above its foot, plumb
    lean_left: float = 0.0  # mm/m, + = top into the opening
    lean_right: float = 0.0
    bow_left_mm: float = 0.0  # mid-height excess against the chord, + into the opening
    bow_right_mm: float = 0.0
    curb_level: float = 0.0  # mm/m, + = right higher
    head_slope: float = 0.0  # mm/m, + = right higher
    head: bool = True  # False: the walls run on to a ceiling that is out of view, height_mm is the height asked about

    @cached_property
    def corners(self) -> np.ndarray:
        """(4, 2) bottom-left, bottom-right, top-right, top-left."""
        bottom_right = np.array([self.width_mm, self.curb_level * self.width_mm / 1000])
        top_left = np.array([self.lean_left * self.height_mm / 1000, self.height_mm])
        slope, lean = self.head_slope / 1000, self.lean_right / 1000
        if not self.head:
            slope = self.curb_level / 1000
        # x = x_br - lean (y - y_br) and y = y_tl + slope (x - x_tl)
        x = (bottom_right[0] - lean * (top_left[1] - slope * top_left[0] - bottom_right[1])) / (1 + lean * slope)
        top_right = np.array([x, top_left[1] + slope * (x - top_left[0])])
        return np.stack([np.zeros(2), bottom_right, top_right, top_left])

    def left(self, y: np.ndarray) -> np.ndarray:
        bl, _, _, tl = self.corners
        return _wall(bl, tl, self.bow_left_mm, y)

    def right(self, y: np.ndarray) -> np.ndarray:
        _, br, tr, _ = self.corners
        return _wall(br, tr, -self.bow_right_mm, y)

    def edges(self, count: int = 25) -> dict[str, np.ndarray]:
        """Points along each edge from end to end, (count, 2); curb and head left to right, walls upward."""
        bl, br, tr, tl = self.corners
        t = np.linspace(0, 1, count)[:, None]
        y_left, y_right = np.linspace(bl[1], tl[1], count), np.linspace(br[1], tr[1], count)
        found = {
            "left": np.stack([self.left(y_left), y_left], 1),
            "right": np.stack([self.right(y_right), y_right], 1),
            "curb": bl + t * (br - bl),
        }
        if self.head:
            found["head"] = tl + t * (tr - tl)
        return found

    def width_at(self, above_mm: float) -> float:
        """Width along the parallel to the curb that runs above_mm above it."""
        bl, br, _, _ = self.corners
        along = (br - bl) / np.linalg.norm(br - bl)
        start = bl + above_mm * np.array([-along[1], along[0]])
        return float(_crossing(self.right, start, along) - _crossing(self.left, start, along))

    def sizes(self) -> dict[str, float]:
        bl, br, tr, tl = self.corners
        height_left, height_right = (float(np.linalg.norm(d)) for d in (tl - bl, tr - br))
        middle = (height_left + height_right) / 2
        found = {name: self.width_at(at) for name, at in self.heights_of_widths(middle).items()}
        if self.head:
            found |= {
                "height_left": height_left,
                "height_right": height_right,
                "diagonal_rising": float(np.linalg.norm(tr - bl)),
                "diagonal_falling": float(np.linalg.norm(tl - br)),
            }
        return found

    def heights_of_widths(self, height_mm: float | None = None) -> dict[str, float]:
        if height_mm is None:
            bl, br, tr, tl = self.corners
            height_mm = float(np.linalg.norm(tl - bl) + np.linalg.norm(tr - br)) / 2
        return {
            "width_bottom": FROM_EDGE_MM,
            "width_middle": height_mm / 2,
            "width_top": height_mm - FROM_EDGE_MM,
        }

    def plumb_rectangle_mm(self) -> float:
        """Widest rectangle with plumb sides between the walls."""
        bl, br, tr, tl = self.corners
        left = self.left(np.linspace(bl[1], tl[1], 2001))
        right = self.right(np.linspace(br[1], tr[1], 2001))
        return float(right.min() - left.max())

    @property
    def taper(self) -> float:
        return -(self.lean_left + self.lean_right)

    @property
    def rack(self) -> float:
        return (self.lean_left - self.lean_right) / 2 + self.curb_level


def _wall(foot: np.ndarray, top: np.ndarray, bow: float, y: np.ndarray) -> np.ndarray:
    t = (np.asarray(y, float) - foot[1]) / (top[1] - foot[1])
    inside = np.clip(t, 0, 1)
    return foot[0] + t * (top[0] - foot[0]) + 4 * bow * inside * (1 - inside)


def _crossing(wall, start: np.ndarray, along: np.ndarray) -> float:
    """Distance along a line at which it meets a wall curve x = wall(y)."""
    s = 0.0
    for _ in range(50):
        s = (float(wall(start[1] + s * along[1])) - start[0]) / along[0]
    return s
