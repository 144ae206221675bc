"""Sizes for a kind of door as lines for the terminal."""

from __future__ import annotations

from typing import Any

from vision.check import inches_text

KG_PER_LB = 0.45359237


def door_lines(order: dict[str, Any]) -> tuple[str, list[str]]:
    """Heading and lines: sizes given or withheld, panes with their weight, the hinge wall, and what is still to be asked."""
    door = order["door"]
    lines = [_size(size) for size in door["sizes"]]
    lines += [_pane(pane) for pane in door["panes"]]
    if "hinge_wall" in door:
        choice = " (a choice; the sizes are worked out for this one)" if door["either_wall"] else ""
        lines.append(f"hinges or fixing on the {door['hinge_wall']} wall, seen from outside{choice}")
    if "hardware" in door:
        lines.append(f"numbers overruled by: {door['hardware']}")
    lines += [f"ask: {question}" for question in door["questions"]]
    when = "" if order["status"] == "ready" else " once every hold is cleared"
    return f"Sizes to order{when}: {door['title']}", lines


def _size(size: dict[str, Any]) -> str:
    words = size["name"].replace("_", " ")
    if size["status"] == "withheld":
        return f"{words}: withheld ({', '.join(size['because'])})"
    return f"{words}: {inches_text(size['value_mm'], denominator=32, down=True)} ({size['value_mm']:.1f} mm)"


def _pane(pane: dict[str, Any]) -> str:
    pounds = pane["mass_kg"] / KG_PER_LB
    edge = "square" if "tapered_edge" not in pane else f"{pane['tapered_edge']} edge tapered, {pane['square_edge']} edge square"
    hinges = f", {pane['hinges']} hinges" if "hinges" in pane else ""
    carry = "one person" if pane["people"] == 1 else f"{pane['people']} people"
    return (
        f"{pane['name']}: {pane['thickness']} glass, {edge}{hinges}, {pane['area_m2']:.2f} m2, up to {pounds:.0f} lb "
        f"({pane['mass_kg']:.1f} kg), carried by {carry}"
    )
