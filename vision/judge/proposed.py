"""What is asked first where readings contradict a photo of which nobody marked the opening: is its outline the opening's?"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from vision.judge.verdicts import Comparison, Order

LOOK_AT_THE_OUTLINE = (
    "Look at the picture: is the outline that was found without marked corners{where} the opening's own edges, and not a "
    "curtain, a frame or a joint? If not, mark its four corners and check again."
)
CONTRADICTED = frozenset({"unexplained", "suspect-reading"})
"""reasons to hold that an outline beside the opening's own edges would give as well"""


def asking_about_the_outline(order: Order, comparison: Comparison, proposed: Collection[int]) -> Order:
    """The order with that question before all others, where readings and photo contradict each other.

    `proposed`: numbers of the photos of which the program found the outline itself.
    """
    suspect = any(reading.verdict == "suspect" for reading in comparison.readings.values())
    if not proposed or not (suspect or any(reason.code in CONTRADICTED for reason in order.reasons)):
        return order
    several = ", ".join(str(number) for number in sorted(proposed))
    question = LOOK_AT_THE_OUTLINE.format(where=f" (photo {several})" if len(proposed) > 1 else "")
    return replace(order, next=(question, *order.next))
