"""The order sheet: one page to sign, the same as PDF and HTML."""

from __future__ import annotations

import base64
import colorsys
import math
import os
import re
import subprocess
import sys
import zlib
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
from defusedxml.ElementTree import fromstring
from reportlab.pdfbase.pdfmetrics import stringWidth

from tests import made
from tests.judge.openings import INCH, judged, ordered, photo, suiting, tape, walls
from tests.judge.test_ordering import ALL_RIGHT, LEANING
from tests.tolerances import EXACT
from vision.check import CheckRequest, check, facts_from_mapping
from vision.judge.door_records import Gap, Pane
from vision.judge.doors import kinds
from vision.judge.verdicts import Reason, Slip
from vision.report.record import Report
from vision.report.sheet import Section, order_sheet
from vision.report.sheet_html import sheet_html, svg
from vision.report.sheet_opening import OUTLINE_WIDTH, opening_drawing, wall_quantities
from vision.report.sheet_panes import HINGE_PT, panes_drawing
from vision.report.sheet_pdf import PAPERS, sheet_pdf, type_size
from vision.report.sheet_pen import BOLD, FONT, latin
from vision.report.sheet_shapes import PT_PER_MM, Area, Drawing, Line, Mark, Words
from vision.report.sheet_walls import wall_curve, walls_drawing
from vision.report.sheet_words import CAUTIONS, TO_SIGN, level_amount

ROOT = Path(__file__).resolve().parent.parent.parent
PLACES = 5e-3
"""pt; reportlab writes coordinates with some decimals, SVG with three"""
HARDWARE = {"name": "sheet A", "panel_width": "24 in", "gap_panel": {"value": "4 mm", "source": "page 2"}}
REPORTS = {"ready": made.ready, "hold": made.hold, "scale refused": made.scale_refused, "failed": made.failed}


def with_door(kind: str = "panel-and-door") -> Report:
    """Room 3 with a tapered panel beside a door."""
    order = ordered(kind, LEANING, photo(LEANING), ALL_RIGHT, hardware=suiting(kind, HARDWARE))
    return replace(made.ready(), order=order, comparison=judged(LEANING, photo(LEANING)))


def full(holds: int = 30) -> Report:
    """More words than a page holds at its usual size."""
    report = with_door()
    reasons = tuple(
        Reason("suspect-reading", f"reading {i} is suspect for a reason that takes a whole line to say " * 2, "Measure again.")
        for i in range(holds)
    )
    return replace(report, order=replace(report.order, status="hold", reasons=reasons))


def content(pdf: bytes) -> str:
    """The pages' content streams, decoded, in their order."""
    streams = re.findall(rb"<<((?:(?!endobj).)*?)>>\s*stream\r?\n(.*?)endstream", pdf, re.DOTALL)
    pages = [data.strip().removesuffix(b"~>") for head, data in streams if b"/Subtype" not in head]
    return "\n".join(zlib.decompress(base64.a85decode(page)).decode("latin-1") for page in pages)


def pages_of(pdf: bytes) -> int:
    return len(re.findall(rb"/Type /Page\b", pdf))


def words_of(pdf: bytes) -> str:
    """All text that is set on the page, in the order in which it is set, letters beyond ASCII as they read."""
    raw = "".join(re.findall(r"\((.*?)(?<!\\)\) Tj", content(pdf)))
    return re.sub(r"\\(\d{3})", lambda octal: bytes([int(octal[1], 8)]).decode("cp1252"), raw).replace("\\", "")


def paths(stream: str, width: float) -> list[list[tuple[float, float]]]:
    """Corners of every path that is stroked with this line width."""
    found: list[list[tuple[float, float]]] = []
    current, points = 0.0, []
    tokens = stream.split()
    for i, token in enumerate(tokens):
        if token == "w":
            current = float(tokens[i - 1])
        elif token in ("m", "l"):
            points.append((float(tokens[i - 2]), float(tokens[i - 1])))
        elif token in ("S", "s", "B", "b", "f", "n", "f*"):
            if token in ("S", "s", "B", "b") and abs(current - width) < EXACT and points:
                found.append(points)
            points = []
    return found


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_the_opening_is_to_scale_in_the_pdf_itself(paper: str) -> None:
    """Bottom, top, heights and both bars have in the PDF's own points the length that the stated scale gives them."""
    report = with_door()
    stream = content(sheet_pdf(report, paper))
    scale = int(re.findall(r"to scale 1 : (\d+)", order_sheet(report).opening.caption)[0])  # type: ignore[union-attr]
    outline = paths(stream, OUTLINE_WIDTH)[0]
    k = PT_PER_MM / scale

    assert f"at 1 : {scale}" in stream
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = outline
    assert bx - ax == pytest.approx(k * 48 * INCH, abs=PLACES)
    assert cx - dx == pytest.approx(k * 47.75 * INCH, abs=PLACES)
    assert (cy - by, dy - ay) == (pytest.approx(k * 76 * INCH, abs=PLACES),) * 2
    bars = sorted(abs(b[0] - a[0]) for a, b in (p for p in paths(stream, 1.0) if len(p) == 2))
    assert bars == [pytest.approx(k * 500.0, abs=PLACES), pytest.approx(k * 20 * INCH, abs=PLACES)]


@pytest.mark.parametrize("paper", sorted(PAPERS))
@pytest.mark.parametrize("report", [*REPORTS.values(), with_door, full], ids=[*REPORTS, "door", "full"])
def test_every_report_is_set_in_readable_letters_on_that_paper(report: object, paper: str) -> None:
    """Ready, held, without sizes, nothing measured, or with a great deal to say: 7 pt at least, its status on each page."""
    made_report: Report = report()  # type: ignore[operator]
    pdf = sheet_pdf(made_report, paper)

    boxes_of = re.findall(rb"/MediaBox \[ (\S+) (\S+) (\S+) (\S+) \]", pdf)
    assert len(boxes_of) == pages_of(pdf)
    for box in boxes_of:
        assert [float(one) for one in box] == pytest.approx([0, 0, *PAPERS[paper]], abs=1e-3), (
            "pt, as the paper's standard has it"
        )
    assert content(pdf).count(f"({made_report.order.status.upper()})") == pages_of(pdf)
    assert type_size(order_sheet(made_report), paper) >= 7.0
    drawings = {
        item.size
        for drawing in (order_sheet(made_report).opening, order_sheet(made_report).walls, order_sheet(made_report).panes)
        if drawing is not None
        for item in drawing.items
        if isinstance(item, Words)
    }
    used = {float(size) for size in re.findall(r"/F\d+ ([\d.]+) Tf", content(pdf))}
    assert min(used - drawings) >= 7.0


def test_a_second_page_is_for_words_that_the_first_has_no_room_for() -> None:
    """One page for a short report; else the pages are numbered, and the lines to sign stand on the last one only."""
    assert pages_of(sheet_pdf(made.ready())) == 1
    pdf = sheet_pdf(full(60))
    count, words = pages_of(pdf), words_of(pdf)
    assert count >= 3
    for number in range(1, count + 1):
        assert f"Order sheet, page {number} of {count}" in words
    assert words.count(TO_SIGN[0]) == 1
    assert words.index(TO_SIGN[0]) > words.index(f"page {count} of {count}")
    assert words.count(f"Goes on, and is signed, on page {count}.") == count - 1


def test_nothing_is_left_out_of_a_full_sheet() -> None:
    """All holds, cautions, questions and rules are there, however many there are (a text may go on over the page)."""
    for holds in (14, 30, 60):
        words = words_of(sheet_pdf(full(holds))).replace(" ", "")
        for i in range(holds):
            assert f"reading{i}issuspect" in words
        for one in order_sheet(full(holds)).sections:
            for entry in one.entries:
                for part in (entry.text.split()[:4], entry.text.split()[-4:]):
                    assert latin("".join(part)) in words


def test_a_long_reading_stands_on_two_lines_rather_than_cut() -> None:
    """Its direction and length are what it says."""
    verdict = replace(made.verdict("width_top"), name="plumb_left", text="3/16 into the opening over 72 in", tape_mm=4.76)
    report = replace(made.hold(), comparison=replace(made.hold().comparison, readings={"plumb_left": verdict}))
    words = words_of(sheet_pdf(report))
    assert all(one in words for one in verdict.text.split())
    assert "..." not in words


@pytest.mark.parametrize(
    ("name", "printed", "said"),
    [("hinges, Łódź", "hinges, ?ódz", True), ("浴室 2", "?? 2", True), ("Größe ½, 3⅛″", 'Größe ½, 3 1/8"', False)],
)
def test_letters_that_the_pdf_lacks_are_said_to_be_missing(name: str, printed: str, said: bool) -> None:
    """A name of the hardware sheet in other letters: without accents or as ?, with a line that says so; the HTML has it whole."""
    order = ordered("panel-and-door", LEANING, photo(LEANING), ALL_RIGHT, hardware={"name": name, "gap_hinge": "5 mm"})
    report = replace(made.hold(), order=order)
    words = words_of(sheet_pdf(report))

    assert f"From {printed}:" in words
    assert ("stand without accents or as ?" in words) == said
    assert name in Text.of(sheet_html(report))


@pytest.mark.parametrize("make", [with_door, made.hold], ids=["door", "no door"])
def test_the_same_report_gives_the_same_bytes(make: object) -> None:
    """Twice the same PDF and the same HTML: no clock in either."""
    assert sheet_pdf(make()) == sheet_pdf(make())  # type: ignore[operator]
    assert sheet_html(make()) == sheet_html(make())  # type: ignore[operator]
    assert b"2000" in re.findall(rb"/CreationDate \((.*?)\)", sheet_pdf(made.ready()))[0]


def test_another_process_gives_the_same_bytes() -> None:
    """No order of a set reaches the page."""
    code = (
        "import hashlib; from tests.report.test_sheet import with_door; from vision.report.sheet_pdf import sheet_pdf; "
        "from vision.report.sheet_html import sheet_html; r = with_door(); "
        "print(hashlib.sha256(sheet_pdf(r) + sheet_html(r).encode()).hexdigest())"
    )
    digests = {
        subprocess.run(
            [sys.executable, "-c", code], cwd=ROOT, env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, text=True,
            check=True, timeout=120,
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip
    assert len(digests) == 1


def test_pdf_and_html_say_the_same() -> None:
    """Every lead, caption, caution and line to sign of the one content stands in both."""
    report = with_door()
    sheet = order_sheet(report)
    pdf = words_of(sheet_pdf(report)).replace(" ", "")
    html = Text.of(sheet_html(report)).replace(" ", "")
    expected = [entry.lead for section in sheet.sections for entry in section.entries if entry.lead]
    expected += [text for section in sheet.sections for entry in section.entries for text in [entry.text]]
    expected += [cell for _, cells in sheet.readings.rows for cell in cells]
    expected += [sheet.meaning, *CAUTIONS, *TO_SIGN]

    for words in expected:
        bare = words.replace(" ", "")
        assert latin(bare) in pdf
        assert bare in html


class Text(HTMLParser):
    """The words of a page, and whether its tags are closed in order."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.open: list[str] = []

    @classmethod
    def of(cls, html: str) -> str:
        parser = cls()
        parser.feed(html)
        assert parser.open == []
        return "".join(parser.words)

    def handle_starttag(self, tag: str, attrs: object) -> None:
        if tag not in ("meta", "img", "br") and not tag.startswith("!"):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: object) -> None:
        pass

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def test_what_was_typed_cannot_become_part_of_the_page() -> None:
    """A reading or a sheet's name with markup in it stays text, and strange letters do not break the PDF."""
    order = ordered(
        "panel-and-door", LEANING, photo(LEANING), ALL_RIGHT, hardware={"name": "<script>x</script>", "gap_hinge": "5 mm"}
    )
    verdict = made.verdict("width_top", text="<b>56⅛″\x1b\N{SNOWMAN}</b>")
    report = replace(made.hold(), order=order, comparison=replace(made.hold().comparison, readings={"width_top": verdict}))

    assert "<script>" not in sheet_html(report)
    assert "<b>" not in sheet_html(report)
    assert '1/8"??' in content(sheet_pdf(report))


@pytest.mark.parametrize("kind", kinds())
def test_a_withheld_size_has_no_number(kind: str) -> None:
    """Without a second witness every size of every kind is withheld, and no glass is drawn."""
    order = ordered(kind, LEANING, None, None, hardware=suiting(kind, {"panel_width": "24 in", "panel_height": "60 in"}))
    report = replace(made.hold(), order=order)
    sizes = next(section for section in order_sheet(report).sections if section.title.startswith("Sizes"))

    assert all(entry.lead.endswith(": withheld") for entry in sizes.entries)
    assert not any(section.title == "Glass" for section in order_sheet(report).sections)
    assert panes_drawing(report, 280.0, 160.0) is None


def test_no_colour_is_red_amber_or_green_and_shapes_tell_verdicts_apart() -> None:
    """Marks are disc, triangle and square; colours of the page are blue, orange-brown for suspect, greys: never red or green."""
    readings = {name: made.verdict(name) for name in ("width_top", "width_middle", "width_bottom")}
    readings["width_top"] = replace(readings["width_top"], verdict="suspect")
    readings["width_middle"] = replace(readings["width_middle"], verdict="cannot tell")
    report = replace(made.hold(), comparison=replace(made.hold().comparison, readings=readings))
    html, stream = sheet_html(report), content(sheet_pdf(report))
    colours = {tuple(float(v) for v in match.split()) for match in re.findall(r"([\d.]+ [\d.]+ [\d.]+) (?:rg|RG)", stream)}

    for red, green, blue in colours:
        hue, _, saturation = colorsys.rgb_to_hls(red, green, blue)
        grey = saturation < 0.05 or max(red, green, blue) < 0.2
        assert grey or 15 / 360 < hue < 45 / 360 or 190 / 360 < hue < 260 / 360, (red, green, blue)
    assert "<circle" in html
    assert html.count("<rect") >= 2
    for word in ("agrees", "suspect", "cannot tell"):
        assert word in html
        assert word in stream


def test_walls_are_drawn_too_large_by_the_stated_factor() -> None:
    """The curve's end stands from plumb by lean times height, times the factor in the caption; the band is two sd either side."""
    report = made.ready()
    drawing = walls_drawing(report, 142.0, 122.0)
    quantities = wall_quantities(report)
    assert drawing is not None
    assert quantities is not None
    factor = int(re.findall(r"drawn (\d+) times", drawing.caption)[0])
    curve = next(item for item in drawing.items if isinstance(item, Line) and item.width == 1.2)
    (x0, y0), (x1, y1) = curve.points[0], curve.points[-1]
    k = (y1 - y0) / made.HEIGHT_MM
    band = next(item for item in drawing.items if isinstance(item, Area))
    ends = sorted(x for x, y in band.points if abs(y - y1) < PLACES)

    assert x1 - x0 == pytest.approx(factor * k * made.MEAN["lean_left"] * made.HEIGHT_MM / 1000, rel=EXACT)
    assert ends[1] - ends[0] == pytest.approx(4 * factor * k * quantities.u("lean_left") * made.HEIGHT_MM / 1000, rel=EXACT)


def test_a_wall_curve_has_its_lean_at_the_top_and_its_bow_half_way() -> None:
    """x(H) = lean H; x(H/2) = lean H/2 + bow, with the joint uncertainty of both."""
    seen = wall_quantities(made.ready())
    assert seen is not None
    height = 2000.0
    x, u = wall_curve(seen, "left", np.array([0.0, height / 2, height]), height)
    lean, bow = seen.value("lean_left"), seen.value("bow_left")
    C = seen.select(("lean_left", "bow_left")).covariance

    assert x == pytest.approx([0.0, lean + bow, 2 * lean], rel=EXACT)
    assert u**2 == pytest.approx([0.0, C[0, 0] + C[1, 1] + 2 * C[0, 1], 4 * C[0, 0]], rel=EXACT)


def test_panes_are_to_scale_with_their_square_edge() -> None:
    """The tapered pane's corners stand as its sizes say, and the sign of the right angle is at its square edge."""
    report = with_door()
    drawing = panes_drawing(report, 284.0, 166.0)
    assert drawing is not None
    assert report.order.door is not None
    pane = next(pane for pane in report.order.door.panes if pane.name == "panel")
    scale = int(re.findall(r"to scale 1 : (\d+)", drawing.caption)[0])
    a, b, c, d = [item for item in drawing.items if isinstance(item, Area)][1].points
    angle = next(item for item in drawing.items if isinstance(item, Line) and item.width == 0.8)

    assert b[0] - a[0] == pytest.approx(pane.bottom_mm * PT_PER_MM / scale, rel=EXACT)
    assert c[0] - d[0] == pytest.approx(pane.top_mm * PT_PER_MM / scale, rel=EXACT)
    assert pane.top_mm < pane.bottom_mm
    assert (d[0], angle.points[-1][0]) == (pytest.approx(a[0], rel=EXACT), pytest.approx(a[0], rel=EXACT))


def test_a_report_without_sizes_has_no_drawing_and_still_a_page() -> None:
    """Nothing read and nothing measured: no outline is invented."""
    report = replace(made.failed(), comparison=replace(made.failed().comparison, readings={}))

    assert opening_drawing(report, 262.0, 286.0) is None
    assert walls_drawing(report, 142.0, 122.0) is None
    assert "Needs corners:" in sheet_html(report)


def test_drawings_are_well_formed() -> None:
    """Each SVG is XML of the stated size."""
    sheet = order_sheet(with_door())
    for drawing in (sheet.opening, sheet.walls, sheet.panes):
        assert drawing is not None
        assert fromstring(svg(drawing)).get("width") == f"{drawing.width:g}pt"


def test_unknown_leans_are_said_and_the_left_wall_is_drawn_plumb() -> None:
    """The drawing does not pretend to know how the opening leans."""
    report = replace(made.hold(), opening=None)
    drawing = opening_drawing(report, 262.0, 286.0)

    assert drawing is not None
    assert "not known" in drawing.caption
    outline = next(item for item in drawing.items if isinstance(item, Area) and item.width == OUTLINE_WIDTH)
    assert outline.points[0][0] == pytest.approx(outline.points[3][0], rel=EXACT)


def test_without_a_head_the_stated_height_is_drawn() -> None:
    """Nothing above and no height read: the outline ends at the height that was stated, and the caption says that it is open."""
    readings = {name: made.verdict(name) for name in ("width_top", "width_middle", "width_bottom")}
    names = ("width_top", "width_middle", "width_bottom")
    seen = replace(made.opening(names), has_head=False, height_mm=1900.0)
    report = replace(made.hold(), opening=seen, comparison=replace(made.hold().comparison, readings=readings))
    drawing = opening_drawing(report, 262.0, 286.0)

    assert drawing is not None
    scale = int(re.findall(r"to scale 1 : (\d+)", drawing.caption)[0])
    outline = next(item for item in drawing.items if isinstance(item, Area) and item.width == OUTLINE_WIDTH)
    assert outline.points[3][1] - outline.points[0][1] == pytest.approx(1900.0 * PT_PER_MM / scale, rel=EXACT)
    assert "nothing closes it above" in drawing.caption


def test_the_photo_keeps_its_proportions() -> None:
    """In both files the photo is as wide to its height as it came."""
    photo_shape = 800 / 1000
    wide, high = re.findall(r'style="width:([\d.]+)pt;height:([\d.]+)pt"', sheet_html(with_door()))[0]
    drawn = re.findall(r"([\d.]+) 0 0 ([\d.]+) [\d.]+ [\d.]+ cm\s+/\S+ Do", content(sheet_pdf(with_door())))[0]

    assert float(wide) / float(high) == pytest.approx(photo_shape, abs=1e-3), "printed to a hundredth of a point"
    assert float(drawn[0]) / float(drawn[1]) == pytest.approx(photo_shape, abs=1e-3)


def test_a_light_tape_beside_square_glass_keeps_the_readings_text() -> None:
    """The words of a reading stay on the sheet as written."""
    taped = tape({"Wb": "48 light", "Wm": "48", "Wt": "48", "Hl": "76", "Hr": "76"})
    order = ordered("panel-and-door", taped, photo(taped), walls(0.0, 0.0))
    report = replace(made.ready(), order=order, comparison=judged(taped, photo(taped)))

    assert "48 light" in sheet_html(report)
    assert "(48 light)" in content(sheet_pdf(report))


def section(report: Report, title: str) -> Section:
    """The section of this title."""
    (found,) = [one for one in order_sheet(report).sections if one.title == title]
    return found


def test_the_slips_that_fit_stand_on_the_sheet_with_what_to_ask_on_the_phone() -> None:
    """Whoever rings has the question in front of them; where none fits, what to do instead."""
    fits = Slip(
        "inch-kept", ("width_top",), True, 25.4, "Top width, 1 in long: an inch kept.", "Did you start at the one-inch mark?"
    )
    none = Slip("none", ("width_top",), False, None, "No known slip fits.", "Please measure again, without looking at the list.")
    for slip, words in ((fits, "an inch kept. Ask: Did you start"), (none, "No known slip fits. Please measure")):
        report = replace(made.hold(), slips=(slip,))
        assert words in section(report, "Which slip, and what to ask").entries[0].text
        assert words.replace(" ", "") in words_of(sheet_pdf(report)).replace(" ", "")
        assert words in Text.of(sheet_html(report))


def test_a_ready_sheet_speaks_of_no_holds_to_clear() -> None:
    """Sizes to order, without a condition, where every hold is cleared; with it where one is left."""
    for status, said in (("ready", False), ("hold", True)):
        report = replace(with_door(), order=replace(with_door().order, status=status, reasons=()))  # type: ignore[arg-type]
        assert ("once every hold is cleared" in Text.of(sheet_html(report))) == said


def test_a_gap_says_its_middle_where_that_is_the_least() -> None:
    """Beside equal ends the smaller middle stands on the page, and not where it is no smaller."""
    door = with_door().order.door
    assert door is not None
    for middle, said in ((INCH / 8, True), (INCH / 4, False), (None, False)):
        made_gap = Gap("left wall", 3 * INCH / 16, 3 * INCH / 16, middle_mm=middle)
        report = replace(with_door(), order=replace(with_door().order, door=replace(door, gaps=(made_gap,))))
        (entry,) = section(report, "Gaps left").entries
        assert ("in the middle 1/8 in (3.2 mm)" in entry.text) == said
        assert entry.text.startswith("left wall: 3/16 in (4.8 mm)")


def leveled() -> Report:
    """A report with level readings, a middle height and a curb fall."""
    values = {"height_middle": 1985.0, "plumb_left": 4.76, "plumb_right": 0.0, "curb_level": -1.59, "bow_left": -3.2}
    texts = {"plumb_left": "3/16 into over 72", "plumb_right": "0 in", "curb_level": "1/16", "bow_left": "1/8 out"}
    more = {n: replace(made.verdict("width_top"), name=n, text=texts.get(n, "x"), tape_mm=v) for n, v in values.items()}
    before = made.hold()
    readings = {**before.comparison.readings, **more}
    return replace(before, comparison=replace(before.comparison, readings=readings), recorded={"curb_fall": "1/4 inside low"})


def test_every_reading_stands_on_its_edge() -> None:
    """Left plumb and bow left of the outline, right ones right of it, level and fall of the curb under it, the height inside."""
    drawing = opening_drawing(leveled(), 262.0, 286.0)
    assert drawing is not None
    a, b, c, d = next(i for i in drawing.items if isinstance(i, Area) and i.width == OUTLINE_WIDTH).points
    at = {item.text: item.at for item in drawing.items if isinstance(item, Words)}

    def where(start: str) -> tuple[float, float]:
        (found,) = [place for text, place in at.items() if text.startswith(start)]
        return found

    for words in ("left plumb: 3/16 into over 72  ", "left bow: 1/8 out  "):
        assert where(words)[0] < min(a[0], d[0])
    assert where("right plumb: plumb  ")[0] > max(b[0], c[0])
    assert where("curb level: 1/16 in left  ")[1] < a[1]
    assert where("fall of the curb front to back: 1/4 inside low")[1] < a[1]
    assert a[0] < where("78-5/32 in  ")[0] < b[0]
    assert all(0 < x < drawing.width and y > 0 for x, y in at.values())


@pytest.mark.parametrize("width", [22.0, 28.0, 36.0, 60.0])
def test_the_labels_of_the_diagonals_stay_between_the_walls(width: float) -> None:
    """From a narrow door on: the mark before the words does not stand on the wall, and the middle width keeps its place."""
    before = made.hold()
    lengths = {"width_top": width, "width_middle": width, "width_bottom": width, "height_left": 76.0, "height_right": 76.0,
               "diagonal_rising": 81.0, "diagonal_falling": 81.0}  # fmt: skip
    readings = {n: replace(made.verdict(n), tape_mm=v * INCH, verdict="agrees") for n, v in lengths.items()}
    drawing = opening_drawing(replace(before, opening=None, comparison=replace(before.comparison, readings=readings)), 262, 286)
    assert drawing is not None
    a, *_ = next(i for i in drawing.items if isinstance(i, Area) and i.width == OUTLINE_WIDTH).points
    rows = sorted(i.at[1] for i in drawing.items if isinstance(i, Words) and i.text.endswith("agrees") and not i.turned)
    marks = [i.at[0] for i in drawing.items if isinstance(i, Mark)]

    assert min(x for x in marks if x > a[0] - 8) > a[0] + 2
    assert min(np.diff(rows)) > 14.0, "pt; two lines of a label"


@pytest.mark.parametrize(
    ("name", "mm", "words"),
    [("plumb_left", 4.7625, "3/16 in into"), ("bow_right", -1.5875, "1/16 in out"), ("plumb_left", 0.2, "plumb"),
     ("bow_left", 0.0, "straight"), ("curb_level", -3.175, "1/8 in left"), ("curb_level", 0.0, "level")],
)  # fmt: skip
def test_a_level_reading_is_said_by_amount_and_direction(name: str, mm: float, words: str) -> None:
    """No signs and no '0 in out of'."""
    assert level_amount(name, mm) == words


def test_a_plumb_wall_is_called_plumb() -> None:
    """Under a sixty-fourth of an inch there is no direction; else the top stands inward or outward."""
    report = made.ready()
    drawing = walls_drawing(report, 142.0, 122.0)
    assert drawing is not None
    said = [item.text for item in drawing.items if isinstance(item, Words)]
    assert [text for text in said if text.startswith(("top ", "plumb"))] == [said[1], said[4]]
    assert not any("0 in out" in text or text.startswith("0 in") for text in said)


def test_the_hinge_edge_is_drawn_thick_and_said() -> None:
    """On the wall side that carries the door, and the caption explains it; the panel has none."""
    report = with_door()
    drawing = panes_drawing(report, 284.0, 166.0)
    assert drawing is not None
    door = report.order.door
    assert door is not None
    (thick,) = [item for item in drawing.items if isinstance(item, Line) and item.width == HINGE_PT]
    corners = [item for item in drawing.items if isinstance(item, Area)][[p.name for p in _by_place(report)].index("door")].points
    assert {thick.points[0], thick.points[1]} == (
        {corners[0], corners[3]} if door.hinge_wall == "left" else {corners[1], corners[2]}
    )
    assert "hinge edge drawn thick" in drawing.caption


def _by_place(report: Report) -> list[Pane]:
    assert report.order.door is not None
    return sorted(report.order.door.panes, key=lambda pane: pane.at_x_mm)


def test_whose_numbers_are_named_in_words() -> None:
    """The user's own numbers and choices stand by their words, not by the keys of a file."""
    order = ordered("hinged-door", LEANING, photo(LEANING), ALL_RIGHT,
                    hardware={"name": "sheet A", "gap_strike": "5 mm", "hinge_wall": "left", "glass": "1/2 in"})  # fmt: skip
    texts = [entry.text for entry in section(replace(made.hold(), order=order), "Whose numbers").entries]
    assert "From sheet A: glass 1/2 in; hinge wall left; gap at the strike side 5 mm." in texts
    assert not any("_" in text for text in texts)


def boxes(drawing: Drawing) -> list[tuple[str, float, float, float, float]]:
    """Left, bottom, right and top (pt) of every mark and line of text that stands on white (capitals 0.72 of the size high)."""
    marks = [(m.verdict, m.at, m.size) for m in drawing.items if isinstance(m, Mark)]
    out = [(word, x - size, y - size, x + size, y + size) for word, (x, y), size in marks]
    for words in drawing.items:
        if isinstance(words, Words) and words.ground:
            (x, y), half, high = (
                words.at,
                stringWidth(words.text, BOLD if words.bold else FONT, words.size) / 2,
                0.72 * words.size,
            )
            low_high = (x - high, y - half, x, y + half) if words.turned else (x - half, y, x + half, y + high)
            out.append((words.text, *low_high))
    return out


@pytest.mark.parametrize("wide", [28.0, 30.0, 34.0, 41.53125, 48.0, 60.0])
def test_no_label_in_the_opening_touches_another(wide: float) -> None:
    """Every reading there is, the longest verdict beside each, from a door of 28 in alone to five feet."""
    high, diagonal = 75.96875, math.hypot(wide, 75.96875)
    lengths = {f"width_{place}": wide for place in ("bottom", "middle", "top")}
    lengths |= {f"height_{place}": high for place in ("left", "middle", "right")}
    lengths |= {f"diagonal_{way}": round(32 * diagonal) / 32 for way in ("rising", "falling")}
    facts = facts_from_mapping({"unit": "in", "readings": {name: str(value) for name, value in lengths.items()}})
    drawing = order_sheet(check(CheckRequest((), tape=facts))).opening
    assert drawing is not None
    found = boxes(drawing)
    assert len(found) == 3 * len(lengths)
    for i, (one, left, bottom, right, top) in enumerate(found):
        for other, *box in found[i + 1 :]:
            apart = right < box[0] or box[2] < left or top < box[1] or box[3] < bottom
            assert apart, (one, other)
