"""A difference is not a slip: what readings and photo have in common, and what is one reading's own.

The photo's errors change its sizes alike, so a reading may differ by more than its own smallest visible slip while nothing in it
alone is off. Such a reading agrees, and it is said why. One that differs by more than could stay unseen even in several readings
alike does not agree: nothing contradicts, but nobody can say either what the difference is.
"""

from __future__ import annotations

from collections.abc import Sequence

from vision.errors import Finding
from vision.judge.verdicts import Comparison, ReadingVerdict, Reason
from vision.judge.words import measure_again
from vision.names import plain_names


def shared_notes(comparison: Comparison) -> tuple[Finding, ...]:
    """A note for the readings that agree and differ by more than a slip in them alone that would have shown."""
    large = [v for v in comparison.readings.values() if v.verdict == "agrees" and _over_own(v)]
    if not large:
        return ()
    facts = "; ".join(map(_in_words, large))
    text = (
        f"what agrees may all the same differ by more than a slip in it alone that would have shown: {facts}. The rest is "
        "shared with other readings, and what they share shows only from the second of the two smallest visible slips"
    )
    action = "Nothing need be done; who wants to be surer measures it a second time."
    return (Finding("no-second-witness", text, action, holds=False),)


def beyond_reason(verdicts: Sequence[ReadingVerdict]) -> Reason:
    """Why readings that differ by more than could stay unseen do not agree, though nothing contradicts."""
    facts = ", ".join(f"the {plain_names([v.name])} by {v.difference_mm:+.1f} mm" for v in verdicts)
    text = (
        f"by more than could stay unseen in one reading alone or in several alike, these differ from the photo: {facts}; "
        "together the readings contradict nothing, and it cannot be told what is off"
    )
    return Reason("no-second-witness", text, measure_again([verdict.name for verdict in verdicts]))


def _over_own(verdict: ReadingVerdict) -> bool:
    own, off = verdict.smallest_visible_slip_mm, verdict.difference_mm
    return own is not None and off is not None and abs(off) > own


def _in_words(verdict: ReadingVerdict) -> str:
    own = f", {verdict.own_mm:+.1f} mm are its own" if verdict.own_mm is not None else ""
    size = f"{verdict.difference_mm:+.1f} mm ({verdict.smallest_visible_slip_mm:.1f} mm would show{own})"
    return f"the {plain_names([verdict.name])} by {size}"
