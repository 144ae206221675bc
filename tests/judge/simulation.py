"""The judge put to the test at the level of sizes: mistakes of known kind in readings drawn from the stated covariances."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from tests.judge.layouts import photo_sizes
from vision.gaussian import Array, Gaussian
from vision.judge.compare import compare
from vision.judge.verdicts import Comparison
from vision.tape.readings import READING_NAMES, Entry, TapeFacts, read_tape
from vision.units import inches_text

INCH = 25.4
SETS = {
    3: ("width_top", "width_middle", "width_bottom"),
    5: ("width_top", "width_middle", "width_bottom", "height_left", "height_right"),
    7: READING_NAMES,
}
Mistake = Callable[[Array, np.random.Generator], Array]
"""true sizes -> what is added to the readings"""


@dataclass(frozen=True)
class World:
    """What photo and tape would say without error; drawing from it adds the errors that both records state."""

    photo: Gaussian
    taped: Gaussian
    rng: np.random.Generator

    @property
    def truth(self) -> Array:
        """The sizes without error, shape (n,)."""
        return self.photo.mean

    def draws(self, count: int, mistake: Mistake | None = None) -> Iterator[tuple[Comparison, Array]]:
        """Judged checks, each with the mistake that was put in."""
        for _ in range(count):
            added = np.zeros_like(self.truth) if mistake is None else mistake(self.truth, self.rng)
            photo, taped = self._errors()
            yield (
                compare(
                    replace(self.photo, mean=self.truth + photo),
                    replace(self.taped, mean=self.truth + taped + added),
                    dict.fromkeys(self.taped.names, ""),
                ),
                added,
            )

    def _errors(self) -> tuple[Array, Array]:
        """Errors of photo and tape; a source of the same name is the same variable in both."""
        variables: dict[str, Array] = {}
        totals = []
        for record in (self.photo, self.taped):
            total: Array = np.zeros(len(self.truth))
            for source, factor in record.sources.items():
                if source not in variables:
                    variables[source] = self.rng.standard_normal(factor.shape[1])
                total = total + factor @ variables[source]
            totals.append(total)
        return totals[0], totals[1]


def world(layout: str, readings: int, seed: int = 1) -> World:
    """This layout of cards with 3, 5 or 7 readings in inches."""
    photo = photo_sizes(layout).select(SETS[readings])
    facts = TapeFacts(tuple(Entry(name, inches_text(photo.value(name))) for name in photo.names), unit="in")
    return World(photo, read_tape(facts).gaussian, np.random.default_rng(seed))


# --- mistakes


def one_slip(size_mm: float | None = None, sizes: Array | None = None) -> Mistake:
    """One reading, any, wrong by this much (or by its own entry of `sizes`), long or short."""

    def mistake(truth: Array, rng: np.random.Generator) -> Array:
        added = np.zeros_like(truth)
        i = rng.integers(len(truth))
        added[i] = rng.choice([-1.0, 1.0]) * (size_mm if sizes is None else sizes[i])
        return added

    return mistake


def two_slips(low_mm: float, high_mm: float) -> Mistake:
    """Two readings, any, each wrong by something between the two sizes, long or short."""

    def mistake(truth: Array, rng: np.random.Generator) -> Array:
        added = np.zeros_like(truth)
        pick = rng.choice(len(truth), 2, replace=False)
        added[pick] = rng.choice([-1.0, 1.0], 2) * rng.uniform(low_mm, high_mm, 2)
        return added

    return mistake


def factor(by: float) -> Mistake:
    """All readings too long by this factor."""
    return lambda truth, rng: truth * (by - 1.0)


def constant(size_mm: float) -> Mistake:
    """The same amount on all readings."""
    return lambda truth, rng: np.full_like(truth, size_mm)


# --- outcomes


def suspects(comparison: Comparison) -> set[str]:
    """Names of the readings called suspect."""
    return {name for name, verdict in comparison.readings.items() if verdict.verdict == "suspect"}


def speaks(comparison: Comparison) -> bool:
    """Whether the check names anything: a reading suspect or in doubt with an explanation, or a finding."""
    return bool(comparison.findings) or any(verdict.explanations for verdict in comparison.readings.values())


def touched(comparison: Comparison, added: Array) -> set[str]:
    """Names of the readings that a mistake was put into."""
    return {name for name, amount in zip(comparison.readings, added, strict=True) if amount}


def in_doubt_of_scale(comparison: Comparison) -> bool:
    """Whether the check says that card, unit or start of the tape may be wrong."""
    return any(finding.code == "scale-in-doubt" for finding in comparison.findings)


def nobody_agrees(comparison: Comparison) -> bool:
    """Whether no reading is called good."""
    return all(verdict.verdict != "agrees" for verdict in comparison.readings.values())


def own_slips(of: World) -> Array:
    """The smallest visible slip of each reading as a clean check states it, mm."""
    verdicts = compare(of.photo, replace(of.taped, mean=of.truth), {}).readings.values()
    return np.array([verdict.smallest_visible_slip_mm for verdict in verdicts])


def common_slips(of: World) -> Array:
    """The same for a slip shared with a group, mm."""
    verdicts = compare(of.photo, replace(of.taped, mean=of.truth), {}).readings.values()
    return np.array([verdict.smallest_visible_common_slip_mm for verdict in verdicts])


def share(outcomes: Iterator[bool]) -> float:
    """Fraction of True."""
    return float(np.mean(list(outcomes)))
