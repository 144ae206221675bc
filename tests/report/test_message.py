"""What is written back to a customer."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from itertools import combinations, pairwise

import pytest
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from vision.report.message import COPY, HIGH, ORDER, WIDE, MessageFacts, message_svg, message_text

FONT_PX = 15


def lines(svg: str) -> list[tuple[float, float, str]]:
    """Left end, base line and words of each line of text."""
    return [
        (float(one.get("x", "nan")), float(one.get("y", "nan")), one.text or "")
        for one in ET.fromstring(svg).iter()
        if one.tag.endswith("tspan")
    ]


@pytest.mark.parametrize("code", [*ORDER, None])
def test_no_words_of_the_drawing_leave_it(code: str | None) -> None:
    """In bold Vera, a wide typeface, each line ends inside the picture, and no two lie on each other."""
    pdfmetrics.registerFont(TTFont("VeraBd", "VeraBd.ttf"))
    svg = message_svg([code] if code else [], 3)
    found = lines(svg)

    assert "A sheet of paper flat on the wall" in re.sub(r"\s+", " ", " ".join(text for _, _, text in found))
    assert all(x + pdfmetrics.stringWidth(text, "VeraBd", FONT_PX) <= WIDE - 4 for x, _, text in found)
    assert all(0 < y < HIGH - 4 for _, y, _ in found)
    heights = sorted(y for _, y, _ in found)
    assert all(b - a > FONT_PX for a, b in pairwise(heights))


AGAINST_EACH_OTHER = (
    ("step back", "come nearer"),
    ("switch on all lights", "turn the light down"),
    ("wipe the lens", "cannot make anything out"),
    ("too dark to see", "rough quote"),
    ("cannot make anything out", "rough quote"),
    ("could not make one out", "rough quote"),
    ("could not make one out", "put up a second sheet"),
    ("is sharp", "hold it still"),
    ("looks sharp", "hold it still"),
    ("nothing you need to do", "1. "),
    ("cannot measure", "the opening looks about"),
    ("take it once more", "it once more as JPEG"),
)
"""words of which a message never holds both"""
ALONE = {"not-an-image", "too-large", "unreadable", "broke-off"}


@pytest.mark.parametrize("verdict", ["good", "rough", "again"])
@pytest.mark.parametrize("width_mm", [None, 1400.0])
def test_no_two_reasons_make_a_message_that_contradicts_itself(verdict: str, width_mm: float | None) -> None:
    """Every pair of reasons and each alone, with a width and without; what no verdict of a screening has is left out."""
    never_rough = {"no-edge", "not-an-image", "too-large", "unreadable", "broke-off", "opening-cut", "tilt-two-ways"}
    spread = None if width_mm is None else 20.0
    for codes in [(), *((c,) for c in ORDER), *combinations(ORDER, 2)]:
        if (verdict == "rough" and never_rough & set(codes)) or (verdict == "again" and not codes):
            continue
        if ({*ALONE, "no-edge"} & set(codes) and width_mm is not None) or (ALONE & set(codes) and len(codes) > 1):
            continue  # nothing has been measured there, and nothing else is said of such a file
        text = message_text(MessageFacts(verdict, True, codes, width_mm, spread), 3)
        assert not [pair for pair in AGAINST_EACH_OTHER if pair[0] in text and pair[1] in text], text


@pytest.mark.parametrize("verdict", ["rough", "again"])
def test_where_the_file_alone_is_at_fault_no_other_photo_is_asked_for(verdict: str) -> None:
    """The same photo serves if it comes as it was taken; with anything else to mend a new one is asked for."""
    for code in sorted(COPY):
        text = message_text(MessageFacts(verdict, True, (code,)), 3)
        assert "take it once more" not in text
        assert "one more photo" not in text
    assert "photo" in message_text(MessageFacts(verdict, True, ("too-small", "blur")), 3).splitlines()[1] or verdict == "again"


@pytest.mark.parametrize(
    ("codes", "asked"),
    [
        (("cropped", "no-metadata"), 1), (("card-missing", "uncertain"), 1), (("card-burnt", "noise"), 1),
        (("tilt-two-ways", "uncertain"), 1), (("card-small", "opening-cut"), 2),
    ],
)  # fmt: skip
def test_what_one_thing_puts_right_is_asked_for_once(codes: tuple[str, ...], asked: int) -> None:
    """And what asks for less light not beside what asks for more."""
    text = message_text(MessageFacts("again", True, codes), 3)
    assert len(re.findall(r"^[0-9]\. ", text, re.M)) == asked


def test_a_photo_of_which_no_size_is_told_is_not_called_good_for_a_quote() -> None:
    """Where only the file is to blame too: a first look, and the original file for a size; with a size it is good for a quote."""
    unsized = message_text(MessageFacts("rough", False, ("no-metadata", "needs-corners")), 3)
    assert "good enough for a rough quote" not in unsized
    assert "For a size we would be glad of the original file." in unsized
    assert "good enough for a rough quote" in message_text(MessageFacts("rough", False, ("no-metadata",), 1400.0, 30.0), 3)
