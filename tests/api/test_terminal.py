"""What the table on the terminal says."""

from __future__ import annotations

import io
import re
from typing import Any

import pytest

from api.terminal import ONE_SD, show
from tests import made
from vision.report.record import Report, to_json


def shown(data: dict[str, Any]) -> str:
    out = io.StringIO()
    show(data, out, width=200)
    return out.getvalue()


@pytest.mark.parametrize("report", [made.ready(), made.hold(), made.scale_refused()], ids=["ready", "hold", "scale refused"])
def test_every_section_with_a_plus_minus_says_what_stands_after_it(report: Report) -> None:
    """One standard deviation, in the heading of the section itself."""
    sections = re.split(r"\n\n", shown(to_json(report)))
    told = [section for section in sections if " ± " in section]

    assert told
    for section in told:
        assert ONE_SD in section.splitlines()[0]


def test_a_small_bow_keeps_digits_for_its_uncertainty() -> None:
    """0.8 mm known to 0.04 mm is not said to be known to 0.0."""
    data = to_json(made.ready())
    data["walls"]["left"] |= {"bow_mm": -0.01, "u_bow_mm": 0.04}

    assert "left wall: bow -0.01 ± 0.04 mm" in shown(data)
    assert not re.search(r"± 0\.0+ |-0\.0 ", shown(data))


def test_a_file_that_did_not_open_is_no_photo_that_cannot_tell() -> None:
    """What a photo cannot tell stands under a photo that was looked at, measured or not, and under no broken file."""
    failed = to_json(made.failed())
    assert "What this photo cannot tell" in shown(failed)
    failed["cannot_measure"] |= {"stage": "intake", "code": "not-an-image"}
    assert "What this photo cannot tell" not in shown(failed)


def test_a_refused_scale_is_explained_below_the_readings() -> None:
    """photo_mm stands in the JSON with a standard deviation as large as itself; the text says what that is, and only then."""
    data = to_json(made.scale_refused())
    data["readings"]["width_top"] |= {"photo_mm": 2010.0, "u_photo_mm": 2010.0}
    assert "testifies by its shape alone" in " ".join(shown(data).split())
    assert "testifies by its shape alone" not in " ".join(shown(to_json(made.ready())).split())
