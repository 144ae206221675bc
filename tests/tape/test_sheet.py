"""Readings from a CSV, in the orders in which people write them."""

from __future__ import annotations

import pytest

from vision.errors import BadInput
from vision.tape.facts import ALL_NAMES, Entry, facts_from_mapping
from vision.tape.sheet import BARE_ORDER, facts_from_csv, reading_name


@pytest.mark.parametrize(
    ("cell", "name"),
    [
        ("width top", "width_top"), ("Top width", "width_top"), ("W1", "width_bottom"), ("W top", "width_top"),
        ("H left", "height_left"), ("left height", "height_left"), ("D2", "diagonal_falling"), ("Plumb right", "plumb_right"),
        ("plumb_right", "plumb_right"), ("Curb level", "curb_level"), ("level", "curb_level"), ("bow left", "bow_left"),
        ("56 1/4", None), ("", None), ("hinge side", None),
    ],
)  # fmt: skip
def test_names_are_known_however_they_are_written(cell: str, name: str | None) -> None:
    """Words in either order, the numbers of a sheet, our own names; a reading is no name."""
    assert reading_name(cell) == name


def test_every_name_of_ours_is_known() -> None:
    """With blanks or underscores."""
    assert [reading_name(name.replace("_", " ")) for name in ALL_NAMES] == list(ALL_NAMES)


def test_a_list_gives_one_set_per_column() -> None:
    """Name, first reading, second reading."""
    facts = facts_from_csv("unit, in\nreading, first, second\nwidth bottom, 28 1/16, 28 1/16\nwidth top, 28 , -\nH1, 76")
    assert facts.unit == "in"
    assert facts.entries == (Entry("width_top", "28"), Entry("width_bottom", "28 1/16"), Entry("height_left", "76"))
    assert [one.entries for one in facts.second] == [(Entry("width_bottom", "28 1/16"),)]


def test_a_table_gives_one_set_per_line() -> None:
    """Names across, who measured and with which tape in columns of their own."""
    facts = facts_from_csv("by;tape;W1;W3;plumb left\nA;us;28;28 1/16;1/16 into over 72\nB;class-2;28;;")
    assert (facts.by, facts.tape) == ("A", "us")
    assert [entry.name for entry in facts.entries] == ["width_top", "width_bottom", "plumb_left"]
    assert [(one.by, one.tape, len(one.entries)) for one in facts.second] == [("B", "class-2", 1)]


def test_bare_readings_are_taken_in_the_order_of_going_round() -> None:
    """Widths from the curb up, heights, diagonals; a gap is a reading not taken."""
    facts = facts_from_csv("1424, 1423, 1422, 1902, , 2375, 2376")
    got = {entry.name: entry.text for entry in facts.entries}
    assert got == {
        "width_bottom": "1424", "width_middle": "1423", "width_top": "1422", "height_left": "1902",
        "diagonal_rising": "2375", "diagonal_falling": "2376",
    }  # fmt: skip


def test_one_bare_reading_a_line_is_one_set_in_the_same_order() -> None:
    """Under a line of the unit seven lines are seven lengths, not seven readings of the bottom width; a dash is one not taken."""
    column = "unit, in\n28 1/16\n28\n28\n76\n76\n81\n81"
    facts = facts_from_csv(column)
    assert facts.second == ()
    assert {entry.name for entry in facts.entries} == set(BARE_ORDER[:7])
    assert facts.entries == facts_from_csv("unit, in\n28 1/16, 28, 28, 76, 76, 81, 81").entries
    assert facts_from_csv(column.replace("\n", ",\n") + ",") == facts
    without = facts_from_csv("1424\n1423\n1422\n1902\n-\n2375")
    assert "height_right" not in {entry.name for entry in without.entries}
    assert without.entries[-1] == Entry("diagonal_rising", "2375")


@pytest.mark.parametrize("count", [2, 3, 4])
def test_a_few_bare_lines_may_be_one_length_and_are_asked_about(count: int) -> None:
    """Three lines may be three widths or one width three times."""
    with pytest.raises(BadInput, match="without a name") as caught:
        facts_from_csv("unit, in\n" + "28 1/16\n" * count)
    assert "width bottom" in caught.value.remedy


def test_a_column_with_decimal_commas_is_not_cut_at_them() -> None:
    """142,8 on a line of its own is one reading where the decimal comma is on."""
    facts = facts_from_csv("decimal_comma, yes\nunit, cm\n142,8\n142,7\n142,7\n198,1\n198,2")
    assert [entry.text for entry in facts.entries if entry.name == "width_bottom"] == ["142,8"]
    assert len(facts.entries) == 5


def test_inch_signs_are_no_quotation_marks() -> None:
    """Cells written 56-1/4" arrive as written, quoted or not."""
    assert facts_from_csv('W1, 56-1/4"\nW3, 56"').entries[1].text == '56-1/4"'
    assert facts_from_csv('"width top","4\' 8-1/4"""').entries == (Entry("width_top", "4' 8-1/4\""),)


def test_a_decimal_comma_goes_with_semicolons() -> None:
    """142,8 stays one cell."""
    facts = facts_from_csv("decimal_comma; yes\nunit; cm\nwidth top; 142,8\nwidth bottom; 142,7")
    assert facts.decimal_comma
    assert facts.entries[0].text == "142,8"


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("width top, 56\nwidht bottom, 56", "widht bottom"),
        ("width top, 56\nwidth top, 57", "a second time"),
        ("W1, W2, W3\n56, 56, 56, 56", "4 cells"),
        ("W1, W2, W1\n56, 56, 56", "twice"),
        ("W1, W2", "a line of names only"),
        (",".join(["56"] * (len(BARE_ORDER) + 1)), "without names"),
        ("decimal_comma, perhaps\nW1, 56", "perhaps"),
    ],
)
def test_what_cannot_be_understood_is_named(text: str, found: str) -> None:
    """Unknown and repeated names, too many cells, names without readings."""
    with pytest.raises(BadInput) as caught:
        facts_from_csv(text)
    assert found in caught.value.found


@pytest.mark.parametrize("text", ["unit,in\nW1; 56 1/4", "unit\tin\nW1, 56 1/4", "unit;in\nW1\t56 1/4"])
def test_a_setting_may_be_separated_otherwise_than_the_readings(text: str) -> None:
    """`unit, in` above readings with semicolons is the unit, not a reading."""
    facts = facts_from_csv(text)
    assert (facts.unit, facts.entries) == ("in", (Entry("width_bottom", "56 1/4"),))


def test_a_misspelt_name_is_answered_with_the_one_that_is_meant() -> None:
    """In a CSV as in a TOML file."""
    with pytest.raises(BadInput, match="; write width bottom if that is meant"):
        facts_from_csv("width top, 56\nwidht bottom, 56")
    with pytest.raises(BadInput, match="; write width_top if that is meant"):
        facts_from_mapping({"unit": "in", "readings": {"width_tpo": "56"}})


def test_an_empty_text_has_no_readings() -> None:
    """Nothing, or remarks only."""
    assert facts_from_csv("# nothing yet\n\n").entries == ()


COMMA = "unit,mm\ndecimal_comma,true\n"


@pytest.mark.parametrize(
    "body",
    [
        'width top,"1402,5","1401,5"\nwidth bottom,"1400,5"', 'width top,width bottom\n"1402,5","1400,5"\n"1401,5",',
        "width top;1402,5;1401,5\nwidth bottom;1400,5", "width top\t1402,5\t1401,5\nwidth bottom\t1400,5",
    ],
)  # fmt: skip
def test_decimal_commas_are_read_where_the_cells_can_be_told_apart(body: str) -> None:
    """In quotes between commas, or between semicolons or tabs."""
    facts = facts_from_csv(COMMA + body)
    assert facts.entries == (Entry("width_top", "1402,5"), Entry("width_bottom", "1400,5"))
    assert [one.entries for one in facts.second] == [(Entry("width_top", "1401,5"),)]


def test_a_bare_column_may_have_decimal_commas() -> None:
    """There is nothing between cells in it."""
    facts = facts_from_csv(COMMA + "1402,5\n1401\n1400,5\n1998\n1999,5")
    assert [entry.text for entry in facts.entries] == ["1400,5", "1401", "1402,5", "1998", "1999,5"]


def test_a_comma_that_may_be_either_is_refused_by_line() -> None:
    """One number or two: the line and both ways to write it are named, not another reading."""
    with pytest.raises(BadInput) as refused:
        facts_from_csv(COMMA + "width top,1402,5")
    assert "line 3" in refused.value.where
    assert "a comma may stand in a number or between two" in refused.value.found
    assert 'width top,"1402,5"' in refused.value.remedy


@pytest.mark.parametrize("blank", [",,,", ";;", " , ", "\t\t", ",,,\n,,,"])
def test_rows_of_empty_cells_are_no_rows(blank: str) -> None:
    """A spreadsheet writes them below what was filled in, and between."""
    rows = f"unit,in\n{blank}\nwidth top,55 3/16\n{blank}\nwidth bottom,55\n{blank}\n"
    assert [entry.name for entry in facts_from_csv(rows).entries] == ["width_top", "width_bottom"]


@pytest.mark.parametrize("rows", ["unit,in\nwitdh top,55 3/16", "witdh top,55 in", COMMA + 'witdh top,"1402,5"', "witdh top\n55"])
def test_a_misspelt_name_is_blamed_for_itself(rows: str) -> None:
    """On the only row too: no bare reading begins with a word."""
    with pytest.raises(BadInput, match=r"the name 'witdh top'.*write width top if that is meant"):
        facts_from_csv(rows)


def test_a_bare_reading_may_begin_with_its_mark() -> None:
    """'light 56 1/4' is a reading and no name."""
    assert facts_from_csv("unit,in\nlight 56 1/4, 56, 56").entries[-1] == Entry("width_bottom", "light 56 1/4")


def test_a_setting_twice_is_refused() -> None:
    """Neither the first nor the last wins."""
    with pytest.raises(BadInput, match="'unit' a second time"):
        facts_from_csv("unit,in\nunit,mm\nwidth top,55")
