"""The opening as a plane figure: what each reading would be, as a function of a few unknowns.

Frame of the curb, millimetres; slopes in mm/m. Left wall x = l y + b_l 4 t (1 - t), right wall x = w + r y - b_r 4 t (1 - t),
t = y / h, head y = h + s x, sagging head and curb together + c at the middle, gravity's up (g, 1):

    w  width at the foot     l, r  slopes of the walls      h, s  height at the left and slope of the head
    g  level of the curb     b_l, b_r  bows (+ into the opening)      c  middle height over the mean of both

    taper = r - l,  rack = (l + r) / 2,  curb level = g,  lean left = l - g,  lean right = -(r - g)
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vision.gaussian import Array

UNKNOWNS = ("w", "l", "r", "h", "s", "g", "b_l", "b_r", "c")
STRAIGHT = ("b_l", "b_r", "c")
"""unknowns that are near zero for what is built straight; a weak prior is all that is known of them"""
FIGURE_QUANTITIES = (
    "width_top", "width_middle", "width_bottom", "height_left", "height_middle", "height_right", "diagonal_rising",
    "diagonal_falling", "taper", "rack", "lean_left", "lean_right", "curb_level", "bow_left", "bow_right", "plumb_rectangle",
)  # fmt: skip
SLOPES = frozenset({"taper", "rack", "lean_left", "lean_right", "curb_level"})
"""quantities in mm/m; all others in mm"""
_STEP = 1e-30
"""imaginary step of the derivatives: no difference is taken, so none is lost"""
_GRID = 41
"""heights at which the walls are sampled for the plumb rectangle"""

Numbers = NDArray[Any]


@dataclass(frozen=True)
class Places:
    """Where readings were taken, mm: `at_mm` of widths above the curb, `over_mm` of level readings."""

    at_mm: Mapping[str, float]
    over_mm: Mapping[str, float] = field(default_factory=dict)
    height_mm: float = 2000.0
    width_mm: float = 1500.0


@dataclass(frozen=True)
class Linear:
    """Functions linearised at a state: values and derivatives by UNKNOWNS, shapes (n,) and (n, 9)."""

    values: Array
    jacobian: Array


def readings_of(x: Numbers, places: Places) -> dict[str, Any]:
    """Every reading there is, mm, for this state (shape (9,), real or complex)."""
    w, slope_l, slope_r, h, s, g, b_l, b_r, c = x
    left, right, head, up = slope_l / 1000, slope_r / 1000, s / 1000, g / 1000
    y_left, y_right = h / (1 - head * left), (h + head * w) / (1 - head * right)
    top_left, top_right = left * y_left, w + right * y_right

    def width(y: float) -> Any:
        return w + (right - left) * y - (b_l + b_r) * _belly(y / places.height_mm)

    def plumb(side: str, lean: Any, bow: Any) -> Any:
        over = places.over_mm.get(f"plumb_{side}", places.height_mm)
        return lean * over + bow * _belly(min(1.0, over / places.height_mm))

    def bow(side: str, amount: Any) -> Any:
        over = places.over_mm.get(f"bow_{side}", places.height_mm)
        return amount * min(1.0, over / places.height_mm) ** 2

    return {name: width(y) for name, y in places.at_mm.items()} | {
        "height_left": np.sqrt(top_left**2 + y_left**2),
        "height_right": np.sqrt((top_right - w) ** 2 + y_right**2),
        "height_middle": h + head * w / 2 + c,
        "diagonal_rising": np.sqrt(top_right**2 + y_right**2),
        "diagonal_falling": np.sqrt((w - top_left) ** 2 + y_left**2),
        "plumb_left": plumb("left", left - up, b_l),
        "plumb_right": plumb("right", up - right, b_r),
        "curb_level": up * places.over_mm.get("curb_level", places.width_mm),
        "bow_left": bow("left", b_l),
        "bow_right": bow("right", b_r),
    }


def quantities_of(x: Numbers, places: Places) -> dict[str, Any]:
    """FIGURE_QUANTITIES for this state: lengths in mm, slopes in mm/m."""
    readings = readings_of(x, places)
    _, left, right, _, _, g, b_l, b_r, _ = x
    known = {name: value for name, value in readings.items() if name in FIGURE_QUANTITIES}
    return known | {
        "taper": right - left,
        "rack": (left + right) / 2,
        "lean_left": left - g,
        "lean_right": g - right,
        "curb_level": g,
        "bow_left": b_l,
        "bow_right": b_r,
        "plumb_rectangle": _plumb_rectangle(x, places.height_mm),
    }


def _belly(t: float) -> float:
    return 4 * t * (1 - t)


def _plumb_rectangle(x: Numbers, height: float) -> Any:
    """Width of the widest rectangle with plumb sides between the walls over this height."""
    w, left, right, _, _, g, b_l, b_r, _ = x
    y = np.linspace(0.0, height, _GRID)
    belly = _belly(y / height)  # type: ignore[arg-type]
    inner_left = (left - g) / 1000 * y + b_l * belly
    inner_right = w + (right - g) / 1000 * y - b_r * belly
    return inner_right[np.argmin(inner_right.real)] - inner_left[np.argmax(inner_left.real)]


def linear(function: Callable[[Numbers, Places], Mapping[str, Any]], x: Array, places: Places, names: Sequence[str]) -> Linear:
    """Values and derivatives of these functions at the state `x`."""
    jacobian = np.zeros((len(names), len(x)))
    for k in range(len(x)):
        moved = x.astype(np.complex128)
        moved[k] += 1j * _STEP
        out = function(moved, places)
        jacobian[:, k] = [np.imag(out[name]) / _STEP for name in names]
    out = function(x.astype(np.complex128), places)
    return Linear(np.array([float(np.real(out[name])) for name in names]), jacobian)


def start(
    values: Mapping[str, float], at_mm: Mapping[str, float], height_mm: float | None, margin_mm: float
) -> tuple[Array, Places]:
    """A first state and the places for these values (mm by reading name): a rectangle of about this size.

    Widths without a stated place are taken as the photo takes them: `margin_mm` below the head, in the middle, `margin_mm`
    above the curb.
    """
    width = _mean([v for n, v in values.items() if n.startswith("width")])
    height = _mean([v for n, v in values.items() if n.startswith("height")]) or height_mm
    diagonal = _mean([v for n, v in values.items() if n.startswith("diagonal")])
    if width and diagonal and not height and diagonal > width:
        height = float(np.sqrt(diagonal**2 - width**2))
    height = height or 2000.0
    if not width:
        width = float(np.sqrt(diagonal**2 - height**2)) if diagonal and diagonal > height else 1500.0
    usual = {"width_top": height - margin_mm, "width_middle": height / 2, "width_bottom": margin_mm}
    x = np.zeros(len(UNKNOWNS))
    x[UNKNOWNS.index("w")], x[UNKNOWNS.index("h")] = width, height
    return x, Places(usual | dict(at_mm), height_mm=height, width_mm=width)


def _mean(values: Sequence[float]) -> float | None:
    return float(np.median(values)) if values else None
