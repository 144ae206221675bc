"""The tape against itself, known slips and questions as lines for the terminal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from vision.check import inches_text

Data = dict[str, Any]


def closure_lines(data: Data) -> Iterator[str]:
    """What the readings say about one another: each with its redundancy, w and the smallest slip that would show."""
    closure = data["closure"]
    if not closure:
        return
    checks = "check" if closure["redundancy"] == 1 else "checks"
    verdict = "they close" if closure["closes"] else "they do NOT close"
    yield f"{closure['redundancy']} independent {checks} among the readings" + (f"; {verdict}" if closure["redundancy"] else "")
    for name, one in closure["readings"].items():
        yield _reading(name.replace("_", " "), one)
    yield from closure["text"]


def _reading(name: str, one: Data) -> str:
    if "smallest_slip_mm" not in one:
        return f"{name}: nothing checks it"
    slip = f"a slip from {inches_text(one['smallest_slip_mm'])} ({one['smallest_slip_mm']:.1f} mm) would show"
    return f"{name}: {slip}; w {one['w']:+.1f}, redundancy {one['redundancy']:.2f}"


def slip_title(data: Data) -> str:
    """The heading of the slips, which says no more than they do: one is named, some are possible, or none fits."""
    slips = data["slips"]
    if any(slip["named"] for slip in slips):
        return f"Which slip? {'This' if len(slips) == 1 else 'Each of these'} would bring everything into agreement"
    return "Which slip? None can be named" + (" for sure" if len(slips) > 1 else "")


def slip_lines(data: Data) -> Iterator[str]:
    """The slips that fit, exact ones first, each with what to ask."""
    for slip in data["slips"]:
        yield f"{slip['text']} {slip['question']}".strip()


def question_lines(data: Data) -> Iterator[str]:
    """What to ask before ordering."""
    for question in data["questions"]:
        yield f"{question['text']} {question['ask']}"
