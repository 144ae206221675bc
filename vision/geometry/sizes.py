"""The adjusted state -> widths, heights, diagonals, proportions, leans, bow, level, with one joint covariance.

In the frame of the curb: left wall x = b_L y + c_L 4 tau (1 - tau), right wall x = W + b_R y + c_R 4 tau (1 - tau), tau = y / H,
head y = H + s x, up = (g, 1). Then taper = b_R - b_L, rack = (b_L + b_R)/2, curb level = g, lean left = b_L - g,
lean right = -(b_R - g); the identities of the contract hold exactly.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from vision.gaussian import Gaussian
from vision.geometry.adjustment import Solution
from vision.geometry.depth import at_door_line
from vision.geometry.model import BL, BR, CL, CR, H0, SH, W0, G
from vision.geometry.opening import OTHERS, PROPORTIONS, SIZES, WIDTHS

Array = NDArray[np.float64]
RECTANGLE_GRID = 81
"""heights at which the walls are sampled for the plumb rectangle"""


def wall_x(opening: Array, y: Array | float, side: str, chord: float) -> Array:
    """x of a wall at height y above the curb, mm."""
    slope, bow, foot = (BL, CL, 0.0) if side == "left" else (BR, CR, opening[W0])
    tau = np.asarray(y, dtype=np.float64) / chord
    return np.asarray(foot + opening[slope] * y + opening[bow] * 4 * tau * (1 - tau))


def corners(opening: Array) -> Array:
    """Bottom-left, bottom-right, top-right, top-left of the opening, shape (4, 2) mm (walls by their chords)."""
    top = []
    for foot, slope in ((0.0, opening[BL]), (opening[W0], opening[BR])):
        y = (opening[H0] + opening[SH] * foot) / (1 - opening[SH] * slope)
        top.append((foot + slope * y, y))
    return np.array([(0.0, 0.0), (opening[W0], 0.0), top[1], top[0]])


def size_functions(
    at_mm: Mapping[str, float], has_head: bool, chord_mm: float, gravity: bool
) -> dict[str, Callable[[Array], float]]:
    """Every quantity that can be had, as a function of the opening's parameters (lengths mm, slopes mm/m)."""

    def chord(o: Array) -> float:
        return float(o[H0]) if has_head else chord_mm

    def width(y: float) -> Callable[[Array], float]:
        return lambda o: float(wall_x(o, y, "right", chord(o)) - wall_x(o, y, "left", chord(o)))

    def between(i: int, j: int) -> Callable[[Array], float]:
        return lambda o: float(np.linalg.norm(corners(o)[i] - corners(o)[j]))

    out: dict[str, Callable[[Array], float]] = {name: width(y) for name, y in at_mm.items()}
    if has_head:
        out |= {
            "height_left": between(0, 3),
            "height_right": between(1, 2),
            "diagonal_rising": between(0, 2),
            "diagonal_falling": between(1, 3),
        }
        out["curb_against_head"] = lambda o: 1000 * float(o[SH])
        out["left_over_right_height"] = lambda o: out["height_left"](o) / out["height_right"](o)
        if "width_middle" in at_mm:
            out["width_over_height"] = lambda o: 2 * out["width_middle"](o) / (out["height_left"](o) + out["height_right"](o))
    if "width_top" in at_mm and "width_bottom" in at_mm:
        out["top_over_bottom_width"] = lambda o: out["width_top"](o) / out["width_bottom"](o)
    out["taper"] = lambda o: 1000 * float(o[BR] - o[BL])
    out["rack"] = lambda o: 500 * float(o[BR] + o[BL])
    out["bow_left"] = lambda o: float(o[CL])
    out["bow_right"] = lambda o: -float(o[CR])
    if gravity:
        out["curb_level"] = lambda o: 1000 * float(o[G])
        out["lean_left"] = lambda o: 1000 * float(o[BL] - o[G])
        out["lean_right"] = lambda o: -1000 * float(o[BR] - o[G])
        out["plumb_rectangle"] = lambda o: plumb_rectangle(o, chord(o))
    return out


def plumb_rectangle(o: Array, height: float) -> float:
    """Width of the widest rectangle with plumb sides between the walls over this height, mm."""
    y = np.linspace(0.0, height, RECTANGLE_GRID)
    left = wall_x(o, y, "left", height) - o[G] * y
    right = wall_x(o, y, "right", height) - o[G] * y
    return float((right.min() - left.max()) / np.sqrt(1 + o[G] ** 2))


def jacobian_of(solution: Solution, functions: Mapping[str, Callable[[Array], float]]) -> tuple[tuple[str, ...], Array, Array]:
    """Names in the order of QUANTITIES, values (m,) and derivatives by the whole state (m, n) of functions of the opening."""
    order = [n for n in (*SIZES, *PROPORTIONS, *OTHERS) if n in functions]
    o = solution.state.opening
    mean = np.array([functions[n](at_door_line(o)) for n in order])
    jacobian = np.zeros((len(order), solution.layout.size))
    steps = np.array([0.01, 1e-6, 0.01, 1e-6, 0.01, 0.01, 1e-6, 1e-6, 0.01, 0.01, 1e-6, 1e-6, 1e-6])
    for k, h in enumerate(steps):
        up, down = o.copy(), o.copy()
        up[k] += h
        down[k] -= h
        jacobian[:, solution.layout.opening.start + k] = _difference(functions, order, up, down) / (2 * h)
    return tuple(order), mean, jacobian


def propagate(solution: Solution, functions: Mapping[str, Callable[[Array], float]]) -> Gaussian:
    """All functions of the opening (at the door line) with their joint covariance by source, first order."""
    order, mean, jacobian = jacobian_of(solution, functions)
    sources = {s: f for s, f in solution.factors(jacobian).items() if s == "tape" or float(np.abs(f).max(initial=0)) > 1e-12}
    return Gaussian(order, mean, {s: _tidy(f) for s, f in sources.items()})


def _difference(functions: Mapping[str, Callable[[Array], float]], order: Sequence[str], up: Array, down: Array) -> Array:
    """What the functions make of one state more than of another, (m,)."""
    up, down = at_door_line(up), at_door_line(down)
    return np.array([functions[n](up) - functions[n](down) for n in order])


def _tidy(factor: Array) -> Array:
    return np.ascontiguousarray(factor)


def with_free_scale(sizes: Gaussian) -> Gaussian:
    """Sizes whose common scale is unknown: one more source of relative sd 1."""
    return sizes.with_source("scale", sizes.mean[:, None].copy())


def width_heights(
    height_mm: float, margin_mm: float, stated: Mapping[str, float], defaults: Sequence[str] = WIDTHS
) -> dict[str, float]:
    """Heights above the curb at which the widths are taken: as the readings state them, else top, middle and bottom."""
    usual = {"width_top": height_mm - margin_mm, "width_middle": height_mm / 2, "width_bottom": margin_mm}
    return {name: float(stated.get(name, usual[name])) for name in WIDTHS if name in stated or name in defaults}
