"""What stands on the order sheet, once, for PDF and HTML alike: a page that a person can sign, more where the words need them.

Made from the report alone: no clock, no chance, so the same check gives the same page byte for byte.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from vision.judge.door_records import DoorOrder, Gap, OrderSize, Pane, Room
from vision.judge.quantities import KG_PER
from vision.judge.verdicts import Slip
from vision.names import PLAIN_NAMES
from vision.report.record import Report
from vision.report.sheet_opening import opening_drawing
from vision.report.sheet_panes import panes_drawing
from vision.report.sheet_photo import SheetPhoto, sheet_photo
from vision.report.sheet_shapes import Drawing, Words
from vision.report.sheet_walls import walls_drawing
from vision.report.sheet_words import (
    CANNOT_TELL,
    CAUTIONS,
    HOLD,
    NO_DOOR,
    READY,
    SHORT_NAMES,
    level_amount,
    plain_code,
    shortened,
    whose_numbers,
)
from vision.tape.repeats import Repeated
from vision.units import inches_text, plus_minus

OPENING_PT = (262.0, 286.0)
WALLS_PT = (142.0, 122.0)
PANES_PT = (284.0, 166.0)
"""width and height of the three drawings"""
LEVELS = ("plumb", "curb", "bow")
"""how the names of readings that are no lengths begin"""
NO_SCALE_MM = 100.0
"""mm; a photo that is less certain than this has no scale and says nothing about a length"""


@dataclass(frozen=True)
class Entry:
    """One line of a section: a bold beginning, the rest, and the mark of a verdict before it."""

    lead: str
    text: str = ""
    verdict: str | None = None


@dataclass(frozen=True)
class Section:
    """A heading and its lines."""

    title: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True)
class Readings:
    """The table of readings: each row a verdict and its cells."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True)
class Sheet:
    """The whole sheet."""

    status: str
    meaning: str
    subject: str
    opening: Drawing | None
    walls: Drawing | None
    panes: Drawing | None
    photo: SheetPhoto | None
    readings: Readings
    sections: tuple[Section, ...]


def order_sheet(report: Report) -> Sheet:
    """The page of this report, with or without a kind of door."""
    door = report.order.door
    subject = NO_DOOR if door is None else f"{_title(report)}: {door.door.title}"
    return Sheet(
        status=report.order.status.upper(),
        meaning=READY if report.order.status == "ready" else HOLD,
        subject=subject,
        opening=opening_drawing(report, *OPENING_PT),
        walls=walls_drawing(report, *WALLS_PT),
        panes=panes_drawing(report, *PANES_PT),
        photo=sheet_photo(report),
        readings=_readings(report),
        sections=tuple(section for section in _sections(report) if section.entries),
    )


def words_on(sheet: Sheet) -> Iterator[str]:
    """Every text of the sheet, drawings and photo with theirs."""
    yield from (sheet.status, sheet.meaning, sheet.subject, *sheet.readings.head)
    yield from (cell for _, cells in sheet.readings.rows for cell in cells)
    for section in sheet.sections:
        yield section.title
        yield from (text for entry in section.entries for text in (entry.lead, entry.text))
    for drawing in (sheet.opening, sheet.walls, sheet.panes):
        if drawing is not None:
            yield drawing.caption
            yield from (item.text for item in drawing.items if isinstance(item, Words))


def _title(report: Report) -> str:
    return "Sizes to order" if report.order.status == "ready" else "Sizes to order once every hold is cleared"


def _readings(report: Report) -> Readings:
    rows = []
    for name, one in report.comparison.readings.items():
        seen = one.photo_mm is not None and one.u_photo_mm is not None and one.u_photo_mm < NO_SCALE_MM
        photo = "not seen" if one.photo_mm is None else "shape only"
        photo = plus_minus(one.photo_mm or 0.0, 2 * (one.u_photo_mm or 0.0), "") if seen else photo
        words = SHORT_NAMES.get(name) or PLAIN_NAMES.get(name, name).split(" (")[0]
        level = name.startswith(LEVELS)
        inches = level_amount(name, one.tape_mm) if level else inches_text(one.tape_mm, denominator=32)
        again = report.repeats.get(name)
        written = one.text if again is None else f"mean of {len(again.texts)}"
        rows.append((one.verdict, (words, written, inches, f"{abs(one.tape_mm):.1f}", photo, one.verdict)))
    return Readings(("reading", "as written", "tape", "mm", "photo, 95 %", "verdict"), tuple(rows))


def _sections(report: Report) -> Iterator[Section]:
    order, door = report.order, report.order.door
    numbers = door.used if door is not None else ()
    told = [shortened(r.text, numbers).rstrip(".") for r in order.reasons]
    holds = tuple(
        Entry(f"{plain_code(r.code).capitalize()}:", f"{text}. Next: {r.next}")
        for r, text in zip(order.reasons, told, strict=True)
    )
    yield Section("Holds", holds or (Entry("None."),))
    seen = tuple(Entry(f"{plain_code(note.code).capitalize()}:", f"{note.text} {note.next}") for note in report.notes)
    yield Section("Also seen (it holds nothing)", seen)
    yield Section("Which slip, and what to ask", tuple(_slip(slip) for slip in report.slips))
    doubt = ", in doubt until the readings close" if any(f.code == "readings-do-not-close" for f in report.findings) else ""
    yield Section(f"Governing width, as the tape has it{doubt}", tuple(_governing(report)))
    yield Section("Read more than once", tuple(_again(name, one) for name, one in report.repeats.items()))
    if door is not None:
        yield Section(_title(report), tuple(_size(size, door) for size in door.sizes))
        yield Section("Glass", tuple(_pane(pane) for pane in door.panes))
        yield Section("Gaps left", tuple(_gap(gap) for gap in door.gaps))
        if door.hinge_wall is not None:
            choice = "This is a choice; the sizes are worked out for this one." if door.either_wall else ""
            yield Section("Seen from outside", (Entry(f"Hinges or fixing on the {door.hinge_wall} wall.", choice),))
    asked = tuple(Entry("", shortened(text, numbers)) for text in (door.questions if door is not None else ()))
    asked += tuple(Entry("", f"{question.text} {question.ask}") for question in report.questions)
    yield Section("Open questions", asked)
    yield Section(
        "What the photo cannot tell" if report.photos else "What readings alone cannot tell",
        tuple(Entry("", text) for text in (*(report.opening.unseen if report.opening else ()), *CANNOT_TELL)),
    )
    yield Section("Cautions", tuple(Entry("", text) for text in CAUTIONS))
    if door is not None:
        reminders = tuple(Entry("", f"{r.text} ({r.source})") for r in door.door.reminders)
        yield Section("Rules to remember", reminders)
        yield Section("Whose numbers", tuple(Entry("", text) for text in whose_numbers(numbers, door.door)))


def _slip(slip: Slip) -> Entry:
    """What fits, and the question for whoever measured."""
    return Entry("", f"{slip.text[:1].upper()}{slip.text[1:]} {'' if slip.code == 'none' else 'Ask: '}{slip.question}")


def _governing(report: Report) -> Iterator[Entry]:
    """The smallest width, which reading it is, and how that was written."""
    width, name = report.order.governing_width_mm, report.order.governing_reading
    if width is None or name is None:
        return
    again, one = report.repeats.get(name), report.comparison.readings.get(name)
    text = "" if one is None else f", written {one.text!r}"
    if again is not None:
        text = f", written {again.smallest_text!r}, the smallest of {len(again.texts)} readings"
    yield Entry(f"{inches_text(width, denominator=32)} ({width:.1f} mm):", f"the {PLAIN_NAMES.get(name, name)}{text}")


def _again(name: str, one: Repeated) -> Entry:
    """All readings of one length as written, what the page shows, and which one sizes are made from."""
    texts = ", ".join(repr(text) for text in one.texts)
    shown = f"read as {texts}; table and drawing show their mean"
    if name.startswith(LEVELS):
        return Entry(f"{PLAIN_NAMES.get(name, name)}:", f"{shown}, so do the walls")
    uses = f"sizes are made from the smallest, {one.smallest_text!r} ({one.smallest_mm:.1f} mm)"
    return Entry(f"{PLAIN_NAMES.get(name, name)}:", f"{shown}; {uses}")


def _size(size: OrderSize, door: DoorOrder) -> Entry:
    if size.value_mm is None:
        return Entry(f"{size.words}: withheld", f"({', '.join(plain_code(code) for code in size.withheld)})")
    inches = inches_text(size.value_mm, denominator=32, down=True)
    lead = f"{size.words}: {inches} ({size.value_mm:.1f} mm)"
    text = shortened(size.rule, door.used)
    if size.room is not None:
        text += f". {_budget(size.room)}"
    return Entry(lead, text)


def _budget(room: Room) -> str:
    """One line: what may run against the gap, and what is left of it."""
    tape = math.hypot(room.tape_95_mm, room.shape_95_mm)
    parts = (("glass", room.glass_mm), ("tape and wall shape at 95 %", tape), ("walls leaning alike", room.same_way_mm))
    against = "".join(f" - {words} {value:.1f}" for words, value in parts if value >= 0.05)
    return f"Budget in mm: gap {room.gap_mm + room.rounding_mm:.1f}{against} = {room.left_mm:.1f} left"


def _pane(pane: Pane) -> Entry:
    pounds = float(KG_PER["lb"])
    edge = "square" if pane.tapered_edge is None else f"{pane.tapered_edge} edge tapered, {pane.square_edge} edge square"
    feet = pane.area_m2 / 0.09290304
    weight = (
        f"{pane.mass_low_kg / pounds:.0f} to {pane.mass_kg / pounds:.0f} lb ({pane.mass_low_kg:.1f} to {pane.mass_kg:.1f} kg)"
    )
    carry = ("one person", "two people", "two people with suction cups and a third hand")[pane.people - 1]
    hinges = f", {pane.hinges} hinges" if pane.hinges is not None else ""
    return Entry(
        f"{pane.name}: {pane.thickness}",
        f"{edge}{hinges}, {pane.area_m2:.2f} m2 ({feet:.1f} sq ft), {weight}, carried by {carry}",
    )


def _gap(gap: Gap) -> Entry:
    """One gap, its two ends only where they differ on paper, and its middle where that is less than both."""
    first, second = (_both_units(v) for v in (gap.first_mm, gap.second_mm))
    words = first if first == second else f"{gap.ends[0]} {first}, {gap.ends[1]} {second}"
    if gap.middle_mm is None or gap.least_mm < gap.middle_mm or _both_units(gap.middle_mm) in (first, second):
        return Entry("", f"{gap.edge}: {words}")
    return Entry("", f"{gap.edge}: {words}; in the middle {_both_units(gap.middle_mm)} if the belly is all on this wall")


def _both_units(mm: float) -> str:
    return f"{inches_text(mm, denominator=32)} ({mm:.1f} mm)"
