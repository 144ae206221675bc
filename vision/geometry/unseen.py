"""What the photo cannot show of its own reference cards, and what that would do to the sizes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from vision.errors import Finding
from vision.gaussian import Gaussian
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly
from vision.geometry.card_doubts import card_doubts, effects
from vision.geometry.model import card_size
from vision.geometry.opening import CardPlane
from vision.settings_doubts import DoubtSettings

Array = NDArray[np.float64]
TILTS = ["tilt right", "tilt top"]


def card_planes(solution: Solution, assembly: Assembly, names: tuple[str, ...], jacobian: Array) -> tuple[CardPlane, ...]:
    """For each card how far it may stand off the wall and what that does to functions of the state (m, n) with these names."""
    out = []
    for doubt in card_doubts(solution, assembly):
        if doubt.what == "off":
            effect = effects(solution, assembly, jacobian, doubt.model, ["off"])[:, 0]
            number = min(n for n, k in assembly.models.items() if k == doubt.model)
            out.append(CardPlane(number, doubt.amount, doubt.sd, dict(zip(names, map(float, effect), strict=True))))
    return tuple(out)


def reaches(solution: Solution, assembly: Assembly, settings: DoubtSettings) -> dict[int, dict[str, float]]:
    """By card (place in the model) and what it may be (card_doubts.WHATS): how much of it 19 photos in 20 would show."""
    out: dict[int, dict[str, float]] = {}
    for doubt in card_doubts(solution, assembly):
        out.setdefault(doubt.model, {})[doubt.what] = (settings.doubted_card_sd + settings.power) * doubt.sd
    return out


class _Seen(NamedTuple):
    """An adjustment, and lengths' derivatives by its state."""

    solution: Solution
    assembly: Assembly
    jacobian: Array


def unseen_lies(solution: Solution, assembly: Assembly, jacobian: Array, settings: DoubtSettings) -> tuple[str, ...]:
    """For each card the largest wrong size, distance off the wall and tilt that would not have shown; `jacobian` (m, n) of
    lengths."""
    if not len(jacobian):
        return ()
    reach = reaches(solution, assembly, settings)
    lines = [_line(_Seen(solution, assembly, jacobian), model, of, settings) for model, of in reach.items()]
    return (*lines, *_all_alike(reach))


def crooked(quantities: Gaussian, settings: DoubtSettings) -> list[Finding]:
    """A finding where the opening comes out more crooked than anything that is built: then a card is tilted.

    It changes no number (no prior of squareness is used anywhere).
    """
    words = {"taper": "taper", "rack": "walls out of square with the curb", "curb_against_head": "head and curb that run apart"}
    odd = [
        f"{words[n]} by {abs(quantities.value(n)):.0f} mm per m (give or take {2 * quantities.u(n):.0f} at 95 %)"
        for n in words
        if n in quantities.names
        and abs(quantities.value(n)) - settings.crooked_sure_sd * quantities.u(n) > settings.crooked_mm_per_m
    ]
    if not odd:
        return []
    text = f"The opening comes out with {' and '.join(odd)}: more than anybody builds. A tilted card does that."
    return [Finding("card-plane", text, "Look whether each card lies flat on the wall face all round; measure both diagonals.")]


def _line(seen: _Seen, model: int, of: Mapping[str, float], settings: DoubtSettings) -> str:
    solution, assembly, jacobian = seen
    number = min(n for n, k in assembly.models.items() if k == model)
    moved = np.abs(effects(solution, assembly, jacobian, model, ["size", "off", "ratio", *TILTS])).max(axis=0)
    sides = card_size(assembly.nominal.cards[model], solution.state)
    if of["size"] > settings.wholly:
        edge = float((moved[3:] / sides).max())
        return (
            f"Whether card {number} has the size it is taken to have and lies in its plane: nothing else in the photo shows it. "
            f"Each per cent of its size would change a size by up to {settings.step * moved[0]:.0f} mm, "
            f"each per cent in the ratio of its sides by up to {settings.step / 2 * moved[2]:.0f} mm{_most(of)}, "
            f"each {settings.step_mm:.0f} mm off the wall by up to {settings.step_mm * moved[1]:.0f} mm, "
            f"one edge of it a millimetre off the wall by up to {edge:.1f} mm."
        )
    tilts = np.array([of[w] for w in TILTS])
    edge_mm, changed = edge_reach_mm(of, sides), float((tilts * moved[3:]).max())
    most = max(of[what] * by for what, by in zip(("size", "off", "ratio"), moved, strict=False))
    return (
        f"Whether card {number} is of another size by less than {100 * of['size']:.1f} %, has sides in another ratio by less "
        f"than {200 * of['ratio']:.1f} %, or stands off the wall by less than {of['off']:.0f} mm: any of these could stay unseen "
        "(19 photos in 20 would show more) "
        f"and would change a size by up to {most:.0f} mm. One edge of it off the wall by less than {edge_mm:.0f} mm "
        f"could stay unseen too, and would change one by up to {changed:.0f} mm."
    )


def edge_reach_mm(of: Mapping[str, float], sides_mm: tuple[float, float]) -> float:
    """How far an edge of a card with these sides (along bottom, left) may stand off the wall, whichever it is, unseen."""
    return max(of[what] * side for what, side in zip(TILTS, sides_mm, strict=True))


def _most(of: Mapping[str, float]) -> str:
    """How much of another ratio of its sides would show; nothing where none would."""
    return f" (more than {200 * of['ratio']:.0f} % would show in 19 photos of 20)" if of["ratio"] < np.inf else ""


def _all_alike(doubts: Mapping[int, object]) -> Iterator[str]:
    if len(doubts) > 1:
        yield (
            "Whether all cards are wrong alike (one print at a wrong scale, all of them off the wall): every size would change "
            "with them, and the cards would agree with each other all the same."
        )
