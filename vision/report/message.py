"""What is written back to a customer: a short text from the templates of one language, and a drawing of how to take the photo."""

from __future__ import annotations

import textwrap
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any
from xml.sax.saxutils import escape

from vision.errors import BadInput
from vision.units import inches_text

TEMPLATES = "messages.toml"
ROUGH_STEP_MM = 5.0
"""mm; a rough size is not told finer than this"""
ORDER = (
    "not-an-image",
    "too-large",
    "unreadable",
    "broke-off",
    "opening-cut",
    "card-missing",
    "edge-hidden",
    "card-plane",
    "tilt-two-ways",
    "card-cut",
    "blur",
    "too-dark",
    "glare",
    "burnt-out",
    "no-edge",
    "card-burnt",
    "oblique",
    "wide-lens",
    "cropped",
    "on-its-side",
    "too-small",
    "resized",
    "compressed",
    "no-metadata",
    "card-bent",
    "card-small",
    "noise",
    "edited",
    "not-consistent",
    "uncertain",
)
"""what is asked for first: what is missing, then what cannot be seen, then what would help"""
SAME = (
    {"on-its-side", "too-small", "resized", "compressed", "no-metadata", "edited"},
    {"cropped", "no-metadata", "edited"},
    {"too-dark", "noise", "card-burnt"},
    {"burnt-out", "glare", "card-burnt"},
    {"too-dark", "no-edge"},
    {"burnt-out", "no-edge"},
    {"blur", "no-edge"},
    {"card-missing", "card-plane", "tilt-two-ways", "card-small", "uncertain"},
    {"card-plane", "card-bent", "not-consistent"},
)
"""reasons that one and the same thing puts right, or of which one asks for more light and the other for less: only the first
of each is asked for"""
COPY = frozenset(
    {"too-small", "resized", "compressed", "no-metadata", "edited", "cropped", "on-its-side"}
    | {"not-an-image", "too-large", "unreadable", "broke-off"}
)
"""reasons that lie in the file and not in what was photographed: the same photo serves, if it comes as it was taken"""
WIDE, HIGH = 640, 460
NOTE_LETTERS, LINE_PX = 23, 20
"""letters in a line beside the drawing: as many as fit in bold in a wide typeface; and px from line to line"""


@dataclass(frozen=True)
class MessageFacts:
    """What a message is made from: "good", "rough" or "again", whether it was measured, reasons, a rough width (mm).

    `spread_mm` is how far either way the width may be off, `better_spread_mm` the same with a better photo; `assumes` the kind of
    the one reference that the width rests on, where nobody stated it.
    """

    verdict: str
    measured: bool
    codes: tuple[str, ...]
    width_mm: float | None = None
    spread_mm: float | None = None
    better_spread_mm: float | None = None
    assumes: str | None = None


@cache
def _templates(language: str) -> Mapping[str, Any]:
    all_of = tomllib.loads(files("vision.report").joinpath(TEMPLATES).read_text(encoding="utf-8"))
    if language not in all_of:
        raise BadInput("language", repr(language), f"one of {', '.join(all_of)}", f"choose one, or add it to {TEMPLATES}")
    return dict(all_of[language])


def asked_for(codes: Sequence[str], most: int) -> tuple[str, ...]:
    """At most so many reasons, the most important first, and none twice that one thing puts right."""
    out: list[str] = []
    for code in sorted(set(codes) & set(ORDER), key=ORDER.index):
        if len(out) < most and not any(code in group and group & set(out) for group in SAME):
            out.append(code)
    return tuple(out)


def message_text(facts: MessageFacts, most: int, language: str = "en") -> str:
    """The message. Raises BadInput for a language without templates."""
    words = _templates(language)
    asked = asked_for(facts.codes, most) if facts.verdict != "good" else ()
    lines = [words["greeting"], words[_state(facts, asked)]]
    if facts.width_mm is not None and facts.spread_mm is not None and facts.verdict != "good":
        lines.append(words["band"].format(width=_length(facts.width_mm), u=_spread(facts.spread_mm)))
        if facts.assumes is not None:
            lines.append(words["assumes"].format(kind=words["kinds"].get(facts.assumes, facts.assumes)))
        if facts.better_spread_mm is not None and facts.better_spread_mm < 0.8 * facts.spread_mm:
            lines.append(words["better"].format(u=_spread(facts.better_spread_mm)))
    if asked:
        lines.append(words["changes_one"] if len(asked) == 1 else words["changes"].format(n=len(asked)))
        lines += [f"{number}. {words['reasons'][code]}" for number, code in enumerate(asked, 1)]
        lines.append(words["closing"])
    return "\n".join(lines) + "\n"


def _state(facts: MessageFacts, asked: Sequence[str]) -> str:
    """Which sentence says how it stands, so that none of what is asked for contradicts it."""
    if facts.verdict == "good":
        return "good" if facts.measured else "good_unmarked"
    if asked and COPY.issuperset(asked):
        unsized = facts.verdict == "rough" and facts.width_mm is None
        return "rough_unsized_copy" if unsized else f"{facts.verdict}_copy"
    return "rough_unsized" if facts.verdict == "rough" and "card-missing" in facts.codes else facts.verdict


def _length(mm: float) -> str:
    rough = ROUGH_STEP_MM * round(mm / ROUGH_STEP_MM)
    return f"{rough:.0f} mm ({round(mm / 25.4)} in)"


def _spread(mm: float) -> str:
    step = 1.0 if mm < 10 else ROUGH_STEP_MM
    rough = max(step * round(mm / step), 1.0)
    return f"{rough:.0f} mm ({inches_text(rough, denominator=16 if mm < 25 else 4)})"


def message_svg(codes: Sequence[str], most: int, language: str = "en") -> str:
    """The drawing: an opening with a sheet on the wall on both sides, where to stand, and the things asked for ringed."""
    words, asked = _templates(language), set(asked_for(codes, most))
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {HIGH}" font-family="sans-serif" font-size="15">',
        f"<title>{escape(words['title'])}</title>",
        f'<rect width="{WIDE}" height="{HIGH}" fill="#faf9f6"/>',
        '<rect x="60" y="50" width="300" height="330" fill="none" stroke="#666" stroke-dasharray="8 5"/>',
        '<rect x="140" y="90" width="140" height="250" fill="#dde3e8" stroke="#222" stroke-width="3"/>',
        *(f'<rect x="{x}" y="180" width="34" height="46" fill="#fff" stroke="#006" stroke-width="2"/>' for x in (94, 292)),
        '<path d="M210 425 L210 350" stroke="#444" stroke-width="2" stroke-dasharray="3 4"/>',
        '<rect x="196" y="418" width="28" height="34" rx="5" fill="#444"/><circle cx="210" cy="428" r="5" fill="#fff"/>',
    ]
    notes = (
        ("all_round", 75, {"opening-cut", "cropped", "edge-hidden"}, (210, 50)),
        (
            "reference",
            195,
            {"card-missing", "card-small", "card-cut", "card-bent", "card-plane", "uncertain", "tilt-two-ways"},
            (326, 200),
        ),
        ("stand", 330, {"oblique", "wide-lens", "blur", "no-edge", "too-dark", "glare", "burnt-out", "noise"}, (224, 400)),
        (
            "send",
            415,
            {"too-small", "resized", "edited", "compressed", "no-metadata", "not-an-image", "too-large", "on-its-side"},
            (224, 440),
        ),
    )
    for key, y, about, (x, to) in notes:
        colour, width = ("#b0005a", 3) if about & asked else ("#444", 1)
        weight = "bold" if about & asked else "normal"
        parts.append(f'<path d="M390 {y} L{x} {to}" stroke="{colour}" stroke-width="{width}" fill="none"/>')
        lines = textwrap.wrap(words[key], NOTE_LETTERS)
        first = y + 5 - LINE_PX * (len(lines) - 1) // 2
        spans = "".join(f'<tspan x="396" y="{first + LINE_PX * k}">{escape(line)}</tspan>' for k, line in enumerate(lines))
        parts.append(f'<text fill="{colour}" font-weight="{weight}">{spans}</text>')
    return "\n".join([*parts, "</svg>"]) + "\n"
