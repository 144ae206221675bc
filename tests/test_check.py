"""The one door on painted photos: what is measured, refused, found and held, by CONTRACT.md."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from PIL import Image

from tests.geometry.scenery import LETTER_MM, Patch, Picture, Shot, Wall, as_file, bank_card, four_cards, picture
from vision.check import BadInput, CardCorners, CheckRequest, Entry, PlumbLine, TapeFacts, check, overlay_jpeg, to_json
from vision.geometry.corner_order import cut_by_border
from vision.settings import IntakeSettings, Settings
from vision.settings_trace import TraceSettings

WIDTH, HEIGHT = 1400.0, 1950.0
ROOM = Wall(WIDTH, HEIGHT, patches=four_cards(WIDTH, HEIGHT), plumb_x_mm=900.0)
SHEETS = replace(ROOM, patches=tuple(Patch((x, y), LETTER_MM) for x in (-160, WIDTH + 160) for y in (180, HEIGHT - 180)))
MEASURED = ("letter@0+-0.3=215.9x279.4mm+-0.2",)
SHEET = Wall(WIDTH, HEIGHT, patches=(Patch((1650, 900), LETTER_MM),))
INSIDE = Wall(WIDTH, HEIGHT, patches=(Patch((800, 900), LETTER_MM),))
OPEN = Wall(WIDTH, HEIGHT, patches=four_cards(WIDTH, 1700), head=False)
BARE = Wall(WIDTH, HEIGHT)
FLAT = ("id-1@0+-0.3",)
"""the painted cards have no thickness"""
ALL_SEVEN = ("width_top", "width_middle", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling")
FAR = 3.5
"""standard deviations"""


def request(of: Picture, **changes: Any) -> CheckRequest:
    """One photo with corners five pixels off and flat cards."""
    usual = CheckRequest(photos=(("room3.jpg", of.data),), corners=(of.corners_px(5.0),), cards=FLAT)  # type: ignore[arg-type]
    return replace(usual, **changes)


UNSURE = Settings(trace=TraceSettings(confidence=1.0))
"""no outline of the program's own is ever sure enough"""


def answer(asked: CheckRequest, settings: Settings | None = None) -> dict[str, Any]:
    """The report as JSON has it; it must be plain JSON without NaN."""
    data = to_json(check(asked, settings or Settings()))
    json.dumps(data, allow_nan=False)
    return data


@cache
def usual() -> dict[str, Any]:
    """The room, no readings."""
    return answer(request(picture(ROOM)))


def plumb(of: Picture, off_px: float = 4.0) -> PlumbLine:
    x = of.wall.plumb_x_mm
    (ax, ay), (bx, by) = of.shot.to_px(np.array([(x, 0.9 * HEIGHT), (x, 0.1 * HEIGHT)]))
    return PlumbLine(1, ((float(ax) + off_px, float(ay)), (float(bx) - off_px, float(by))))


def readings(slips_mm: dict[str, float] | None = None, **at: str) -> TapeFacts:
    """What a tape gives in the room, to a millimetre, with these slips; `at` for widths."""
    diagonal = (WIDTH**2 + HEIGHT**2) ** 0.5
    true = dict.fromkeys(ALL_SEVEN[:3], WIDTH) | dict.fromkeys(ALL_SEVEN[3:5], HEIGHT) | dict.fromkeys(ALL_SEVEN[5:], diagonal)
    entries = [Entry(n, f"{v + (slips_mm or {}).get(n, 0.0):.0f} mm", at.get(n)) for n, v in true.items()]
    return TapeFacts(entries=tuple(entries))


def codes(data: dict[str, Any]) -> set[str]:
    return {f["code"] for f in data["findings"]}


def reasons(data: dict[str, Any]) -> set[str]:
    return {r["code"] for r in data["order"]["reasons"]}


def suspects(data: dict[str, Any]) -> set[str]:
    return {n for n, v in data["readings"].items() if v["verdict"] == "suspect"}


def assert_measured(data: dict[str, Any], true: dict[str, float]) -> None:
    """Each of these sizes is within what is stated of it."""
    assert set(true) <= set(data["sizes"]), data["not_measured"]
    far = {n: (data["sizes"][n]["value_mm"] - v) / data["sizes"][n]["u_mm"] for n, v in true.items()}
    assert {n: z for n, z in far.items() if abs(z) > FAR} == {}


# --- before any photo is opened


@pytest.mark.parametrize("text", ["five", "56 5/4 in", "0 mm", "-3 in", "56 1/4"])
def test_a_reading_that_cannot_be_read_comes_before_the_photo(text: str) -> None:
    """BadInput naming it, although the photo is not one either."""
    tape = TapeFacts(entries=(Entry("width_middle", text),))
    with pytest.raises(BadInput) as refused:
        check(CheckRequest(photos=(("room3.jpg", b"not a picture"),), tape=tape))
    assert "width_middle" in refused.value.where


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"cards": ("a5",)}, "a5"),
        ({"card_corners": (CardCorners(1, "a5", ((0, 9), (9, 9), (9, 0), (0, 0))),)}, "a5"),
        ({"height": "tall"}, "height"),
        ({"photos": ()}, "photos"),
    ],
)
def test_other_texts_that_cannot_be_read_come_before_the_photo_too(changes: dict[str, Any], named: str) -> None:
    """Cards, kinds of marked cards, the height, and no photo at all."""
    with pytest.raises(BadInput) as refused:
        check(replace(CheckRequest(photos=(("room3.jpg", b"not a picture"),)), **changes))
    assert named in refused.value.where


# --- what a photo does not allow


def test_what_is_no_picture_cannot_be_measured_and_the_tape_is_judged_all_the_same() -> None:
    """not-an-image; every reading is there and cannot be told; hold."""
    data = answer(CheckRequest(photos=(("room3.jpg", b"not a picture"),), tape=readings()))
    assert data["cannot_measure"]["code"] == "not-an-image"
    assert {v["verdict"] for v in data["readings"].values()} == {"cannot tell"}
    assert set(data["readings"]) == set(ALL_SEVEN)
    assert data["order"]["status"] == "hold"
    assert "not-an-image" in reasons(data)


def test_a_photo_with_bars_holds_as_one() -> None:
    """A screenshot is no damaged file: no-metadata, and the focal length that its file states is not used."""
    of = picture(ROOM)
    data = as_file(np.pad(of.pixels, ((64, 64), (0, 0), (0, 0))), 26.0)
    corners = tuple((x, y + 64) for x, y in of.corners_px())
    seen = answer(request(of, photos=(("room3.jpg", data),), corners=(corners,)))
    said = [f["text"] for f in seen["findings"] if f["code"] == "no-metadata"]
    assert any("screenshot" in text for text in said)
    assert any("no focal length" in text for text in said)
    assert seen["order"]["status"] == "hold"


def test_too_large_a_file_cannot_be_measured() -> None:
    """too-large, by the limit of the settings."""
    data = answer(request(picture(ROOM)), Settings(intake=IntakeSettings(max_bytes=1000)))
    assert data["cannot_measure"]["code"] == "too-large"


@pytest.mark.parametrize("corners", [(), (None,)])
def test_without_corners_they_are_asked_for(corners: tuple[None, ...]) -> None:
    """needs-corners, where the outline is less sure than is asked for."""
    assert answer(request(picture(ROOM), corners=corners), UNSURE)["cannot_measure"]["code"] == "needs-corners"


def test_without_corners_an_outline_that_is_sure_is_measured() -> None:
    """The program's outline, within 10 px at 12 MP, in place of marked corners; a drawn room without depth is told to 0.46."""
    of = picture(ROOM)
    data = answer(request(of, corners=()), Settings(trace=TraceSettings(confidence=0.4)))
    assert [one["by"] for one in data["outline"]] == ["program"]
    assert np.abs(np.array(data["outline"][0]["corners_px"]) - np.array(of.corners_px())).max() < 4.0  # 2.3 MP


def test_an_opening_that_is_cut_off_is_refused() -> None:
    """A corner a little outside the picture: opening-cut, to be photographed from further back."""
    of = picture(ROOM)
    a, b, c, d = of.corners_px()
    refused = cut_by_border("room.jpg", (3024, 4032), np.array([(-40.0, 4000.0), (3000.0, 4000.0), (3000.0, 40.0), (30.0, 40.0)]))
    assert refused.remedy.startswith("step back")
    data = answer(request(of, corners=((a, (b[0] + 2000, b[1]), c, d),)))
    assert data["cannot_measure"]["code"] == "opening-cut"
    assert "back" in data["cannot_measure"]["remedy"]


def test_a_mistyped_corner_is_to_be_marked_again() -> None:
    """One far outside the picture is named with its numbers, and the photo need not be taken again for it."""
    of = picture(ROOM)
    a, b, c, d = of.corners_px()
    refused = answer(request(of, corners=((a, (b[0] + 9000, b[1]), c, d),)))["cannot_measure"]
    assert refused["code"] == "opening-cut"
    assert f"bottom-right corner of the opening at ({b[0] + 9000:.0f}, {b[1]:.0f}), far outside" in refused["found"]
    assert "mark that corner again" in refused["remedy"].split("; ")[0]


def test_corners_in_another_order_are_asked_for_again() -> None:
    """Top first encloses nothing: needs-corners."""
    of = picture(ROOM)
    a, b, c, d = of.corners_px()
    assert answer(request(of, corners=((d, c, b, a),)))["cannot_measure"]["code"] == "needs-corners"


def test_a_photo_without_a_card_cannot_be_measured() -> None:
    """card-missing."""
    assert answer(request(picture(BARE)))["cannot_measure"]["code"] == "card-missing"


def test_cards_that_disagree_are_listed_and_drawn_all_the_same() -> None:
    """The refusal sends one to the numbers in the picture: they are there, with what each card would make of the width."""
    large = replace(ROOM.patches[2], sides_mm=tuple(1.35 * v for v in ROOM.patches[2].sides_mm))  # type: ignore[arg-type]
    report = check(request(picture(replace(ROOM, patches=(ROOM.patches[1], large)))))
    data = to_json(report)
    assert data["cannot_measure"]["code"] == "cards-disagree"
    assert "numbers in the picture" in data["cannot_measure"]["remedy"]
    assert [(c["number"], c["used"]) for c in data["cards"]] == [(1, False), (2, False)]
    assert all("the opening would be" in c["why_not_used"] for c in data["cards"])
    assert overlay_jpeg(report, 0) != overlay_jpeg(replace(report, refused_cards=()), 0)


def test_the_kind_of_a_sheet_that_was_not_looked_for_is_named() -> None:
    """Letter is there and a4 was stated: the refusal says where something is, that it may be letter, and how to mark it."""
    remedy = answer(request(picture(SHEET), cards=("a4",)))["cannot_measure"]["remedy"]
    assert "if it is letter" in remedy
    assert "card-corners" in remedy


@pytest.mark.parametrize(
    ("wall", "code"), [(BARE, "card-missing"), (replace(BARE, patches=(Patch((2040, 500), LETTER_MM),)), "card-cut")]
)
def test_every_remedy_for_a_card_that_is_not_found_says_how_to_mark_it(wall: Wall, code: str) -> None:
    """Marking its corners works where looking for it did not."""
    problem = answer(request(picture(wall), cards=("letter",)))["cannot_measure"]
    assert (problem["code"], "card-corners" in problem["remedy"]) == (code, True)


def test_an_edge_that_is_not_there_costs_what_it_carries() -> None:
    """A head is said to be there and is not: edge-hidden; its marked corners stand for it, so only the heights are rough."""
    of = picture(OPEN)
    data = answer(request(of))
    (finding,) = (f for f in data["findings"] if f["code"] == "edge-hidden")
    assert "along the head" in finding["text"]
    assert data["order"]["status"] == "hold"
    rough, fine = data["sizes"]["height_left"], data["sizes"]["width_middle"]
    assert rough["budget_mm"]["corners marked"] > 5
    assert fine["budget_mm"].get("corners marked", 0) < 1
    assert abs(fine["value_mm"] - WIDTH) < 3 * fine["u_mm"]


def test_two_edges_that_are_not_there_are_refused() -> None:
    """Nothing on bare paint bears the marks out: edge-hidden."""
    of = picture(OPEN)
    a, b, c, d = of.corners_px()
    data = answer(request(of, corners=((a, (b[0] - 60, b[1]), (c[0] - 60, c[1]), d),)))
    assert data["cannot_measure"]["code"] == "edge-hidden"


def test_a_blurred_photo_is_refused() -> None:
    """blur, with what to do."""
    data = answer(request(picture(SHEET, Shot(blur_px=4.5)), cards=("letter@0",)))
    assert data["cannot_measure"]["code"] == "blur"


def test_wild_corners_never_end_in_an_error() -> None:
    """Whatever four points inside the picture are marked, the answer is a report."""
    rng = np.random.default_rng(4)
    of = picture(SHEET)
    for _ in range(12):
        x, y = rng.uniform(0, of.shot.size[0] - 1, 4), rng.uniform(0, of.shot.size[1] - 1, 4)
        data = answer(request(of, corners=(tuple(zip(map(float, x), map(float, y), strict=True)),), cards=("letter@0",)))
        assert data["order"]["status"] == "hold"


# --- what is measured


def test_everything_is_measured_of_a_good_photo() -> None:
    """Seven sizes within what is stated, without a finding; only leans want a vertical."""
    diagonal = (WIDTH**2 + HEIGHT**2) ** 0.5
    true = dict.fromkeys(ALL_SEVEN[:3], WIDTH) | dict.fromkeys(ALL_SEVEN[3:5], HEIGHT) | dict.fromkeys(ALL_SEVEN[5:], diagonal)
    assert_measured(usual(), true)
    assert usual()["findings"] == []
    assert set(usual()["not_measured"]) == {"lean_left", "lean_right", "curb_level", "plumb_rectangle"}
    assert {v["code"] for v in usual()["not_measured"].values()} == {"no-vertical"}


def test_cards_are_listed_as_they_are_numbered() -> None:
    """Photo by photo, left to right, then top to bottom."""
    cards = usual()["cards"]
    assert [(c["number"], c["photo"], c["kind"], c["used"]) for c in cards] == [(k, 1, "id-1", True) for k in (1, 2, 3, 4)]
    centres = [sum(x for x, _ in c["corners_px"]) for c in cards]
    assert centres == sorted(centres)


def test_without_readings_the_order_is_held() -> None:
    """no-readings: a photo alone never makes an order."""
    assert usual()["order"]["status"] == "hold"
    assert "no-readings" in reasons(usual())
    assert "governing_width_mm" not in usual()["order"]


def test_a_good_photo_and_good_readings_are_ready() -> None:
    """All seven agree, the leans are shown to be small: ready, and the smallest width governs. With half the pixels the
    sheets' borders tell the scale too little."""
    of = picture(SHEETS, Shot((2640, 3520)))
    data = answer(request(of, cards=MEASURED, tape=readings(), plumb_lines=(plumb(of),)))
    assert {v["verdict"] for v in data["readings"].values()} == {"agrees"}
    assert data["walls"]["vertical"] == "plumb line"
    order = {"status": "ready", "governing_width_mm": WIDTH, "governing_reading": "width_top", "reasons": []}
    assert data["order"] == {**order, "next": data["order"]["next"]}


def test_an_inch_on_one_reading_is_suspect_alone() -> None:
    """The width at the middle, an inch long."""
    data = answer(request(picture(ROOM), tape=readings({"width_middle": 25.4})))
    assert suspects(data) == {"width_middle"}
    assert "suspect-reading" in reasons(data)


def test_a_missing_reading_is_asked_for() -> None:
    """readings-missing names it."""
    tape = readings()
    data = answer(request(picture(ROOM), tape=replace(tape, entries=tape.entries[1:5])))
    assert "readings-missing" in reasons(data)


def test_leans_that_are_not_known_are_asked_for() -> None:
    """level-both-walls where the photo has no vertical."""
    assert "level-both-walls" in reasons(answer(request(picture(ROOM), tape=readings())))


def test_leaning_walls_are_held() -> None:
    """Both tops 9.5 mm to the right: lean-over-limit and rectangle-too-narrow although all widths are equal."""
    of = picture(replace(ROOM, lean_mm=(9.5, 9.5)))
    data = answer(request(of, plumb_lines=(plumb(of),), tape=readings()))
    assert {"lean-over-limit", "rectangle-too-narrow"} <= reasons(data)
    walls = data["walls"]
    assert abs(walls["left"]["lean_mm_per_m"] - 9500 / HEIGHT) < FAR * walls["left"]["u_lean_mm_per_m"]
    assert abs(walls["right"]["lean_mm_per_m"] + 9500 / HEIGHT) < FAR * walls["right"]["u_lean_mm_per_m"]


def test_a_tapered_opening_is_held() -> None:
    """The top 14 mm wider: taper-over-limit."""
    of = picture(replace(ROOM, lean_mm=(-7.0, 7.0)))
    data = answer(request(of, plumb_lines=(plumb(of),)))
    assert "taper-over-limit" in reasons(data)
    assert abs(data["walls"]["taper_mm_per_m"] - 14000 / HEIGHT) < FAR * data["walls"]["u_taper_mm_per_m"]


# --- no head


def test_without_head_and_height_no_width_is_measured() -> None:
    """Each size is refused as no-head; taper and rack are given."""
    data = answer(request(picture(OPEN), head=False))
    assert data["sizes"] == {}
    assert {data["not_measured"][n]["code"] for n in ALL_SEVEN} == {"no-head"}
    assert {"taper_mm_per_m", "rack_mm_per_m"} <= set(data["walls"])


def test_without_head_a_height_gives_the_widths() -> None:
    """Any notation; the top width ends 25 mm below it, the middle is at half of it."""
    data = answer(request(picture(OPEN), head=False, height="70 in"))
    assert {n: v["at_mm"] for n, v in data["sizes"].items()} == pytest.approx(
        {"width_top": 1778.0 - 25.0, "width_middle": 889.0, "width_bottom": 25.0}
    )
    assert_measured(data, dict.fromkeys(ALL_SEVEN[:3], WIDTH))


def test_without_head_a_width_is_measured_where_its_reading_was_taken() -> None:
    """`at` of one reading gives that width alone."""
    tape = TapeFacts(entries=(Entry("width_middle", f"{WIDTH:.0f} mm", "900 mm"),))
    data = answer(request(picture(OPEN), head=False, tape=tape))
    assert set(data["sizes"]) == {"width_middle"}
    assert data["sizes"]["width_middle"]["at_mm"] == 900.0
    assert data["readings"]["width_middle"]["photo_mm"] == data["sizes"]["width_middle"]["value_mm"]


def test_a_reading_without_a_counterpart_has_no_second_witness() -> None:
    """No height is stated, so nothing in the photo is held against the width: null, cannot tell, no-second-witness."""
    tape = TapeFacts(entries=(Entry("width_middle", f"{WIDTH:.0f} mm"),))
    data = answer(request(picture(OPEN), head=False, tape=tape))
    reading = data["readings"]["width_middle"]
    assert [reading[k] for k in ("photo_mm", "u_photo_mm", "difference_mm", "smallest_visible_slip_mm")] == [None] * 4
    assert reading["verdict"] == "cannot tell"
    assert "no-second-witness" in reasons(data)


def test_a_width_is_taken_at_the_height_of_its_reading() -> None:
    """With a head too: `at` moves that width and no other."""
    data = answer(request(picture(ROOM), tape=readings(width_top="1500 mm")))
    assert data["sizes"]["width_top"]["at_mm"] == 1500.0
    assert data["sizes"]["width_bottom"]["at_mm"] == 25.0


NULL = ("photo_mm", "u_photo_mm", "difference_mm", "smallest_visible_slip_mm", "smallest_visible_common_slip_mm")


@pytest.mark.parametrize("names", [("width_top",), ("width_middle",), ("width_top", "width_middle", "width_bottom")])
def test_a_width_said_to_be_taken_above_the_head_has_no_counterpart(names: tuple[str, ...]) -> None:
    """It is edge-hidden and null, its reading cannot be told, and the order says that the height is to be corrected."""
    data = answer(request(picture(ROOM), tape=readings(**dict.fromkeys(names, "2100 mm"))))
    for name in names:
        assert name not in data["sizes"]
        assert data["not_measured"][name]["code"] == "edge-hidden"
        assert [data["readings"][name][k] for k in NULL] == [None] * 5
        assert data["readings"][name]["verdict"] == "cannot tell"
    assert any("(at)" in r["next"] for r in data["order"]["reasons"] if r["code"] == "no-second-witness")


def test_an_uncertain_photo_and_a_width_above_the_head_do_not_break() -> None:
    """Two bank cards tell so little that a better photo is advised, by sizes that the photo gives."""
    tape = TapeFacts(entries=(Entry("width_top", "1400 mm", "2100 mm"), Entry("width_middle", "1400 mm")))
    data = answer(request(picture(replace(ROOM, patches=ROOM.patches[1:3])), tape=tape))
    assert data["readings"]["width_top"]["photo_mm"] is None
    assert any("What limits the middle width here" in n for n in data["order"]["next"])


@pytest.mark.parametrize("height", ["40 mm", "1 in", "9 m"])
@pytest.mark.parametrize("typed", [True, False])
def test_a_height_that_no_opening_has_is_wrong_use(height: str, typed: bool) -> None:
    """Stated as an option or in the readings file."""
    asked = request(picture(OPEN), head=False, **({"height": height} if typed else {"tape": TapeFacts(height=height)}))
    with pytest.raises(BadInput, match=r"height: found .* needed 100 to 6000 mm"):
        check(asked)


# --- cards


def test_a_card_marked_by_hand_is_used() -> None:
    """A pane of known size that nothing would find by itself, its corners six pixels off."""
    pane = replace(BARE, patches=(Patch((-260, 1000), (300.0, 400.0), (188, 196, 190)),))
    of = picture(pane)
    corners = tuple(
        (x + dx, y + dy) for (x, y), (dx, dy) in zip(of.patch_px(0), ((3, 2), (-2, 3), (2, -3), (-3, -2)), strict=True)
    )
    data = answer(request(of, cards=("300x400mm@0",), card_corners=(CardCorners(1, "300x400mm", corners),)))  # type: ignore[arg-type]
    assert [(c["kind"], c["used"]) for c in data["cards"]] == [("300x400mm", True)]
    assert_measured(data, dict.fromkeys(ALL_SEVEN[:3], WIDTH))


def test_what_is_stated_of_a_marked_card_counts() -> None:
    """Its measured lengths and its depth, as of any other card; a depth of 100 mm makes the opening 4 % narrower or wider."""
    of = picture(replace(BARE, patches=(Patch((-260, 1000), LETTER_MM),)))

    def widths(kind: str) -> list[float]:
        sizes = answer(request(of, card_corners=(CardCorners(1, kind, of.patch_px(0)),)))["sizes"]  # type: ignore[arg-type]
        return [sizes["width_middle"][key] for key in ("value_mm", "u_mm")]

    as_printed, measured, deep = widths("letter"), widths("letter=218.0x282.2mm+-0.2"), widths("letter@100+-1")
    assert measured[0] / as_printed[0] == pytest.approx(1.01, abs=0.002)
    assert measured[1] < as_printed[1]
    assert deep[0] / as_printed[0] == pytest.approx(2700 / 2800, abs=0.006)


def test_a_marked_card_has_no_number_of_its_own() -> None:
    """Cards are numbered by their place, marked ones last; a number there would be dropped or mean another card."""
    of = picture(BARE)
    with pytest.raises(BadInput, match="card corners 'a4#2': found the number 2; needed KIND"):
        check(request(of, card_corners=(CardCorners(1, "a4#2", ((0, 9), (9, 9), (9, 0), (0, 0))),)))


def plain(size: tuple[int, int]) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, (190, 190, 190)).save(out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize("size", [(1, 1), (160, 120), (4000, 1), (12000, 10), (10, 12000)])
def test_a_picture_that_is_too_small_is_refused_as_such(size: tuple[int, int]) -> None:
    """too-small with what was found, what is needed and what to do, and no corners are asked for."""
    data = to_json(check(CheckRequest(photos=(("strip.png", plain(size)),))))["cannot_measure"]
    assert (data["stage"], data["code"]) == ("intake", "too-small")
    assert f"{size[0]} x {size[1]} pixels" in data["found"]
    assert "at least 200" in data["needed"]
    assert "full size" in data["remedy"]


@pytest.mark.parametrize("size", [(4000, 200), (200, 300)])
def test_a_strip_is_no_photo_of_an_opening(size: tuple[int, int]) -> None:
    """Nothing is found in it and nothing breaks: the corners are asked for."""
    data = to_json(check(CheckRequest(photos=(("strip.png", plain(size)),))))
    assert data["cannot_measure"]["code"] == "needs-corners"


def test_a_marked_card_that_is_also_found_is_one_card() -> None:
    """And it comes last in the numbering."""
    of = picture(ROOM)
    data = answer(request(of, card_corners=(CardCorners(1, "id-1", of.patch_px(0)),)))  # type: ignore[arg-type]
    assert len(data["cards"]) == 4
    first = data["cards"][-1]["corners_px"][0]
    assert abs(first[0] - of.patch_px(0)[0][0]) < 3
    assert abs(first[1] - of.patch_px(0)[0][1]) < 3


def test_a_card_inside_the_outline_carries_no_scale() -> None:
    """card-plane: no size, proportions stay, nobody is blamed although every reading is an inch long."""
    slips = dict.fromkeys(ALL_SEVEN, 25.4)
    data = answer(request(picture(INSIDE), cards=("letter",), tape=readings(slips)))
    assert "card-plane" in codes(data)
    assert data["sizes"] == {}
    assert set(data["proportions"]) == {"width_over_height", "top_over_bottom_width", "left_over_right_height"}
    assert suspects(data) == set()
    assert [c["used"] for c in data["cards"]] == [False]
    assert data["order"]["status"] == "hold"


def test_a_stated_offset_makes_it_usable() -> None:
    """It is painted in the plane; saying so is enough, in a photo from the side, whose tilt one sheet in the middle tells."""
    data = answer(request(picture(INSIDE, Shot(turn_deg=(4.0, -9.0, 0.4))), cards=("letter@0+-1",)))
    assert "card-plane" not in codes(data)
    assert data["cards"][0]["used"]
    assert_measured(data, dict.fromkeys(ALL_SEVEN[:3], WIDTH))


def test_the_default_offset_is_a_statement_too() -> None:
    """--card-offset for all cards."""
    data = answer(request(picture(INSIDE), cards=("letter",), card_offset_mm=0.0))
    assert data["cards"][0]["used"]
    assert data["cards"][0]["offset_mm"] == 0.0


def test_a_statement_about_a_card_that_is_another_is_a_finding() -> None:
    """Card 2 is said to be a letter sheet and is a bank card: card-kind, hold, the rest is measured."""
    data = answer(request(picture(ROOM), cards=(*FLAT, "letter#2")))
    assert "card-kind" in codes(data)
    assert "card-kind" in reasons(data)
    assert data["sizes"]


def test_a_statement_about_a_card_that_is_not_there_is_a_finding() -> None:
    """Card 9 of four."""
    assert "card-kind" in codes(answer(request(picture(ROOM), cards=(*FLAT, "id-1#9@5"))))


def test_a_level_card_gives_the_leans() -> None:
    """The vertical is that card; walls painted plumb come out plumb within what is stated."""
    data = answer(request(picture(ROOM), level_cards=(1,)))
    assert data["walls"]["vertical"] == "card"
    for side in ("left", "right"):
        wall = data["walls"][side]
        assert abs(wall["lean_mm_per_m"]) < FAR * wall["u_lean_mm_per_m"]


def test_a_level_card_that_is_not_there_is_a_finding() -> None:
    """card-missing, and no lean."""
    data = answer(request(picture(ROOM), level_cards=(9,)))
    assert "card-missing" in codes(data)
    assert "vertical" not in data["walls"]


def test_verticals_that_contradict_each_other_are_a_finding() -> None:
    """A card said to be level hangs three degrees askew beside a plumb line: cue-disagrees."""
    cards = (*four_cards(WIDTH, HEIGHT)[1:], bank_card(-90, 100, (62, 66, 80), 3.0))
    of = picture(replace(ROOM, patches=cards))
    number = 1 + sorted(range(4), key=lambda k: of.shot.to_px(cards[k].corners()).mean(axis=0).tolist()).index(3)
    data = answer(request(of, level_cards=(number,), plumb_lines=(plumb(of),)))
    assert "cue-disagrees" in codes(data)


def test_control_lengths_of_the_same_tape_are_a_shared_source() -> None:
    """The tape stands in the photo's budget where it measured the card, and does not where another tape did."""
    cards = ("letter@0=215.9x279.4mm+-0.3",)
    for control, expected in (("same", True), ("other", False)):
        tape = replace(readings(), control_tape=control)  # type: ignore[arg-type]
        data = answer(request(picture(SHEET), cards=cards, tape=tape))
        assert (data["sizes"]["width_middle"]["budget_mm"].get("tape", 0.0) > 1e-9) is expected


# --- metadata


def test_without_metadata_four_sheets_carry_the_focal_length() -> None:
    """no-metadata is said and does not hold the order."""
    of = picture(SHEETS, Shot(focal_35mm=None))
    data = answer(request(of, cards=MEASURED, tape=readings(), plumb_lines=(plumb(of),)))
    assert "no-metadata" in codes(data)
    assert "no-metadata" not in reasons(data)
    assert_measured(data, dict.fromkeys(ALL_SEVEN[:3], WIDTH))


def test_without_metadata_one_sheet_does_not() -> None:
    """no-metadata holds the order, or the photo is refused altogether."""
    data = answer(request(picture(SHEET, Shot(focal_35mm=None)), cards=("letter@0",), tape=readings()))
    assert "no-metadata" in reasons(data) or "cannot_measure" in data


# --- more than one photo


def test_one_bad_photo_of_two_is_a_finding() -> None:
    """The other is measured as if it were alone, and the order is held."""
    of = picture(ROOM)
    photos = (("bad.jpg", b"not a picture"), ("room3.jpg", of.data))
    data = answer(request(of, photos=photos, corners=(None, of.corners_px(5.0))))
    assert "not-an-image" in codes(data)
    assert "cannot_measure" not in data
    assert {n: v["value_mm"] for n, v in data["sizes"].items()} == pytest.approx(
        {n: v["value_mm"] for n, v in usual()["sizes"].items()}, rel=1e-6
    )
    assert {c["photo"] for c in data["cards"]} == {2}


def test_one_photo_of_two_without_corners_is_a_finding() -> None:
    """needs-corners beside a measured opening."""
    of, other = picture(ROOM), picture(ROOM, Shot(seed=2))
    data = answer(request(of, photos=(("a.jpg", of.data), ("b.jpg", other.data)), corners=(of.corners_px(5.0), None)), UNSURE)
    assert "needs-corners" in codes(data)
    assert data["sizes"]


def test_two_photos_are_no_worse_than_one() -> None:
    """From two places, with the same cards: every stated sd is as small or smaller, and the sizes are right."""
    one, two = picture(ROOM), picture(ROOM, Shot(turn_deg=(-2.0, 6.0, -0.5), aim=(760.0, 940.0), seed=2))
    photos, corners = (("a.jpg", one.data), ("b.jpg", two.data)), (one.corners_px(5.0), two.corners_px(5.0, seed=1))
    data = answer(request(one, photos=photos, corners=corners))
    assert {n for n, v in data["sizes"].items() if v["u_mm"] > usual()["sizes"][n]["u_mm"] * 1.02} == set()
    assert_measured(data, dict.fromkeys(ALL_SEVEN[:3], WIDTH))
    assert [c["number"] for c in data["cards"]] == list(range(1, 9))


# --- identities of the contract


def test_budgets_add_up() -> None:
    """Squares of every budget line sum to u squared to 1e-9 mm2."""
    for size in usual()["sizes"].values():
        assert sum(v**2 for v in size["budget_mm"].values()) == pytest.approx(size["u_mm"] ** 2, abs=1e-9)


def test_leans_taper_rack_and_level_agree() -> None:
    """taper = -(lean left + lean right), rack = (lean left - lean right)/2 + curb level, to 1e-9."""
    of = picture(replace(ROOM, lean_mm=(9.5, 9.5)))
    data = answer(request(of, plumb_lines=(plumb(of),)))
    left, right = (data["walls"][s]["lean_mm_per_m"] for s in ("left", "right"))
    assert data["walls"]["taper_mm_per_m"] == pytest.approx(-(left + right), abs=1e-9)
    assert data["walls"]["rack_mm_per_m"] == pytest.approx((left - right) / 2 + data["curb"]["level_mm_per_m"], abs=1e-9)


def test_a_plumb_line_that_is_not_there_is_said() -> None:
    """A string marked on bare wall is a finding, and no lean comes of it."""
    line = PlumbLine(1, ((40.0, 300.0), (44.0, 900.0)))
    data = answer(request(picture(ROOM), tape=readings(), plumb_lines=(line,)))
    assert "edge-hidden" in codes(data)
    assert "lean_left" in data["not_measured"]
