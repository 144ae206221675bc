"""The functions whose time `tests/benchmarks/speed.py` adds up are there."""

from __future__ import annotations

from tests.benchmarks.speed import STAGES


def test_each_stage_names_functions_that_exist() -> None:
    """A renamed function would end the benchmark."""
    missing = [(owner.__name__, name) for places in STAGES.values() for owner, name in places if not hasattr(owner, name)]
    assert missing == []
