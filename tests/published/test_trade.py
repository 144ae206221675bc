"""Facts of the trade as check values: common practice, no source.

An opening's width is taken at top, middle and bottom, and the shortest governs; "light" is a little under the mark.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.tolerances import EXACT
from vision.gaussian import Gaussian
from vision.judge.compare import compare
from vision.judge.order import decide_order
from vision.settings import OrderSettings
from vision.tape.readings import Taped, facts_from_mapping, read_tape
from vision.units import MM_PER_INCH, inches_text


def taped(**readings: str) -> Taped:
    return read_tape(facts_from_mapping({"unit": "in", "readings": readings}))


def governing(of: Taped) -> float | None:
    judged = compare(None, of.gaussian, of.texts)
    return decide_order(
        judged,
        of.gaussian,
        Gaussian((), np.zeros(0), {}),
        has_head=True,
        smallest_width_photo_mm=None,
        findings=(),
        cannot_measure=None,
        settings=OrderSettings(),
    ).governing_width_mm


def test_the_shortest_of_three_widths_governs() -> None:
    """Top, middle and bottom are taken, the shortest counts (common practice, no source)."""
    widths = taped(width_top="56 1/4", width_middle="55 7/8", width_bottom="56")
    assert governing(widths) == pytest.approx(55.875 * MM_PER_INCH, rel=EXACT)


def test_56_below_and_a_light_56_and_a_quarter_above_govern_as_56() -> None:
    """A light 56-1/4 is still more than 56 (common practice, no source)."""
    widths = taped(width_top="56-1/4 light", width_bottom="56")
    assert governing(widths) == pytest.approx(56 * MM_PER_INCH, rel=EXACT)


def test_a_light_56_governs_below_a_plain_56() -> None:
    """The mark counts: a light 56 is a 32nd under 56."""
    widths = taped(width_top="56 light", width_bottom="56")
    assert governing(widths) == pytest.approx((56 - 1 / 32) * MM_PER_INCH, rel=EXACT)


def test_a_mark_never_changes_what_was_written_down() -> None:
    """The reading stays 56-1/4 as text and as exact length; only its mean moves."""
    length = taped(width_top="56-1/4 light").lengths["width_top"]
    assert length.text == "56-1/4 light"
    assert inches_text(float(length.exact_mm)) == "56-1/4 in"
