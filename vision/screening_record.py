"""A screening as plain data, with the message to send back."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from vision.report.message import MessageFacts, message_svg, message_text
from vision.screening import AGAIN, GOOD, ROUGH, Screening
from vision.screening_reasons import Reason
from vision.settings import Settings

SHORT = {GOOD: "good", ROUGH: "rough", AGAIN: "again"}


def screening_json(done: Screening, settings: Settings = Settings(), language: str = "en") -> dict[str, Any]:  # noqa: B008
    """Format 1. Numbers are unrounded, never NaN; `message` is the text to send back.

    `u_` are standard deviations in this photo, `better_u_` as planned for a better one.
    """
    band = done.band
    data: dict[str, Any] = {
        "format": 1,
        "name": done.name,
        "sha256": done.sha256,
        "verdict": done.verdict,
        "reasons": [asdict(r) for r in done.reasons],
        "facts": dict(done.facts),
        "outline": done.outline,
        "references": list(done.references),
        "message": message_text(message_facts(done, settings), settings.screen.most_changes, language),
    }
    if band is not None:
        data["band"] = {"how": band.how, "width_mm": band.width_mm, "u_width_mm": band.u_width_mm}
        if band.height_mm is not None and band.u_height_mm is not None:
            data["band"] |= {"height_mm": band.height_mm, "u_height_mm": band.u_height_mm}
        if band.assumes is not None:
            data["band"]["assumes"] = band.assumes
    if done.better_u_mm is not None:
        data["better_u_width_mm"] = done.better_u_mm
    return data


def message_facts(done: Screening, settings: Settings) -> MessageFacts:
    """What the message needs of a screening."""
    k, band = settings.screen.band_sds, done.band
    told = band if band is not None and k * band.u_width_mm <= settings.screen.told_share * band.width_mm else None
    only_unmarked = {r.code for r in done.reasons} == {"needs-corners"}  # ours to do, nothing to ask the customer for
    return MessageFacts(
        SHORT[GOOD if only_unmarked else done.verdict],
        band is not None and band.how == "measured",
        tuple(r.code for r in done.reasons),
        None if told is None else told.width_mm,
        None if told is None else k * told.u_width_mm,
        None if done.better_u_mm is None else k * done.better_u_mm,
        None if told is None else told.assumes,
    )


def screening_svg(data: dict[str, Any], settings: Settings = Settings(), language: str = "en") -> str:  # noqa: B008
    """The drawing that goes with a screening's message."""
    return message_svg([r["code"] for r in data["reasons"]], settings.screen.most_changes, language)


def no_answer(name: str, sha256: str, code: str, text: str) -> Screening:
    """The row of a file of which there is no answer: it could not be read, or the process that looked at it ended."""
    return Screening(name, sha256, AGAIN, (Reason(code, "again", None, None, "", "", text),), {}, "not known")
