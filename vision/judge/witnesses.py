"""What one more witness changed: a verdict is never lifted without saying so."""

from __future__ import annotations

from vision.errors import Finding
from vision.judge.verdicts import Comparison
from vision.names import plain_names


def overruled(before: Comparison, after: Comparison) -> tuple[Finding, ...]:
    """A finding for the readings that were suspect with fewer witnesses and agree with all of them.

    `before` holds the verdicts of the first set of lengths alone, `after` those of all readings together.
    """
    lifted = [
        name
        for name, verdict in before.readings.items()
        if verdict.verdict == "suspect" and name in after.readings and after.readings[name].verdict == "agrees"
    ]
    if not lifted:
        return ()
    text = f"the {plain_names(lifted)} would be suspect by the first set of lengths alone; further readings speak for it"
    return (Finding("witness-overruled", text, f"Ask whoever measured to measure again: the {plain_names(lifted)}."),)
