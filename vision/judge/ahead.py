"""Limits of the door that the readings would cross as they stand, said before the rest of the hold is cleared.

A size waits while anything that it is made from is in doubt; that the door will be too heavy for its hinges or wider than its
hardware need not wait for that. Such a hold gives no size of its own: it says what would follow, and from what.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace

import numpy as np

from vision.gaussian import Gaussian
from vision.judge.door_records import Hold, OrderSize
from vision.judge.evidence import Evidence
from vision.judge.figure import LEANS, STATIONS

AHEAD = frozenset({"door-width", "hinge-load", "panel-width", "clear-way"})
"""limits of size and mass: measuring again hardly changes which side of them a door is on"""


def as_they_stand(evidence: Evidence, sizes: Collection[OrderSize]) -> tuple[Evidence, str] | None:
    """The evidence without its doubts and what it then supposes, in words; None where nothing waits or a width is in question.

    Walls whose leans are not known are taken for plumb.
    """
    waiting = any(size.value_mm is None for size in sizes)
    if not waiting or evidence.base.governing_width_mm is None or not set(STATIONS) <= set(evidence.readings.names):
        return None
    walls, known = evidence.walls, evidence.walls is not None and set(LEANS) <= set(evidence.walls.names)
    if not known:
        walls = Gaussian(LEANS, np.zeros(2), {"supposed": np.zeros((2, 1))})
    supposed = "if the readings hold" if known else "if the readings hold and the walls are plumb"
    return replace(evidence, walls=walls, trusting=True), supposed


def said_ahead(holds: Collection[Hold], said: Collection[str], supposed: str) -> Iterator[Hold]:
    """Those holds that need not wait and are not said yet (`said` holds codes), with what they suppose."""
    for hold in holds:
        if hold.code in AHEAD and hold.code not in said:
            yield replace(hold, text=f"{supposed}, {hold.text}")
