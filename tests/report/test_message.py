"""What is written back to a customer."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from vision.report.message import HIGH, ORDER, WIDE, message_svg

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
