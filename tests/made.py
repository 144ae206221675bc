"""Reports made by hand: one opening of the guest house, room 3, with the numbers that a check would give."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from vision.errors import CannotMeasure, Finding
from vision.gaussian import Gaussian
from vision.geometry.opening import QUANTITIES, SIZES, CardSeen, Opening, PhotoGeometry, WallShape
from vision.judge.verdicts import Comparison, Explanation, Order, ReadingVerdict, Reason
from vision.photo.intake import Photo
from vision.report.record import Report

WIDTH_MM, HEIGHT_MM, SLOPE = 1428.0, 1990.0, 2.0
PX_PER_MM = 0.4
ORIGIN_PX = (120.0, 900.0)
"""where the foot of the left wall is seen in the made photo"""

MEAN = {
    "width_top": 1430.0, "width_middle": 1429.0, "width_bottom": 1428.0, "height_left": 1990.0, "height_right": 1991.5,
    "diagonal_rising": 2449.0, "diagonal_falling": 2450.0, "width_over_height": 0.718, "top_over_bottom_width": 1.0014,
    "left_over_right_height": 0.9992, "lean_left": -1.5, "lean_right": 0.5, "bow_left": 0.4, "bow_right": -0.7,
    "taper": 1.0, "rack": -0.6, "curb_level": 0.4, "curb_against_head": 1.05, "plumb_rectangle": 1425.0,
}  # fmt: skip


def opening(
    names: tuple[str, ...] = QUANTITIES, *, not_measured: dict[str, CannotMeasure] | None = None, scale_refused: bool = False
) -> Opening:
    """An opening with these quantities; two sources of error, so that the budget has something to add up."""
    rng = np.random.default_rng(3)
    unit = np.array([0.0005 if "over" in name else 1.0 for name in names])[:, None]
    sources = {"edges": unit * rng.normal(0.0, 0.8, (len(names), 4)), "card size": unit * rng.normal(0.0, 0.6, (len(names), 2))}
    quantities = Gaussian(names, np.array([MEAN[name] for name in names]), sources)
    return Opening(
        quantities=quantities,
        shape=None,
        at_mm={"width_top": 1965.0, "width_middle": 995.0, "width_bottom": 25.0},
        vertical="plumb line",
        has_head=True,
        scale_refused=scale_refused,
        not_measured=not_measured or {},
        cards=(card(1), card(2, x_mm=1550.0, used=False)),
        photos=(geometry(),),
        height_mm=HEIGHT_MM,
        smallest_width_mm=1428.0,
        wall_shapes={"left": wall_shape(-1.5, 0.4), "right": wall_shape(0.5, -0.7)},
    )


def wall_shape(lean_mm_per_m: float, bow_mm: float) -> WallShape:
    """A parabola whose u grows to 1 mm at the top."""
    tau = np.linspace(0.0, 1.0, 5)
    return WallShape(HEIGHT_MM * tau, lean_mm_per_m * HEIGHT_MM / 1000 * tau + 4 * bow_mm * tau * (1 - tau), tau.copy(), "plumb")


def card(number: int, *, x_mm: float = -180.0, used: bool = True) -> CardSeen:
    corners = np.array([to_px(x_mm + dx, 900.0 + dy) for dx, dy in ((0, 0), (86, 0), (86, 54), (0, 54))])
    return CardSeen(number, 1, "id-1", corners, offset_mm=-0.76, u_offset_mm=2.06, used=used)


def to_px(x_mm: float, y_mm: float) -> tuple[float, float]:
    return (ORIGIN_PX[0] + PX_PER_MM * x_mm, ORIGIN_PX[1] - PX_PER_MM * y_mm)


def geometry() -> PhotoGeometry:
    """A camera that looks straight at the wall."""
    H = np.array([[PX_PER_MM, 0.0, ORIGIN_PX[0]], [0.0, -PX_PER_MM, ORIGIN_PX[1]], [0.0, 0.0, 1.0]])
    a, b, c, d = (np.array(to_px(x, y)) for x, y in ((0, 0), (WIDTH_MM, 0), (WIDTH_MM + SLOPE, HEIGHT_MM), (0, HEIGHT_MM)))
    edges = {"left": np.stack([a, d]), "right": np.stack([b, c]), "curb": np.stack([a, b]), "head": np.stack([d, c])}
    return PhotoGeometry(width=800, height=1000, edges_px=edges, H_image_wall=H)


def photo(name: str = "room3.jpg") -> Photo:
    """Light wall, dark opening."""
    pixels = np.full((1000, 800, 3), 215, dtype=np.uint8)
    (x0, y1), (x1, y0) = to_px(0.0, 0.0), to_px(WIDTH_MM, HEIGHT_MM)
    pixels[round(y0) : round(y1), round(x0) : round(x1)] = (70, 80, 90)
    return Photo(name=name, sha256="0" * 64, pixels=pixels, focal_35mm=26.0)


def verdict(name: str, slip_mm: float = 0.0, **changes: object) -> ReadingVerdict:
    """A reading `slip_mm` longer than the photo has it."""
    made = ReadingVerdict(
        name=name,
        text="56 1/4" if name.startswith("width") else "78 3/8",
        tape_mm=MEAN[name] + slip_mm,
        u_tape_mm=1.1,
        photo_mm=MEAN[name],
        u_photo_mm=1.6,
        difference_mm=slip_mm,
        verdict="suspect" if slip_mm else "agrees",
        smallest_visible_slip_mm=8.2,
        smallest_visible_common_slip_mm=9.9,
        explanations=(Explanation("slip", (name,), slip_mm, 2.0, f"{name} reads 1 in long"),) if slip_mm else (),
    )
    return replace(made, **changes)  # type: ignore[arg-type]


def ready() -> Report:
    """Every reading agrees, nothing was found: ready."""
    names = SIZES[:5]
    order = Order("ready", governing_width_mm=1428.0, next=("Order the glass to the governing width.",))
    return Report(opening(), Comparison({name: verdict(name) for name in names}), (), order, None, (photo(),))


def hold() -> Report:
    """The width at the top reads an inch long."""
    readings = {name: verdict(name, 25.4 if name == "width_top" else 0.0) for name in SIZES[:5]}
    reason = Reason("suspect-reading", "width top reads 1 in longer than the photo has it", "Measure the width at the top again.")
    order = Order("hold", governing_width_mm=None, reasons=(reason,), next=("Measure the width at the top again.",))
    return Report(opening(), Comparison(readings), (), order, None, (photo(),))


def refusal(code: str = "needs-corners") -> CannotMeasure:
    return CannotMeasure(
        "trace", code, found="no corners", needed="four rough corners", remedy="give --corners, as the README shows"
    )


def scale_refused() -> Report:
    """A card on the back wall: shape only, no reading suspect."""
    shape_only = tuple(n for n in QUANTITIES if "over" in n or n in ("taper", "rack", "curb_level", "curb_against_head"))
    why = CannotMeasure("cards", "card-plane", found="card 1 inside the outline", needed="its plane", remedy="state the offset")
    lost = {name: why for name in QUANTITIES if name not in shape_only}
    finding = Finding("card-plane", "card 1 lies inside the outline", "say how far behind the opening it is")
    readings = {
        name: verdict(
            name, verdict="cannot tell", photo_mm=None, u_photo_mm=None, difference_mm=None,
            smallest_visible_slip_mm=None, smallest_visible_common_slip_mm=None,
        )
        for name in SIZES[:3]
    }  # fmt: skip
    order = Order("hold", 1428.0, (Reason(finding.code, finding.text, finding.next),), ("State the offset of card 1.",))
    made = opening(shape_only, not_measured=lost, scale_refused=True)
    return Report(replace(made, vertical=None), Comparison(readings), (finding,), order, None, (photo(),))


def failed(code: str = "needs-corners") -> Report:
    """Nothing could be measured; the tape is judged all the same."""
    readings = {
        "width_top": verdict(
            "width_top", verdict="cannot tell", photo_mm=None, u_photo_mm=None, difference_mm=None,
            smallest_visible_slip_mm=None, smallest_visible_common_slip_mm=None,
        )
    }  # fmt: skip
    why = refusal(code)
    order = Order("hold", 1430.0, (Reason(code, why.found, why.remedy),), (why.remedy,))
    photos = () if code in ("not-an-image", "too-large") else (photo(),)
    return Report(None, Comparison(readings), (), order, why, photos)
