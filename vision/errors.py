"""What can be said when something cannot be done: errors that carry data, findings, and the closed list of codes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches

CODES: frozenset[str] = frozenset(
    [
        "card-missing",
        "card-kind",
        "card-plane",
        "card-bent",
        "card-cut",
        "cards-disagree",
        "tilt-two-ways",
        "scale-in-doubt",
        "unexplained",
        "opening-cut",
        "edge-hidden",
        "blur",
        "cue-disagrees",
        "no-second-witness",
        "no-readings",
        "no-metadata",
        "not-an-image",
        "too-large",
        "too-small",
        "needs-corners",
        "no-vertical",
        "no-head",
        "suspect-reading",
        "readings-missing",
        "readings-differ",
        "lean-over-limit",
        "taper-over-limit",
        "rectangle-too-narrow",
        "level-both-walls",
        "taper-decision",
        "hinge-wall",
        "hinge-load",
        "door-width",
        "panel-width",
        "clear-way",
        "kit-range",
        "take-up-exceeded",
        "out-of-square",
        "bow-over-limit",
        "curb-over-limit",
        "gap-at-risk",
        "size-limits",
        "number-missing",
        "readings-do-not-close",
        "witness-overruled",
    ]
)
"""Every code that a finding, a hold reason, `not_measured` or `cannot_measure` may carry."""

QUESTION_CODES: frozenset[str] = frozenset(
    [
        "sixteenths-as-decimals",
        "feet-and-inches",
        "round-readings",
        "identical-readings",
        "nominal-size",
        "unusual-size",
        "third-reading",
        "curb-fall",
    ]
)
"""Every code that a question may carry. A question holds nothing."""

SCREEN_CODES: frozenset[str] = frozenset(
    [
        "needs-corners",
        "too-small",
        "resized",
        "cropped",
        "edited",
        "on-its-side",
        "compressed",
        "no-metadata",
        "no-edge",
        "blur",
        "too-dark",
        "noise",
        "burnt-out",
        "glare",
        "wide-lens",
        "oblique",
        "opening-cut",
        "edge-hidden",
        "card-missing",
        "card-small",
        "card-cut",
        "card-bent",
        "card-burnt",
        "card-plane",
        "uncertain",
        "not-consistent",
        "tilt-two-ways",
        "not-an-image",
        "too-large",
        "unreadable",
        "broke-off",
    ]
)
"""Every code that a reason of the screening may carry."""

RESERVED_CODES: frozenset[str] = frozenset()
"""Codes of the list that this version never produces; they wait for a later one."""


class TapewitnessError(Exception):
    """Base of our own errors: what was found, what was needed, what the user should do."""

    def __init__(self, found: str, needed: str, remedy: str) -> None:
        super().__init__(f"found {found}; needed {needed}; {remedy}")
        self.found = found
        self.needed = needed
        self.remedy = remedy


class BadInput(TapewitnessError):  # noqa: N818 (the contract's word)
    """What the user typed or sent cannot be used: a reading, a card description, a path, an option.

    `where` names the offending input ("reading width_top"), `position` the first wrong character (counted from 1).
    """

    def __init__(self, where: str, found: str, needed: str, remedy: str, *, position: int | None = None) -> None:
        super().__init__(found, needed, remedy)
        self.where = where
        self.position = position

    def __str__(self) -> str:
        return f"{self.where}: found {self.found}; needed {self.needed}; {self.remedy}"

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuild_bad_input, (self.where, self.found, self.needed, self.remedy, self.position))


def nearest(word: str, known: Sequence[str], otherwise: str) -> str:
    """A remedy for a word that is not among the known ones: the one that was probably meant, or `otherwise`."""
    close = get_close_matches(word.lower(), known, 1)
    return f"write {close[0]} if that is meant" if close else otherwise


class CannotMeasure(TapewitnessError):  # noqa: N818 (the contract's word)
    """The photo does not allow this measurement; raised by photo and geometry stages, kept as a value by `check`."""

    def __init__(self, stage: str, code: str, *, found: str, needed: str, remedy: str) -> None:
        if code not in CODES:
            raise ValueError(f"unknown code {code!r}")
        super().__init__(found, needed, remedy)
        self.stage = stage
        self.code = code

    def as_dict(self) -> dict[str, str]:
        """The five fields as plain text."""
        return {
            "stage": self.stage,
            "code": self.code,
            "found": self.found,
            "needed": self.needed,
            "remedy": self.remedy,
        }

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuild_cannot_measure, (self.stage, self.code, self.found, self.needed, self.remedy))


def _rebuild_bad_input(where: str, found: str, needed: str, remedy: str, position: int | None) -> BadInput:
    return BadInput(where, found, needed, remedy, position=position)


def _rebuild_cannot_measure(stage: str, code: str, found: str, needed: str, remedy: str) -> CannotMeasure:
    return CannotMeasure(stage, code, found=found, needed=needed, remedy=remedy)


@dataclass(frozen=True)
class Finding:
    """Something the check noticed: a code of the closed list, the fact in plain words, and who does what next.

    A finding holds the order unless `holds` is false; one that does not is told as a note, not among the findings, but for
    `no-metadata` where other cards carry the focal length.
    """

    code: str
    text: str
    next: str
    holds: bool = True

    def __post_init__(self) -> None:
        if self.code not in CODES:
            raise ValueError(f"unknown code {self.code!r}")

    @property
    def is_note(self) -> bool:
        """Whether it is only worth saying: it neither holds nor belongs to the findings."""
        return not self.holds and self.code != "no-metadata"


def one_not_used(name: str, problem: CannotMeasure) -> Finding:
    """What is said of one photo (by the name of its file) that cannot be used beside others that can."""
    remedy = f"{problem.remedy[:1].upper()}{problem.remedy[1:].rstrip('.')} ({name})."
    return Finding(problem.code, f"One photo could not be used: {problem.found}.", remedy)
