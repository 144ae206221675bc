"""Two readings of a pair written in one another's place: an error of a known amount, one up and the other down by it.

The judge's own columns are one reading's slip, or an amount that several share in one direction. Two readings that are off by
as much in opposite directions are neither: each of them may be too small for a column of its own, while the direction of the
exchange, which no common error of the photo has, is well known. With a = (t_i - t_k)(e_i - e_k), t the readings:

    w = a' M d / sqrt(a' M a) over its level, and the share a' M d / a' M a within `slip_reach` of its sd of 1

A pair so alike that its exchange would not show (sqrt(a' M a) below that level) is not asked about. Three tests at Baarda's
level, one-sided, add at most 0.15 % to the checks that name something without cause.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from vision.gaussian import Gaussian
from vision.judge.case import Case
from vision.judge.verdicts import Explanation
from vision.names import plain_names
from vision.settings import JudgeSettings
from vision.units import length_text

PAIRS = (("width_top", "width_bottom"), ("height_left", "height_right"), ("diagonal_rising", "diagonal_falling"))


@dataclass(frozen=True)
class Exchange:
    """Two rows of the case, and by how much the first reading is off if they were exchanged, with the sd of what is seen, mm."""

    rows: tuple[int, int]
    names: tuple[str, str]
    amount_mm: float
    u_mm: float

    def explanation(self, row: int) -> Explanation:
        """In words; its amount is that of the exchange on this row."""
        amount = self.amount_mm if row == self.rows[0] else -self.amount_mm
        text = (
            f"written in one another's place the {plain_names(self.names)}, {length_text(abs(self.amount_mm))} apart, "
            "would agree with the photo"
        )
        return Explanation("slip", self.names, amount, self.u_mm, text)


def exchanged(case: Case, taped: Gaussian, settings: JudgeSettings) -> Iterator[Exchange]:
    """The pairs of these readings (mm) that were most likely exchanged; for a case in which nothing else contradicts."""
    M = case.precision()
    for first, second in PAIRS:
        if not {first, second} <= set(case.names):
            continue
        i, k = case.names.index(first), case.names.index(second)
        amount = taped.value(first) - taped.value(second)
        added = np.zeros(len(case.names))
        added[i], added[k] = amount, -amount
        seen = float(added @ M @ added)
        if seen < settings.w_critical**2:
            continue
        sd = seen**-0.5
        share = float(added @ M @ case.d) / seen
        if share > settings.w_critical * sd and abs(share - 1.0) <= settings.slip_reach * sd:
            yield Exchange((i, k), (first, second), amount, abs(amount) * sd)
