"""What a photo leads one to expect of every reading: of the sizes that it gives, and of what follows from them.

A size that the photo gives is expected as it is. Any other reading (plumb, level, bow, the middle height) is a function of
the plane figure; the figure is taken from the photo, x = x0 + K (p - f(x0)), and what the photo does not fix (the vertical,
where none is in the picture; heights that are cut off) stays free: directions J N, N the null space of the photo's own
derivatives. So a reading without a counterpart still testifies through the conditions of the figure.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from vision.gaussian import Array, Gaussian
from vision.judge.plane_figure import (
    SLOPES,
    STRAIGHT,
    UNKNOWNS,
    Linear,
    Numbers,
    Places,
    linear,
    quantities_of,
    readings_of,
    start,
)
from vision.settings import Settings
from vision.settings_tape import LevelSettings

PHOTO_ROWS = (
    "width_top", "width_middle", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling",
    "taper", "rack", "lean_left", "lean_right", "curb_level", "bow_left", "bow_right",
)  # fmt: skip
SAME = frozenset(PHOTO_ROWS[:7])
"""names that mean the same for photo and tape"""
WIDTHS = frozenset(PHOTO_ROWS[:3])
"""one that the photo does not give was taken outside the opening or nobody knows where: nothing is expected of it"""
MARGIN_MM = Settings().top_margin_mm
_STEPS = 3
"""the figure is nearly linear: errors shrink by a thousand each time"""
_BENT = [UNKNOWNS.index(name) for name in STRAIGHT]


@dataclass(frozen=True)
class Expected:
    """Expected readings in mm, jointly; rows of `free` (n, k) span what the photo leaves open; `known` where that is nothing."""

    gaussian: Gaussian
    free: Array
    known: frozenset[str]


def expect(photo: Gaussian, names: Sequence[str], places: Places, settings: LevelSettings) -> Expected | None:
    """What the photo expects of these readings; None where there is nothing it could answer to.

    `photo` holds sizes in mm and slopes in mm/m under the names of PHOTO_ROWS (others are not used).
    """
    rows = [name for name in PHOTO_ROWS if name in photo.names]
    direct = [name for name in names if name in SAME and name in photo.names]
    if not direct and not any(name in SLOPES for name in rows):
        return None
    others = [name for name in names if name not in direct and name not in WIDTHS]
    ordered = [name for name in names if name in (*direct, *others)]
    taken = photo.select(direct) if direct else Gaussian((), np.zeros(0), {})
    if not others:
        return Expected(taken, np.zeros((len(direct), 0)), frozenset(direct))
    derived, free = _derived(photo.select(rows), others, places, settings)
    known = frozenset(direct) | {name for name, row in zip(others, free, strict=True) if not np.any(np.abs(row) > 1e-9)}
    both = taken.joined(derived).select(ordered)
    everything = np.vstack([np.zeros((len(direct), free.shape[1])), free])
    order = [(*direct, *others).index(name) for name in ordered]
    return Expected(both, everything[order], known)


def _derived(photo: Gaussian, others: Sequence[str], places: Places, settings: LevelSettings) -> tuple[Gaussian, Array]:
    """Readings that follow from the photo's figure, and the directions that it leaves open."""
    x, where = start(dict(zip(photo.names, map(float, photo.mean), strict=True)), places.at_mm, places.height_mm, MARGIN_MM)
    where = Places(where.at_mm, places.over_mm, where.height_mm, where.width_mm)
    for _ in range(_STEPS):
        seen = linear(_photo_rows, x, where, photo.names)
        K = np.linalg.pinv(seen.jacobian, rcond=1e-9)
        x = x + K @ (photo.mean - seen.values)
    found: Linear = linear(readings_of, x, where, others)
    bent, open_directions = _unseen(seen.jacobian)
    free = found.jacobian @ open_directions
    sources = {source: found.jacobian @ K @ factor for source, factor in photo.sources.items()}
    straight = found.jacobian @ bent * settings.straight_sd_mm
    if np.any(np.abs(straight) > 1e-9):
        sources["straightness"] = straight
    free = free[:, np.any(np.abs(free) > 1e-9, axis=0)]
    return Gaussian(tuple(others), found.values, sources), free


def _photo_rows(x: Numbers, places: Places) -> dict[str, object]:
    """Sizes as readings and slopes as quantities, by the photo's names."""
    return readings_of(x, places) | {name: value for name, value in quantities_of(x, places).items() if name in PHOTO_ROWS[7:]}


def _unseen(J: Array) -> tuple[Array, Array]:
    """Directions of the unknowns that the photo says nothing about: those of bows alone, which have a prior, and the rest."""
    bent = _null_space(J, _BENT)
    everything = _null_space(J, list(range(J.shape[1])))
    rest = everything - bent @ (bent.T @ everything)
    U, singular, _ = np.linalg.svd(rest, full_matrices=False)
    return bent, np.asarray(U[:, singular > 1e-6])


def _null_space(J: Array, columns: list[int]) -> Array:
    """Orthonormal directions within these unknowns that change nothing, shape (unknowns, k)."""
    _, singular, Vt = np.linalg.svd(J[:, columns])
    rank = int(np.sum(singular > 1e-9 * max(1.0, float(singular.max(initial=0.0)))))
    directions = np.zeros((J.shape[1], len(columns) - rank))
    directions[columns] = Vt[rank:].T
    return directions
