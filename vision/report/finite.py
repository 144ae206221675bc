"""Numbers that leave the program are finite: what is not is a defect, and is said with its place."""

from __future__ import annotations

import math
from collections.abc import Iterable


def refuse_non_finite(data: object, where: str) -> None:
    """ValueError naming the first float in lists and tables that is infinite or no number."""
    if isinstance(data, float):
        if not math.isfinite(data):
            raise ValueError(f"{where} is {data}")
        return
    items: Iterable[tuple[object, object]] = ()
    if isinstance(data, dict):
        items = data.items()
    elif isinstance(data, list):
        items = enumerate(data)
    for key, value in items:
        refuse_non_finite(value, f"{where}.{key}")
