"""The tape against itself as plain data, for the report's JSON."""

from __future__ import annotations

from typing import Any

from vision.judge.closure import Closure, ReadingClosure
from vision.judge.plane_figure import SLOPES


def closure_json(closure: Closure) -> dict[str, Any]:
    """The object `closure`, empty where there are no readings.

    `figure` holds what the readings determine: lengths as value_mm, slopes as value_mm_per_m, each with its u.
    """
    if not closure.readings:
        return {}
    figure = closure.figure
    assert figure is not None
    return {
        "redundancy": closure.redundancy,
        "closes": not closure.findings,
        "readings": {name: _reading(one) for name, one in closure.readings.items()},
        "figure": {
            name: (
                {"value_mm_per_m": figure.value(name), "u_mm_per_m": figure.u(name)}
                if name in SLOPES
                else {"value_mm": figure.value(name), "u_mm": figure.u(name)}
            )
            for name in figure.names
        },
        "text": list(closure.words),
    }


def _reading(one: ReadingClosure) -> dict[str, Any]:
    return {
        "value_mm": one.value_mm,
        "u_mm": one.u_mm,
        "redundancy": one.redundancy,
        **({} if one.w is None else {"w": one.w}),
        **({} if one.smallest_slip_mm is None else {"smallest_slip_mm": one.smallest_slip_mm}),
        "adjusted_mm": one.adjusted_mm,
        "u_adjusted_mm": one.u_adjusted_mm,
        "alike": list(one.alike),
    }
