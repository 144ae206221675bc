"""The records in which the judge answers. No arithmetic here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from vision.errors import QUESTION_CODES, Finding
from vision.judge.door_records import DoorOrder

Verdict = Literal["agrees", "suspect", "cannot tell"]


@dataclass(frozen=True)
class Explanation:
    """One known way to bring a reading into agreement: which readings it touches and by how much (mm)."""

    code: Literal["slip", "factor", "constant"]
    readings: tuple[str, ...]
    amount_mm: float
    u_amount_mm: float
    text: str


@dataclass(frozen=True)
class ReadingVerdict:
    """One reading judged. Lengths in mm, `u_` one standard deviation; None where the photo has no counterpart."""

    name: str
    text: str
    tape_mm: float
    u_tape_mm: float
    photo_mm: float | None
    u_photo_mm: float | None
    difference_mm: float | None
    verdict: Verdict
    smallest_visible_slip_mm: float | None
    smallest_visible_common_slip_mm: float | None
    explanations: tuple[Explanation, ...] = ()
    own_mm: float | None = None
    """what of the difference is this reading's own: the slip of it alone that fits best"""

    @property
    def is_beyond(self) -> bool:
        """Whether it differs by more than could stay unseen, in it alone or in several alike."""
        slips = (self.smallest_visible_slip_mm, self.smallest_visible_common_slip_mm)
        known = [slip for slip in slips if slip is not None]
        return self.difference_mm is not None and bool(known) and abs(self.difference_mm) > max(known)


@dataclass(frozen=True)
class Comparison:
    """All readings judged together, and what was noticed about the set."""

    readings: Mapping[str, ReadingVerdict]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Reason:
    """One reason to hold: a code of the closed list, the fact, and who does what next."""

    code: str
    text: str
    next: str


@dataclass(frozen=True)
class Order:
    """Ready or on hold. `governing_width_mm` is the smallest accepted width as the tape has it, or None."""

    status: Literal["ready", "hold"]
    governing_width_mm: float | None
    reasons: tuple[Reason, ...] = ()
    next: tuple[str, ...] = ()
    door: DoorOrder | None = None
    """sizes for the kind of door that was asked for, None without one"""
    governing_reading: str | None = None
    """name of the width that governs"""


@dataclass(frozen=True)
class Slip:
    """A known slip that would bring all readings into agreement; `amount_mm` is reading less truth on the first of them.

    `exact` where its amount is fixed by the reading itself and not fitted. With code "none" no known slip does.
    """

    code: str
    readings: tuple[str, ...]
    exact: bool
    amount_mm: float | None
    text: str
    question: str
    named: bool = True
    """false where it fits, but not so well that an error of no meaning would seldom have done the same"""


@dataclass(frozen=True)
class Question:
    """Something to ask before ordering; it holds nothing."""

    code: str
    readings: tuple[str, ...]
    text: str
    ask: str

    def __post_init__(self) -> None:
        if self.code not in QUESTION_CODES:
            raise ValueError(f"unknown code {self.code!r}")
