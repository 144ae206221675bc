"""What can be known about a random error before anything is drawn: how much of its range known slips take up.

A random error e of 3 to 30 mm on reading i cannot be told from a known slip, by anybody, where e lies within the stated
uncertainty (2.58 sd, so that 99 in 100 true slips are kept) of an amount that this slip would show on that reading. The share
of the range that lies so is the share of random errors that any rule that keeps true slips must name, by calculation.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.judge.tape_worlds import SETTINGS, Sheet
from vision.judge.case import Case
from vision.judge.naming import distances, reach_within, seen_range, windows_on
from vision.judge.slips import tried_on


@dataclass(frozen=True)
class Expected:
    """Shares of the range (what is large enough to be seen of it), and whether this sheet's own error lies in the first."""

    like_known: float
    """within the stated uncertainty of a known amount"""
    by_rule: float
    """within the windows of the naming rule, for errors of this reading"""
    near: bool


def expected(of: Sheet, case: Case, *, alone: bool) -> Expected | None:
    """For the reading that the error is on; None where no error of the range is large enough to be seen there."""
    i, judge = case.names.index(of.touched[0]), SETTINGS.judge
    M = case.precision()
    if M[i, i] <= 0:
        return None
    amounts = seen_range(float(M[i, i] ** -0.5), judge)
    if not len(amounts):
        return None
    windows = windows_on(i, tried_on(case, of.written, of.signed, alone=alone), M, judge)
    reach = reach_within(windows, amounts, judge)
    fixed = [window for window in windows if window.fixed]
    own = np.array([of.added[of.taped.everything.names.index(of.touched[0])]])
    return Expected(
        like_known=float(np.mean(distances(windows, amounts) <= judge.slip_reach)),
        by_rule=float(np.mean(distances(fixed, amounts) <= reach.fixed)),
        near=bool(distances(windows, own)[0] <= judge.slip_reach),
    )
