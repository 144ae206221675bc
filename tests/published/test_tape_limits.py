"""Published limits of tapes.

Classes: Directive 2014/32/EU, Annex X (MI-008), the same values in OIML R 35-1:2007: a + b L + c, L in metres rounded up.
US: NIST Handbook 44, section 5.52, metal tapes, table 1.
"""

from __future__ import annotations

import pytest

from tests.tolerances import EXACT
from vision.tape.instrument import TapeClass, tolerance_mm

INCH, FOOT = 25.4, 304.8


@pytest.mark.parametrize(
    ("tape", "length_mm", "limit_mm"),
    [
        ("class-1", 1000.0, 0.3), ("class-1", 1420.0, 0.4), ("class-1", 2000.0, 0.4),
        ("class-1", 3000.0, 0.5), ("class-1", 5000.0, 0.7), ("class-2", 1000.0, 0.7),
        ("class-2", 1420.0, 0.9), ("class-2", 1990.0, 0.9), ("class-2", 2445.0, 1.1),
        ("class-2", 5000.0, 1.5), ("class-3", 1000.0, 1.3), ("class-3", 1420.0, 1.7),
        ("class-3", 2000.0, 1.7), ("class-3", 3000.0, 2.1), ("class-3", 5000.0, 2.9),
    ],
)  # fmt: skip
def test_classes_have_the_published_limits_from_the_hook(tape: TapeClass, length_mm: float, limit_mm: float) -> None:
    """a + b L of the class with the addition c for an end that is a surface."""
    assert tolerance_mm(tape, length_mm) == pytest.approx(limit_mm, rel=EXACT)


@pytest.mark.parametrize(
    ("length_mm", "limit_mm"),
    [(3 * FOOT, INCH / 32), (56 * INCH, INCH / 32), (6 * FOOT, INCH / 32), (78 * INCH, INCH / 16), (7 * FOOT, INCH / 16),
     (30 * FOOT, INCH / 16), (31 * FOOT, INCH / 8)],
)  # fmt: skip
def test_us_tapes_have_the_published_steps(length_mm: float, limit_mm: float) -> None:
    """1/32 in up to six feet, 1/16 in up to thirty, 1/8 in beyond."""
    assert tolerance_mm("us", length_mm) == pytest.approx(limit_mm, rel=EXACT)
