"""Which known slip: the catalogue as data, signatures, and what is listed."""

from __future__ import annotations

import pytest

from tests.judge.taped import GOOD, PLUMB, closed, taped
from tests.tolerances import EXACT
from vision.judge.catalogue import catalogue
from vision.judge.compare import Judgement
from vision.judge.signatures import SIGNATURES, digits_of, written
from vision.judge.slips import MOST, name_slips
from vision.judge.verdicts import Comparison, Slip
from vision.tape.notation import parse_length

INCH = 25.4


def truths(signature: str, text: str, unit: str = "in") -> list[float]:
    """What a reading may have been, in its unit."""
    length = parse_length(text, where="reading", unit=unit)
    return sorted(round(mm / (INCH if unit == "in" else 1.0), 9) for mm in SIGNATURES[signature](written(length)))


def slips(readings: dict[str, str]) -> tuple[Slip, ...]:
    one, found = taped(readings), closed(readings)
    lengths = {name: written(length) for name, length in one.lengths.items()}
    return name_slips(Judgement(Comparison({})), found, one.everything, lengths, {n: v.value_mm for n, v in one.levels.items()})


@pytest.mark.parametrize(
    ("signature", "text", "unit", "expected"),
    [
        ("transposed", "67 1/4", "in", [76.25]),
        ("transposed", "1244", "mm", [1424.0, 1442.0, 2144.0, 4214.0, 4241.0]),
        ("transposed", "60", "in", []),
        ("upside-down", "99", "in", [66.0]),
        ("upside-down", "68 1/2", "in", [89.5]),
        ("upside-down", "57", "in", []),
        ("far-side", "56 5/8", "in", [56.375]),
        ("far-side", "56 1/2", "in", []),
        ("far-side", "56.13", "in", []),
        ("long-tick", "56 7/8", "in", [56.625]),
        ("long-tick", "56 1/4", "in", []),
        ("half-fraction", "56 1/4", "in", [56.125, 56.5]),
        ("half-fraction", "56 3/4", "in", [56.375]),
        ("sixteenths", "59.13", "in", [59.8125]),
        ("sixteenths", "59.3", "in", [59.1875]),
        ("sixteenths", "59.5", "in", []),
        ("sixteenths", "59.75", "in", []),
        ("sixteenths", "59.17", "in", []),
        ("sixteenths", "1422.3", "mm", []),
        ("run-together", "56 1/8", "in", [66.125]),
        ("run-together", "510", "mm", [70.0]),
        ("run-together", "5' 6", "in", []),
        ("tenths", "5' 6\"", "in", [67.2]),
        ("tenths", "66", "in", []),
    ],
)
def test_signatures_give_back_what_was_meant(signature: str, text: str, unit: str, expected: list[float]) -> None:
    """Each slip undone on a reading that it may have made, and nothing where it cannot have."""
    assert truths(signature, text, unit) == pytest.approx(expected, abs=EXACT)


def test_a_misread_digit_is_one_digit_of_its_pair() -> None:
    """6 for 9, 1 for 7, 3 for 8, in one place at a time."""
    length = written(parse_length("63", where="reading", unit="mm"))
    assert sorted(digits_of(("69", "17", "38"))(length)) == pytest.approx([68.0, 93.0], abs=EXACT)


def test_a_mark_is_kept_where_a_number_is_undone() -> None:
    """Light stays light."""
    light = written(parse_length("67 1/4 light", where="reading", unit="in"))
    assert next(iter(SIGNATURES["transposed"](light))) == pytest.approx(76.25 * INCH - INCH / 32, abs=EXACT)


def test_every_entry_of_the_catalogue_is_complete() -> None:
    """Codes once each, words, a question, how it is confirmed, and a signature that is known."""
    entries = catalogue()
    assert len({one.code for one in entries}) == len(entries)
    known = {*SIGNATURES, "add", "range", "shared", "ratio", "swapped", "turned", "digits", "unseen"}
    for one in entries:
        assert one.signature in known
        assert one.says
        assert one.confirmed
        assert one.ask.rstrip(".").endswith("?") or one.signature == "unseen"
        assert one.readings
        assert one.together
        assert bool(one.amounts_mm) == (one.signature in ("add", "range", "shared"))


def test_readings_that_close_have_no_slips() -> None:
    """Nothing wrong, nothing named."""
    assert slips(GOOD | PLUMB) == ()


def test_an_inch_on_the_top_width_is_named_first_with_its_question() -> None:
    """Plumb of both walls and the diagonals speak against the top width alone."""
    found = slips(GOOD | PLUMB | {"width_top": "48 7/16"})
    assert (found[0].code, found[0].readings, found[0].exact) == ("inch-kept", ("width_top",), True)
    assert found[0].amount_mm == pytest.approx(INCH, abs=EXACT)
    assert "one-inch mark?" in found[0].question


def test_exact_slips_come_first_and_the_list_is_short() -> None:
    """Fitted amounts after fixed ones, what is only possible after what is named, never more than a screen."""
    found = slips(GOOD | PLUMB | {name: GOOD[name].replace("47", "48") for name in GOOD if name.startswith("width")})
    order = [(slip.named, slip.exact) for slip in found]
    assert order == sorted(order, reverse=True)
    assert 1 < len(found) <= MOST


def test_what_fits_nothing_ends_as_no_known_slip() -> None:
    """Nine sixteenths on a width of whole inches."""
    found = slips(GOOD | PLUMB | {"width_top": "48"})
    assert [slip.code for slip in found] == ["none"]
    assert found[0].text.startswith("No known slip fits")


def test_an_inch_known_too_vaguely_is_not_said_to_fit_nothing() -> None:
    """Without plumb readings a middle width is known to 8 mm: an inch would close the figure, so that is not denied."""
    read = {"width_top": "55 13/16", "width_middle": "56 7/8", "width_bottom": "55 15/16", "height_left": "78 3/16"}
    found = slips(read | {"height_right": "78 3/16", "diagonal_rising": "96 3/16", "diagonal_falling": "96 1/16"})
    assert [(slip.code, slip.readings, slip.named) for slip in found] == [("none", ("width_middle",), False)]
    assert "is known to 11/32 in (8.5 mm) either way at 95 %" in found[0].text
    assert "What follows" not in found[0].text


def test_an_inch_that_is_only_roughly_an_inch_is_possible_not_named() -> None:
    """Two sixteenths off an inch: a random error would have matched as well; the question is still there to be asked."""
    found = slips(GOOD | PLUMB | {"width_top": "48 5/16"})
    assert (found[0].code, found[0].named) == ("none", False)
    assert "well enough to be named" in found[0].text
    assert "either way" in found[0].text
    assert "inch-kept" in {slip.code for slip in found[1:]}
    assert all(not slip.named and slip.text.startswith("Possible: ") for slip in found[1:])


def test_where_another_kind_of_slip_fits_as_well_none_is_named() -> None:
    """A foot on the left height leaves nearly the figure that a diagonal with its digits changed over would: both may be."""
    found = slips(GOOD | {"height_left": "88"})
    assert found[0].code == "none"
    assert "nearly alike" in found[0].text
    assert {"wrong-foot", "transposed"} <= {slip.code for slip in found[1:]}
    assert not any(slip.named for slip in found)


def test_two_slips_at_once_are_named_together() -> None:
    """An inch on the top width and a transposed height: neither alone brings agreement."""
    extra = {"curb_level": "level", "height_middle": "76"}
    found = slips(GOOD | PLUMB | extra | {"width_top": "48 7/16", "height_right": "67"})
    assert (found[0].code, found[0].readings) == ("inch-kept+transposed", ("width_top", "height_right"))


def test_a_factor_on_everything_is_never_named_by_the_tape_alone() -> None:
    """It leaves the figure's shape alone and would only shrink what does not close."""
    found = slips({"width_bottom": "60 3/4", "width_top": "60 3/4", "height_left": "58", "height_right": "58",
                   "diagonal_rising": "83 1/4", "diagonal_falling": "83 1/4"})  # fmt: skip
    assert "wrong-unit" not in {slip.code for slip in found if len(slip.readings) == 6}
