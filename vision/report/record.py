"""The report as one record, and as the JSON of format 1."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from vision.errors import CannotMeasure, Finding
from vision.geometry.opening import Opening
from vision.judge.verdicts import Comparison, Order
from vision.photo.intake import Photo


@dataclass(frozen=True)
class Report:
    """One check, complete: what the photos said, how each reading was judged, ready or hold."""

    opening: Opening | None
    comparison: Comparison
    findings: tuple[Finding, ...]
    """all of them: the opening's, the comparison's and those of single photos"""
    order: Order
    cannot_measure: CannotMeasure | None
    photos: tuple[Photo, ...] = ()
    settings_note: Mapping[str, str] | None = None


def to_json(report: Report) -> dict[str, Any]:
    """The report as plain data, format 1. Numbers are unrounded, never NaN."""
    raise NotImplementedError
