"""What is put up like a reference and is of no kind is said to be not used, with where and why; tiles and towels are not."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.geometry.scenery import LETTER_MM, Patch, Wall, bank_card, picture
from tests.geometry.test_cut import WHOLE, checked
from vision.check import CardCorners, CheckRequest, check
from vision.errors import Finding
from vision.geometry.not_used import speaks_of_a_patch
from vision.geometry.shapes import nearly_of_a_kind
from vision.report.record import Report, to_json
from vision.settings import CARD_KINDS

LEFT = (-320.0, 900.0)
FOLDED_MM = (LETTER_MM[0], LETTER_MM[1] - 45.0)
"""a Letter sheet of which a strip is folded back: 1.086 to 1, more than a tenth from Letter and further from A4"""


def with_patch(*patches: Patch, **wall: float) -> Report:
    return checked(picture(Wall(patches=patches, tiles_mm=wall.get("tiles_mm"))), ("letter",))


def said(report: Report) -> list[Finding]:
    assert report.opening is not None, report.cannot_measure
    return [f for f in report.opening.findings if speaks_of_a_patch(f)]


def test_a_folded_sheet_beside_a_whole_one_is_said_with_its_place_and_size() -> None:
    """card-kind, which holds nothing; the place is within a card, the sides within 3 mm."""
    of = picture(Wall(patches=(WHOLE, Patch(LEFT, FOLDED_MM))))
    (finding,) = said(checked(of, ("letter",)))
    assert (finding.code, finding.holds) == ("card-kind", False)
    x, y = of.shot.to_px(np.array([LEFT]))[0]
    px, py = (float(v) for v in finding.text.split("(")[1].split(")")[0].split(","))
    assert math.hypot(px - x, py - y) < 20
    a, _, b = finding.text.split("some ")[1].split()[:3]
    assert float(a) == pytest.approx(FOLDED_MM[0], abs=3)
    assert float(b) == pytest.approx(FOLDED_MM[1], abs=3)
    assert "nearest: letter" in finding.text


def test_it_moves_no_number_and_no_state_of_the_order() -> None:
    """The sizes are those of the photo without it, within a tenth of their uncertainty, and the order has the same reasons."""
    both, alone = with_patch(WHOLE, Patch(LEFT, FOLDED_MM)), with_patch(WHOLE)
    assert both.opening is not None
    assert alone.opening is not None
    for name in ("width_middle", "height_left"):
        of, without = both.opening.quantities, alone.opening.quantities
        assert of.value(name) == pytest.approx(without.value(name), abs=0.1 * of.u(name))
    assert [r.code for r in both.order.reasons] == [r.code for r in alone.order.reasons]
    assert said(alone) == []


def test_alone_it_is_named_in_the_refusal() -> None:
    """card-missing, with the place, the kinds looked for and what to do."""
    of = picture(Wall(patches=(Patch(LEFT, FOLDED_MM),)))
    problem = checked(of, ("letter",)).cannot_measure
    assert problem is not None
    assert problem.code == "card-missing"
    place = [float(v) for v in problem.found.split("(")[1].split(")")[0].split(",")]
    assert np.linalg.norm(place - of.shot.to_px(np.array([LEFT]))[0]) < 20
    assert "letter" in problem.found
    assert "uncut and unfolded" in problem.remedy


@pytest.mark.parametrize(
    "other",
    [
        Patch((-330.0, 900.0), (400.0, 640.0)),  # a towel
        Patch((700.0, 900.0), FOLDED_MM),  # on the back wall
        Patch((-320.0, 900.0), (120.0, 120.0)),  # a switch
    ],
)
def test_what_has_another_size_or_place_is_not_spoken_of(other: Patch) -> None:
    """No finding for a towel, a thing inside the opening, a switch plate."""
    assert said(with_patch(WHOLE, other)) == []


def test_tiles_of_nearly_a_cards_size_are_not_spoken_of() -> None:
    """A wall of 230 mm tiles beside a Letter sheet; one side of each is within a tenth of the sheet's shorter one."""
    assert said(with_patch(WHOLE, tiles_mm=230.0)) == []


def test_a_marked_card_whose_sides_cannot_be_followed_is_said() -> None:
    """Marked on the bare wall, it is not dropped without a word."""
    of = picture(Wall(patches=(WHOLE,)))
    bare = tuple((float(x), float(y)) for x, y in of.shot.to_px(Patch(LEFT, LETTER_MM).corners()))
    marked = (CardCorners(1, "letter", bare),)  # type: ignore[arg-type]  # four of them
    corners = (of.corners_px(6),)
    report = check(CheckRequest((("room.jpg", of.data),), cards=("letter",), corners=corners, card_corners=marked))  # type: ignore[arg-type]
    (finding,) = said(report)
    assert "The letter card marked near" in finding.text


def square(a: float, b: float, skew: float = 0.0) -> np.ndarray:
    return np.array([(0, 0), (a, 0), (a + skew, b), (skew, b)], dtype=float)


@pytest.mark.parametrize(
    ("plane", "scale", "kind"),
    [
        (square(85.6, 42.0), 1.0, "id-1"),  # a strip folded back
        (square(85.6 * math.cos(math.radians(20)), 53.98, skew=10.0), 1.0, "id-1"),  # one end 20 degrees off the wall
        (square(85.0, 55.0), 1.0, "id-1"),
        (square(85.6, 20.0), 1.0, None),  # less than half of it
        (square(120.0, 75.7), 1.0, None),  # its aspect, at another size
        (square(120.0, 75.7), None, "id-1"),  # where no scale is known
        (square(85.6, 53.98, skew=30.0), 1.0, None),  # no right angles
    ],
)
def test_nearly_of_a_kind_is_one_side_its_own_and_the_other_not_longer(
    plane: np.ndarray, scale: float | None, kind: str | None
) -> None:
    """By the kind's sides in millimetres where the scale is known."""
    match = nearly_of_a_kind(plane, [CARD_KINDS["id-1"]], scale)
    assert (match[0].name if match else None) == kind


def test_every_card_that_is_not_used_says_why() -> None:
    """A bank card on the back wall beside one on the wall face, and a thing of its shape at half its size: in the JSON too."""
    shrunk = Patch((1640.0, 600.0), (50.0, 31.5), (240, 240, 236))
    of = picture(Wall(patches=(bank_card(-120, 1700), bank_card(1530, 200), bank_card(700, 900), shrunk)))
    cards = to_json(checked(of, ("id-1",)))["cards"]
    reasons = [c["why_not_used"] for c in cards if not c["used"]]
    assert any("inside the opening" in why for why in reasons)
    assert all(reasons)
    assert not any("why_not_used" in c for c in cards if c["used"])
