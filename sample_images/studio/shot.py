"""One scene: all that has to be known to render it, to write down its truth and to develop it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from .camera import Camera, aimed, focal_px
from .opening import Opening
from .room import Room
from .shapes import Builder
from .things import Card, PlumbLine


@dataclass(frozen=True)
class Development:
    """From light to file. Noise is the relative standard deviation at mid grey in linear light."""

    exposure: float = 0.0  # stops on top of the automatic exposure
    blur_px: float = 0.8  # lens and sensor, standard deviation
    noise: float = 0.012
    sharpening: float = 0.4
    sharpening_px: float = 1.1
    white_balance: tuple[float, float, float] = (1.0, 1.0, 1.0)
    shading: float = 0.1  # darker corners
    largest_bytes: int = 1_400_000
    metadata: bool = True
    orientation: int = 1  # EXIF: 6 is stored sideways
    long_side_px: int | None = None  # a smaller copy
    motion_px: float = 0.0


@dataclass(frozen=True)
class Expected:
    """What a careful person would conclude. status None: not asserted."""

    status: str | None
    suspect: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()
    findings: tuple[str, ...] = ()
    cannot_measure: str | None = None


@dataclass(frozen=True)
class Shot:
    name: str
    title: str
    seed: int
    opening: Opening
    room: Room
    camera: Camera
    cards: tuple[Card, ...]
    expected: Expected
    options: tuple[str, ...]  # command line, without --corners and --plumb-line
    plumb_line: PlumbLine | None = None
    furnish: Callable[[Builder], None] = lambda build: None
    slips_mm: dict[str, float] = field(default_factory=dict)  # what a reading is wrong by
    development: Development = Development()
    note: str = ""
    equivalent_mm: float = 26.0
    readings: tuple[str, ...] = (
        "width_top",
        "width_middle",
        "width_bottom",
        "height_left",
        "height_right",
        "diagonal_rising",
        "diagonal_falling",
    )


def phone_camera(
    rng: np.random.Generator,
    opening: Opening,
    room: Room,
    *,
    distance: float | None = None,
    height: float | None = None,
    landscape: bool = False,
    equivalent_mm: float = 26.0,
    k1: float | None = None,
    k2: float | None = None,
    aside: float | None = None,
    aim_y: float | None = None,
    aim_x: float | None = None,
    roll: float | None = None,
) -> Camera:
    """A hand-held phone: whatever is not given is drawn. Height is above the floor; aim is where its axis meets the wall face."""
    width, height_px = (4032, 3024) if landscape else (3024, 4032)
    draw = rng.uniform(-1, 1, 9)
    middle = opening.corners.mean(axis=0)
    place = np.array(
        [
            middle[0] + (aside if aside is not None else 80 * draw[0]),
            (height if height is not None else 1100 + 90 * draw[1]) - room.curb_height_mm,
            distance if distance is not None else 2600 + 180 * draw[2],
        ]
    )
    target = np.array(
        [
            aim_x if aim_x is not None else middle[0] + 60 * draw[3],
            aim_y if aim_y is not None else middle[1] + 60 * draw[4],
            0.0,
        ]
    )
    return Camera(
        width=width,
        height=height_px,
        f_px=focal_px(equivalent_mm, width, height_px) * (1 + 0.03 * draw[5]),
        cx=(width - 1) / 2 + 20 * draw[6],
        cy=(height_px - 1) / 2 + 20 * draw[7],
        k1=k1 if k1 is not None else float(rng.normal(0, 0.01)),
        k2=k2 if k2 is not None else float(rng.normal(0, 0.004)),
        position_mm=place,
        rotation=aimed(place, target, roll if roll is not None else 0.8 * draw[8]),
    )


def smaller(camera: Camera, factor: float) -> Camera:
    """The same view with fewer pixels."""
    width, height = round(camera.width * factor), round(camera.height * factor)
    fx = width / camera.width
    return replace(
        camera,
        width=width,
        height=height,
        f_px=camera.f_px * fx,
        cx=(camera.cx + 0.5) * fx - 0.5,
        cy=(camera.cy + 0.5) * fx - 0.5,
    )
