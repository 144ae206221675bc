"""What is known of the walls, and by which witness."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.judge.taped import GOOD, PLUMB, closed
from tests.tolerances import EXACT
from vision.errors import Finding
from vision.gaussian import Gaussian
from vision.judge.closure import Closure
from vision.judge.walls import from_tape, known_walls

LEANS = Gaussian(("lean_left", "lean_right"), np.array([1.0, 2.0]), {"vertical": np.full((2, 1), 0.3)})
BOWS = Gaussian(("bow_left", "bow_right"), np.array([0.5, -0.5]), {"edges": np.eye(2) * 0.2})


def test_the_photos_leans_count_where_it_has_a_vertical() -> None:
    """Whatever the level said."""
    closure = closed(GOOD | PLUMB)

    assert known_walls(LEANS, closure) is LEANS
    assert not from_tape(LEANS, closure)


def test_plumb_readings_stand_in_for_a_photo_without_a_vertical() -> None:
    """The figure's leans with their uncertainty, and the bows that only the photo saw."""
    closure = closed(GOOD | PLUMB)
    alone, beside = known_walls(None, closure), known_walls(BOWS, closure)
    assert alone is not None
    assert beside is not None
    assert closure.figure is not None

    for name in ("lean_left", "lean_right", "curb_level"):
        assert beside.value(name) == pytest.approx(closure.figure.value(name), rel=EXACT)
        assert beside.u(name) == pytest.approx(closure.figure.u(name), rel=EXACT)
    assert {"bow_left", "bow_right"} & set(alone.names) == set()
    assert (beside.value("bow_left"), beside.u("bow_right")) == (pytest.approx(0.5, rel=EXACT), pytest.approx(0.2, rel=EXACT))


def test_plumb_readings_that_do_not_close_tell_no_leans() -> None:
    """Then what the photo has is all that is known, without leans."""
    closure = replace(closed(GOOD | PLUMB), findings=(Finding("readings-do-not-close", "they do not", "Measure again."),))

    assert known_walls(BOWS, closure) is BOWS
    assert known_walls(None, closure) is None


def test_without_a_level_the_leans_stay_unknown() -> None:
    """Lengths alone hang on no vertical."""
    assert known_walls(None, closed(GOOD)) is None
    assert known_walls(None, Closure()) is None
