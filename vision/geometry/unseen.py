"""What the photo cannot show of its own reference cards, and what that would do to the sizes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from vision.errors import Finding
from vision.gaussian import Gaussian
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly
from vision.geometry.card_doubts import CardDoubt, card_doubts, effects
from vision.geometry.model import card_size
from vision.geometry.opening import CardPlane
from vision.geometry.settle import DOUBTED_CARD

Array = NDArray[np.float64]
POWER = 0.84
"""normal quantile of 0.80: how much more than the limit a lie must be to be found four times in five"""
WHOLLY = 0.15
"""relative; a card may be wrong by as much in size and no one would say: then the photo shows nothing of it"""
CROOKED_MM_PER_M = 25.0
"""mm/m; twice the widest published tolerance of squareness of openings (1.3 to 11.7 mm/m)"""
SURE = 3.0
"""standard deviations that it must be over"""
STEP_MM, STEP = 10.0, 0.01
"""mm and relative; amounts by which it is said what a lie does where it cannot be seen at all"""


def card_planes(solution: Solution, assembly: Assembly, names: tuple[str, ...], jacobian: Array) -> tuple[CardPlane, ...]:
    """For each card how far it may stand off the wall and what that does to functions of the state (m, n) with these names."""
    out = []
    for doubt in card_doubts(solution, assembly):
        if doubt.what == "off":
            effect = effects(solution, assembly, jacobian, doubt.model, ["off"])[:, 0]
            number = min(n for n, k in assembly.models.items() if k == doubt.model)
            out.append(CardPlane(number, doubt.amount, doubt.sd, dict(zip(names, map(float, effect), strict=True))))
    return tuple(out)


def unseen_lies(solution: Solution, assembly: Assembly, jacobian: Array) -> tuple[str, ...]:
    """For each card the largest wrong size and distance off the wall that would not have shown; `jacobian` (m, n) of lengths."""
    doubts: dict[int, dict[str, CardDoubt]] = {}
    for doubt in card_doubts(solution, assembly):
        doubts.setdefault(doubt.model, {})[doubt.what] = doubt
    if not len(jacobian):
        return ()
    lines = [_line(solution, assembly, jacobian, model, of) for model, of in doubts.items()]
    return (*lines, *_all_alike(doubts))


def crooked(quantities: Gaussian) -> list[Finding]:
    """A finding where the opening comes out more crooked than anything that is built: then a card is tilted.

    It changes no number (no prior of squareness is used anywhere).
    """
    words = {"taper": "taper", "rack": "walls out of square with the curb", "curb_against_head": "head and curb that run apart"}
    odd = [
        f"{words[n]} by {abs(quantities.value(n)):.0f} mm per m (give or take {quantities.u(n):.0f})"
        for n in words
        if n in quantities.names and abs(quantities.value(n)) - SURE * quantities.u(n) > CROOKED_MM_PER_M
    ]
    if not odd:
        return []
    text = f"The opening comes out with {' and '.join(odd)}: more than anybody builds. A tilted card does that."
    return [Finding("card-plane", text, "Look whether each card lies flat on the wall face all round; measure both diagonals.")]


def _line(solution: Solution, assembly: Assembly, jacobian: Array, model: int, of: Mapping[str, CardDoubt]) -> str:
    number = min(n for n, k in assembly.models.items() if k == model)
    moved = np.abs(effects(solution, assembly, jacobian, model, ["size", "off", "tilt right", "tilt top"])).max(axis=0)
    edge = float((moved[2:] / card_size(assembly.nominal.cards[model], solution.state)).max())
    reach = DOUBTED_CARD + POWER
    size, off = reach * of["size"].sd, reach * of["off"].sd
    if size > WHOLLY:
        return (
            f"Whether card {number} has the size it is taken to have and lies in its plane: nothing else in the photo shows it. "
            f"Each per cent of its size would change a size by up to {STEP * moved[0]:.0f} mm, "
            f"each {STEP_MM:.0f} mm off the wall by up to {STEP_MM * moved[1]:.0f} mm, "
            f"one edge of it a millimetre off the wall by up to {edge:.1f} mm."
        )
    return (
        f"Whether card {number} is of another size by less than {100 * size:.1f} %, or stands off the wall by less than "
        f"{off:.0f} mm: either could stay unseen and would change a size by up to {max(size * moved[0], off * moved[1]):.0f} mm."
    )


def _all_alike(doubts: Mapping[int, object]) -> Iterator[str]:
    if len(doubts) > 1:
        yield (
            "Whether all cards are wrong alike (one print at a wrong scale, all of them off the wall): every size would change "
            "with them, and the cards would agree with each other all the same."
        )
