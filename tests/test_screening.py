"""One photo that a customer sent: what is said of it, and why."""

from __future__ import annotations

import io
import re
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image, ImageOps

from tests.benchmarks.scene_files import Scene
from vision.check import AGAIN, GOOD, ROUGH, OwnTracer, ScreenRequest, screen, screening_json, screening_svg
from vision.errors import BadInput, CannotMeasure
from vision.geometry.look import Array
from vision.geometry.seeing import LEAST_SEEN, MOST_BLUR_PX
from vision.photo.intake import Photo
from vision.report.message import MessageFacts, message_text
from vision.screening import Screening, Traced, _answer, _as_proposed, _Seen
from vision.screening_estimate import Band
from vision.screening_reasons import SAYS, Reason, judged_facts
from vision.screening_record import message_facts
from vision.screening_sight import Sight
from vision.settings import Settings
from vision.settings_screen import LIMITS

ROOT = Path(__file__).resolve().parents[1]
STATED = ("sheet=186x216mm+-0.3",)


@cache
def scene(name: str = "room5_four_cards_plumb") -> Scene:
    return Scene(ROOT / "sample_images" / f"{name}.jpg")


@cache
def good() -> Screening:
    """A good photo with its corners marked."""
    return screened(scene().photo.read_bytes())


def screened(data: bytes, *, marked: bool = True) -> Screening:
    asked = scene().request(0, "as stated")
    return screen(ScreenRequest("photo.jpg", data, asked.corners[0] if marked else None, asked.cards, asked.head))


def changed(pixels: np.ndarray, *, exif: bool = True, quality: int = 92) -> bytes:
    """A file of these pixels, with the sample's metadata or without."""
    out = io.BytesIO()
    about = {"exif": exif_of()} if exif else {}
    Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8)).save(out, "JPEG", quality=quality, **about)
    return out.getvalue()


def exif_of() -> bytes:
    with Image.open(scene().photo) as image:
        return bytes(image.info["exif"])


@cache
def pixels() -> np.ndarray:
    with Image.open(scene().photo) as image:
        return np.asarray(image.convert("RGB"))


def codes(done: Screening) -> set[str]:
    return {r.code for r in done.reasons}


def test_a_photo_that_lies_on_its_side_is_asked_for_again_upright() -> None:
    """Without metadata, as a browser or a chat may leave it: not good for a rough quote, of which no size would be known."""
    with Image.open(scene().photo) as image:
        lying = np.rot90(np.asarray(ImageOps.exif_transpose(image).convert("RGB")))
    done = screen(ScreenRequest("photo.jpg", changed(lying, exif=False)), Settings(), OwnTracer(Settings()))
    assert (done.verdict, done.outline) == (AGAIN, "not known")
    assert "on-its-side" in codes(done)
    assert "this copy lies on its side" in message_text(message_facts(done, Settings()), 3)


@pytest.mark.parametrize("rows", [300, 304])
def test_a_picture_with_bars_is_asked_for_again_as_what_it_is(rows: int) -> None:
    """Edited, whether or not the bars end where blocks do; the customer is asked for the photo itself."""
    done = screened(changed(np.pad(pixels(), ((rows, rows), (0, 0), (0, 0)))))
    assert (done.verdict, codes(done)) == (AGAIN, {"edited"})
    assert done.reasons[0].text.startswith("bars of one colour at the ")
    assert "no screenshot" in message_text(message_facts(done, Settings()), 3)


def test_a_good_photo_with_marked_corners_is_good_to_measure() -> None:
    """It has a band that covers the true width, and nothing is asked for."""
    done = good()

    assert (done.verdict, codes(done), done.outline) == (GOOD, set(), "marked")
    assert done.band is not None
    assert done.band.how == "measured"
    # three standard deviations: a right statement is further off once in 370
    assert abs(done.band.width_mm - min(v for n, v in scene().true().items() if n.startswith("width"))) < 3 * done.band.u_width_mm


def test_a_good_photo_without_corners_is_said_to_be_so_without_a_size() -> None:
    """Nothing speaks against it, no number is given, and it is not called good before its opening has been looked at."""
    done = screened(scene().photo.read_bytes(), marked=False)

    assert (done.verdict, codes(done), done.outline, done.band) == (ROUGH, {"needs-corners"}, "not known", None)
    assert "We will mark the opening" in screening_json(done)["message"]


def test_what_a_tracer_proposes_is_measured() -> None:
    """Corners that a tracer proposes take the place of marked ones, and the outline says so."""
    corners: Array = np.array(scene().request(0, "as stated").corners[0])

    def tracer(photo: Photo) -> Traced:
        return Traced((corners + 0.5) * photo.height / max(pixels().shape) - 0.5, 0.99)

    asked = scene().request(0, "as stated")
    done = screen(ScreenRequest("photo.jpg", scene().photo.read_bytes(), None, asked.cards), Settings(), tracer)

    assert done.outline == "proposed"
    assert done.band is not None
    assert good().band is not None
    assert done.band.how == "measured"
    # the corners come back to a rounding, so the edges are searched from the same place
    assert done.band.width_mm == pytest.approx(good().band.width_mm, abs=0.01)


@pytest.mark.parametrize(
    ("fault", "code", "verdict"),
    [
        (lambda p: changed(cv2.GaussianBlur(p, (0, 0), 4.0)), "blur", ROUGH),
        (lambda p: changed(cv2.GaussianBlur(p, (0, 0), 9.0)), "blur", AGAIN),
        (lambda p: changed(cv2.filter2D(p, -1, np.full((1, 25), 1 / 25, np.float32))), "blur", ROUGH),
        (lambda p: changed(p * 0.08), "too-dark", AGAIN),
        (lambda p: changed(p * 6.0), "burnt-out", AGAIN),
        (lambda p: changed(cv2.resize(p, (756, 1008), interpolation=cv2.INTER_AREA)), "too-small", ROUGH),
        (lambda p: changed(cv2.resize(p, (1512, 2016), interpolation=cv2.INTER_AREA)), "resized", ROUGH),
        (lambda p: changed(p[:-500]), "cropped", ROUGH),
        (lambda p: changed(p, exif=False), "no-metadata", ROUGH),
        (lambda p: changed(p, quality=20), "compressed", ROUGH),
    ],
)  # fmt: skip
def test_each_fault_is_named(fault, code: str, verdict: str) -> None:  # type: ignore[no-untyped-def]
    """A fault gives its reason with value, unit, source and a sentence for the customer, and a verdict at least as bad."""
    done = screened(fault(pixels()), marked=False)

    reason = next(r for r in done.reasons if r.code == code)
    assert done.verdict == verdict or done.verdict == AGAIN
    assert reason.unit
    assert reason.source
    assert reason.value is not None
    assert reason.text == f"{SAYS[code].format(v=reason.value, l=reason.limit)} ({reason.source})"


def test_what_is_no_picture_is_asked_for_again() -> None:
    """Bytes that do not decode are an answer, not an error."""
    done = screen(ScreenRequest("notes.jpg", b"not a picture"))

    assert (done.verdict, codes(done)) == (AGAIN, {"not-an-image"})


def test_a_file_with_changed_bytes_is_asked_for_again() -> None:
    """Its colours go wrong right across the picture from some bytes on; the outline being marked, it is decoded whole."""
    data = bytearray(scene().photo.read_bytes())
    rng = np.random.default_rng(3)
    for at in rng.integers(len(data) // 4, len(data), 20):
        data[at] = rng.integers(0, 255)
    done = screened(bytes(data))
    assert (done.verdict, codes(done)) == (AGAIN, {"not-an-image"})
    assert "right across the picture" in done.reasons[0].text


def test_an_opening_beyond_the_border_is_cut_off() -> None:
    """A corner outside the picture asks for another photo."""
    asked = scene().request(0, "as stated").corners[0]
    assert asked is not None
    moved = tuple((x - 2000.0, y) for x, y in asked)
    done = screen(ScreenRequest("photo.jpg", scene().photo.read_bytes(), moved))

    assert (done.verdict, "opening-cut" in codes(done)) == (AGAIN, True)


@pytest.mark.parametrize("stated", ["", "@0+-1"], ids=["nothing stated", "all stated to be in the plane"])
def test_a_sheet_on_the_back_wall_is_not_in_the_plane(stated: str) -> None:
    """A reference inside the outline and off the curb carries no size, whatever a shop states of all its references."""
    room = scene("room9_sheet_on_back_wall")
    asked = room.request(0, "defaults")
    cards = tuple(f"{card}{stated}" for card in asked.cards)
    done = screen(ScreenRequest("photo.jpg", room.photo.read_bytes(), asked.corners[0], cards))

    assert (done.verdict, done.band, "card-plane" in codes(done)) == (AGAIN, None, True)


def test_an_edge_hidden_beside_a_proposed_outline_is_ours_to_mark() -> None:
    """Nobody has looked at that outline: it may be wrong. Every other reason stays."""
    hidden, small = (Reason(code, "again", None, None, "", "", "") for code in ("edge-hidden", "card-small"))
    found = _as_proposed(Sight({}, (), (hidden, small)))

    assert [(r.code, r.level) for r in found.refused] == [("needs-corners", "rough"), ("card-small", "again")]


def test_three_points_are_no_outline() -> None:
    """Wrong use is the caller's error."""
    with pytest.raises(BadInput, match="four"):
        screen(ScreenRequest("photo.jpg", b"", ((0.0, 0.0),) * 3))


def test_every_limit_has_unit_and_source() -> None:
    """A reader can see where each limit comes from."""
    assert all(limit.unit and limit.source for limit in LIMITS.values())


def test_every_limit_is_said_in_words_with_the_unit_of_its_number() -> None:
    """No count with a limit of a half, no number in powers of ten, no number that comes without what it is."""
    settings = Settings()
    assert set(SAYS) == set(LIMITS)
    for code, limit in LIMITS.items():
        beyond = limit.rough * 1.5 if limit.most else limit.rough / 2.5
        (reason,) = judged_facts({code: 3.0 if code == "opening-cut" else beyond}, settings)
        said = reason.text.removesuffix(f" ({reason.source})")
        assert "0.5" not in said, said
        assert "e+" not in said, said
        assert not re.search(r"[0-9]$", said) or code in ("too-dark", "noise", "oblique"), said  # codes and degrees, said before


def test_a_photo_of_which_two_tilts_fit_is_asked_for_with_a_second_card(monkeypatch: pytest.MonkeyPatch) -> None:
    """Not to press the card flat, which it may be; and a width of 1.4 or 2.4 m is not called good for a rough quote."""

    def open_tilt(*_: object) -> None:
        raise CannotMeasure(
            "adjustment", "tilt-two-ways", found="two tilts", needed="references far apart", remedy="a second card"
        )

    monkeypatch.setattr("vision.screening_sight.measure_photo", open_tilt)
    done = screened(scene().photo.read_bytes())
    message = screening_json(done)["message"]

    assert (done.verdict, codes(done)) == (AGAIN, {"tilt-two-ways"})
    assert "second sheet or card on the other side" in message
    assert "flat" not in message
    assert screening_svg(screening_json(done)).count('font-weight="bold"') == 1


@pytest.mark.parametrize(
    ("spread_mm", "said"),
    [(30.0, "30 mm (1-1/4 in)"), (8.0, "8 mm (5/16 in)"), (155.0, "155 mm (6 in)"), (0.2, "1 mm (1/16 in)")],
)
def test_how_far_a_width_may_be_off_is_told_in_both_units(spread_mm: float, said: str) -> None:
    """The customer reads inches beside each millimetre."""
    text = message_text(MessageFacts("rough", True, (), 2465.0, spread_mm), 3)
    assert f"2465 mm (97 in) wide, give or take {said};" in text


def test_limits_that_are_the_checks_own_are_the_same_numbers() -> None:
    """Where the text says that the check refuses beyond a limit, it does."""
    assert LIMITS["blur"].again == MOST_BLUR_PX
    assert LIMITS["edge-hidden"].again == LEAST_SEEN


def test_the_drawing_rings_what_is_asked_for() -> None:
    """The drawing of a blurred photo has the place to stand in bold and nothing else."""
    done = screening_json(screened(changed(cv2.GaussianBlur(pixels(), (0, 0), 4.0)), marked=False))
    drawn = screening_svg(done)

    assert drawn.count('font-weight="bold"') == len({r["code"] for r in done["reasons"]} & {"blur"})
    assert drawn.startswith("<svg")
    assert drawn.endswith("</svg>\n")


def test_an_opening_without_a_head_has_its_size_told_or_is_not_called_good() -> None:
    """Nobody said how high the glass goes: the widths are told all the same, as wide as they are."""
    of = scene("room8_open_to_ceiling")
    asked = of.request(0, "as stated")
    done = screen(ScreenRequest("photo.jpg", of.photo.read_bytes(), asked.corners[0], asked.cards, False))
    assert done.band is not None
    assert done.band.how == "measured"
    assert abs(done.band.width_mm - min(v for n, v in of.true().items() if n.startswith("width"))) < 3 * done.band.u_width_mm
    assert done.verdict == GOOD or done.reasons


def test_a_photo_without_a_size_is_never_called_good() -> None:
    """Whatever the reason that no size came out."""
    done = _answer("photo.jpg", "", _Seen({}), Settings())
    assert done.verdict == ROUGH
    assert [r.code for r in done.reasons] == ["uncertain"]


@pytest.mark.parametrize(("u_mm", "told"), [(100.0, True), (160.0, False)])
def test_a_width_that_helps_nobody_is_not_told_to_the_customer(u_mm: float, told: bool) -> None:
    """One that may be off by more than a fifth stays in the office's row and out of the message."""
    done = _answer(
        "a.jpg", "0", _Seen({"not-consistent": 1.0}, "proposed", band=Band(1060.0, u_mm, None, None, "estimated")), Settings()
    )
    assert done.band is not None
    assert (message_facts(done, Settings()).width_mm is not None) == told
    assert ("1060 mm" in screening_json(done)["message"]) == told


@pytest.mark.parametrize(
    ("band", "told"),
    [
        (Band(3730.0, 193.0, 3404.0, 176.0, "estimated"), False), (Band(1666.0, 8.7, 4068.0, 13.8, "measured"), False),
        (Band(210.0, 20.0, None, None, "estimated"), False), (Band(1400.0, 5.0, 150.0, 5.0, "measured"), False),
        (Band(2700.0, 193.0, None, None, "estimated"), True), (Band(380.0, 15.0, 900.0, 30.0, "estimated"), True),
        (Band(817.0, 3.0, 2002.0, 5.0, "measured"), True),
    ],
)  # fmt: skip
@pytest.mark.parametrize("facts", [{}, {"not-consistent": 1.0}])
def test_a_size_that_no_opening_has_is_not_told(band: Band, told: bool, facts: dict[str, float]) -> None:
    """All of it beyond what openings measure, in width or height: no size, a reason that says so, and never good to measure."""
    done = _answer("a.jpg", "0", _Seen(facts, "proposed", band=band, better_u_mm=2.0), Settings())
    assert (done.band is not None) == told
    assert (done.better_u_mm is not None) == told
    assert done.facts == facts
    said = [reason.text for reason in done.reasons if "no size is told" in reason.text]
    assert len(said) == (not told)
    assert done.verdict == (GOOD if told and not facts else ROUGH)
    assert told or "wide, give or take" not in screening_json(done)["message"]
