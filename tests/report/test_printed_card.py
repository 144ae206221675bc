"""The PDF of our own reference card: true to scale, as its own numbers and another program's rendering say."""

from __future__ import annotations

import re
from itertools import pairwise

import cv2
import numpy as np
import pytest

from tests.geometry.prints import page_pixels
from vision.errors import BadInput
from vision.report.printed_card import PAPERS, SHEETS, frames_of, print_card
from vision.settings import CARD_KINDS

PT, PX = 25.4 / 72, 300 / 25.4
WRITTEN_MM = 1e-4
"""a length in the PDF is the difference of numbers written to 1e-4 pt or finer"""
RENDERED_MM = 0.04
"""half a pixel at 300 dpi: either edge is placed to a quarter by the grey of the pixel it runs through"""


def numbers(text: str) -> list[float]:
    return [float(word) for word in text.split()]


def contents(pdf: bytes) -> list[str]:
    """The drawing part of each page; it is not compressed."""
    return [part.decode("latin-1") for part in re.findall(rb"stream\r?\n(1 0 0 1 0 0 cm.*?)endstream", pdf, re.DOTALL)]


def rings(content: str) -> list[tuple[list[float], list[float]]]:
    """Filled paths of two rectangles, outer and inner: x, y, width, height in mm."""
    found = re.findall(r"n ([-\d. ]+) re ([-\d. ]+) re\s+f\*", content)
    return [([v * PT for v in numbers(a)], [v * PT for v in numbers(b)]) for a, b in found]


def bars(content: str) -> list[tuple[float, float]]:
    """Length across and down of every drawn line, mm."""
    found = re.findall(r"n ([-\d.]+) ([-\d.]+) m ([-\d.]+) ([-\d.]+) l S", content)
    return [(abs(float(c) - float(a)) * PT, abs(float(d) - float(b)) * PT) for a, b, c, d in found]


@pytest.mark.parametrize("paper", PAPERS)
def test_the_frames_have_their_kinds_sizes(paper: str) -> None:
    """What is drawn is what the catalogue of cards says, to the last written digit, inside the page."""
    large, four = contents(print_card(paper))

    for content, kind, count in ((large, "sheet", 1), (four, "quarter", 4)):
        drawn = rings(content)
        assert len(drawn) == count
        for outer, inner in drawn:
            spec = CARD_KINDS[kind]
            assert spec.target is not None
            assert outer[2:] == pytest.approx([spec.width_mm, spec.height_mm], abs=WRITTEN_MM)
            assert inner[0] - outer[0] == pytest.approx(spec.target.ring_mm, abs=WRITTEN_MM)
            assert outer[2] - inner[2] == pytest.approx(2 * spec.target.ring_mm, abs=WRITTEN_MM)
            assert outer[0] > 5
            assert outer[0] + outer[2] < PAPERS[paper][0] - 5
            assert outer[1] + outer[3] < PAPERS[paper][1] - 5


@pytest.mark.parametrize("paper", PAPERS)
def test_each_page_has_a_bar_of_100_mm_each_way(paper: str) -> None:
    """To the last written digit."""
    for content in contents(print_card(paper)):
        lengths = bars(content)
        for along in (0, 1):
            assert any(
                line[along] == pytest.approx(100, abs=WRITTEN_MM) and line[1 - along] == pytest.approx(0, abs=WRITTEN_MM)
                for line in lengths
            )


@pytest.mark.parametrize("paper", PAPERS)
def test_the_control_lengths_of_the_four_are_from_outer_edge_to_outer_edge(paper: str) -> None:
    """Across and down the uncut page, as the instructions say."""
    outer = np.array([ring[0] for ring in rings(contents(print_card(paper, "four"))[0])])
    spec = CARD_KINDS["quarter"].control_mm
    assert spec is not None
    for axis in (0, 1):
        assert (outer[:, axis] + outer[:, axis + 2]).max() - outer[:, axis].min() == pytest.approx(spec[axis], abs=WRITTEN_MM)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("kind", ["sheet", "quarter"])
def test_another_program_renders_it_to_scale(paper: str, kind: str) -> None:
    """Outer edges of the frames on the rendered page are as far apart as they should be, across and down."""
    page = page_pixels(paper, kind).astype(float)
    frames, height = frames_of(kind, paper), PAPERS[paper][1]
    first, last = frames[0], frames[-1]
    row = page[round((height - first.y - first.kind.height_mm / 2) * PX)]
    column = page[:, round((first.x + first.kind.width_mm / 2) * PX)]
    for line, low, high in (
        (row, first.x, last.x + last.kind.width_mm),
        (column, height - first.y - first.kind.height_mm, height - last.y),
    ):
        start = round((low - 3) * PX)
        part = line[start : round((high + 3) * PX)]
        dark = np.flatnonzero(part < 250)
        left = start + dark[0] + part[dark[0]] / 255
        right = start + dark[-1] + 1 - part[dark[-1]] / 255
        assert (right - left) / PX == pytest.approx(high - low, abs=RENDERED_MM)


def test_printing_is_told_not_to_scale() -> None:
    """The viewer preference stands in the file, which is the same each time."""
    pdf = print_card("a4")

    assert re.search(rb"/PrintScaling\s*/None", pdf)
    assert pdf == print_card("a4")


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_stands_near_a_frame(paper: str) -> None:
    """The white round each frame is white, but for the lines to cut along, so that its edge can be fitted."""
    for kind, clear in (("sheet", 9.0), ("quarter", 9.0)):
        page, px = page_pixels(paper, kind), PX
        for frame in frames_of(kind, paper):
            top = PAPERS[paper][1] - frame.y - frame.kind.height_mm
            x0, x1 = (round(v * px) for v in (frame.x, frame.x + frame.kind.width_mm))
            y0, y1 = (round(v * px) for v in (top, top + frame.kind.height_mm))
            r = round(clear * px)
            area = page[max(y0 - r, 0) : y1 + r, max(x0 - r, 0) : x1 + r].copy()
            oy, ox = y0 - max(y0 - r, 0), x0 - max(x0 - r, 0)
            area[oy - 2 : oy + y1 - y0 + 2, ox - 2 : ox + x1 - x0 + 2] = 255
            assert area.min() > 250, (kind, frame.number)


@pytest.mark.parametrize("paper", PAPERS)
def test_opencv_reads_every_target_on_the_page(paper: str) -> None:
    """By the whole standard dictionary, with the numbers that the catalogue gives."""
    full = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_50)
    for kind in ("sheet", "quarter"):
        _, ids, _ = cv2.aruco.ArucoDetector(full).detectMarkers(cv2.resize(page_pixels(paper, kind), None, fx=0.25, fy=0.25))
        target = CARD_KINDS[kind].target
        assert target is not None
        assert sorted(np.ravel(ids)) == sorted(target.ids)


def test_targets_are_told_apart_by_their_numbers() -> None:
    """No number means two kinds."""
    ids = [i for kind in CARD_KINDS.values() if kind.target for i in kind.target.ids]

    assert all(a < b for a, b in pairwise(sorted(ids)))


@pytest.mark.parametrize(("paper", "sheets"), [("a3", "both"), ("a4", "five")])
def test_another_paper_is_refused(paper: str, sheets: str) -> None:
    """With the choices named."""
    with pytest.raises(BadInput, match=r"a4, letter|large, four, both"):
        print_card(paper, sheets)


def test_each_choice_of_sheets_makes_its_pages() -> None:
    """One page for the large frame, one for the four small ones, or both."""
    assert {name: len(contents(print_card("letter", name))) for name in SHEETS} == {"large": 1, "four": 1, "both": 2}


def test_its_author_is_the_program() -> None:
    """Not the drawing library's word for somebody unknown."""
    pdf = print_card("a4", "both")
    assert b"/Author (Tapewitness)" in pdf
    assert b"anonymous" not in pdf
