"""Each reason of a screening that lies in the scene: a painted photo, or made points, on which it is given or is not."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from tests.geometry.scenery import CARD_MM, LETTER_MM, Patch, Picture, Shot, Wall, bank_card, picture
from vision.check import AGAIN, ROUGH, ScreenRequest, screen
from vision.geometry.cards import CardCandidate, CardFacts, parse_cards
from vision.geometry.edges import EdgePoints
from vision.geometry.one_thing import ends_at_corners
from vision.photo.intake import Photo, Reduced, read_reduced
from vision.screening import Screening, Traced
from vision.screening_reasons import bend_of, burnt_share, card_facts, corner_facts, judged_facts
from vision.screening_sight import estimated_sight, references_at_reduced_scale
from vision.settings import CARD_KINDS, Settings

SHEETS = (Patch((-200.0, 1000.0), LETTER_MM), Patch((1600.0, 1000.0), LETTER_MM))
GOOD_WALL, SHOT = Wall(patches=SHEETS), Shot()
NONE_STATED: CardFacts = parse_cards((), None, Settings().cards)
EXIF_TIMES = {0x9003: "2026:03:14 10:21:35"}


def screened(wall: Wall, shot: Shot = SHOT, *, marked: bool = True, data: bytes | None = None) -> Screening:
    seen = picture(wall, shot)
    corners = seen.corners_px() if marked else None
    return screen(ScreenRequest("photo.jpg", seen.data if data is None else data, corners, ("letter", "id-1")))


def codes(done: Screening) -> set[str]:
    return {r.code for r in done.reasons}


def test_a_good_wall_has_none_of_these_reasons() -> None:
    """Only its size in pixels, which is that of a quarter of a phone's photo, and what one nominal sheet leaves open."""
    assert codes(screened(GOOD_WALL)) <= {"too-small", "uncertain"}


@pytest.mark.parametrize(
    ("wall", "shot", "code", "verdict"),
    [
        # a bank-size card of 54 mm at 5 m: 54 / 5000 of a focal length of 3028 px at 12 MP is 33 px, under 40
        (Wall(patches=(bank_card(-150, 1000, (62, 66, 80)),)), Shot(distance_mm=5000.0), "card-small", ROUGH),
        (Wall(patches=SHEETS, covers=(Patch((1400, 975), (260, 1800), (120, 90, 80)),)), SHOT, "edge-hidden", AGAIN),
        (Wall(patches=SHEETS, covers=(Patch((0, 975), (300, 700), (255, 255, 255)),)), SHOT, "glare", ROUGH),
        (GOOD_WALL, Shot(turn_deg=(1.0, -36.0, 0.0), distance_mm=3600.0), "oblique", ROUGH),
        (GOOD_WALL, Shot(focal_35mm=14.0, distance_mm=1600.0), "wide-lens", ROUGH),
        (Wall(patches=(Patch((700, 1200), LETTER_MM),)), SHOT, "card-plane", AGAIN),
        (Wall(), SHOT, "card-missing", AGAIN),
        (GOOD_WALL, Shot(noise=0.12), "noise", ROUGH),
    ],
    ids=lambda v: v if isinstance(v, str) else "",
)
def test_a_fault_of_the_scene_is_named(wall: Wall, shot: Shot, code: str, verdict: str) -> None:
    """The reason is given, the verdict is at least as bad, and a good wall does not have it."""
    done = screened(wall, shot)

    assert code in codes(done)
    assert done.verdict in (verdict, AGAIN)
    assert code not in codes(screened(GOOD_WALL))


def test_an_edited_file_is_named() -> None:
    """A file that was changed after the photo was taken says so itself."""
    seen = picture(GOOD_WALL)

    assert "edited" in codes(screened(GOOD_WALL, marked=False, data=_changed_later(seen)))
    assert "edited" not in codes(screened(GOOD_WALL, marked=False, data=seen.with_tags(EXIF_TIMES)))


def _changed_later(seen: Picture) -> bytes:
    image = Image.open(io.BytesIO(seen.with_tags(EXIF_TIMES)))
    exif = image.getexif()
    exif[0x0132] = "2026:03:15 09:00:00"
    out = io.BytesIO()
    image.save(out, "JPEG", quality=95, exif=exif)
    return out.getvalue()


def tiled(width_mm: float, height_mm: float, *, shift: float = 0.0) -> Wall:
    """A wall of tiles of this size with joints of 4 mm and changing tones, every second row moved by `shift` of a tile."""
    tiles = []
    for row, y in enumerate(np.arange(-600.0, 2700.0, height_mm)):
        for column, x in enumerate(np.arange(-900.0, 2400.0, width_mm)):
            tone = 188 + 9 * ((3 * row + 5 * column) % 4)
            at = (float(x + shift * width_mm * (row % 2)), float(y))
            tiles.append(Patch(at, (width_mm - 4, height_mm - 4), (tone, tone - 4, tone - 10)))
    return Wall(wall=(150, 148, 142), patches=tuple(tiles))


@pytest.mark.parametrize("shift", [0.0, 0.5])
@pytest.mark.parametrize("size_mm", [LETTER_MM, (297.0, 210.0), CARD_MM], ids=["letter", "A4 lying", "bank-size card"])
def test_a_tile_is_no_reference_where_no_outline_is_known(size_mm: tuple[float, float], shift: float) -> None:
    """Tiles of the very size of a reference, in line or in running bond: none is taken for one, and a reference is asked for."""
    done = screened(tiled(*size_mm, shift=shift), marked=False)

    assert done.references == ()
    assert "card-missing" in codes(done)


def test_a_sheet_on_tiles_is_a_reference_where_no_outline_is_known() -> None:
    """What tells tiles from references does not pass over the references."""
    wall = tiled(200.0, 250.0)
    wall = Wall(wall=wall.wall, patches=wall.patches, covers=SHEETS)
    found = screened(wall, marked=False)

    assert found.references == ("letter", "letter")


def test_lines_that_go_on_are_joints() -> None:
    """A patch alone ends at its corners; crossed by lines through its sides it does not."""
    alone = np.full((200, 200, 3), 200, np.uint8)
    alone[60:140, 70:130] = 90
    corners = np.array([(69.5, 139.5), (129.5, 139.5), (129.5, 59.5), (69.5, 59.5)])
    crossed = alone.copy()
    crossed[:, 69:71], crossed[:, 129:131], crossed[59:61], crossed[139:141] = 120, 120, 120, 120

    assert ends_at_corners(alone, corners)
    assert not ends_at_corners(crossed, corners)


def candidate(left: float, width: float, height: float = 400.0) -> CardCandidate:
    """A sheet of so many px, its left side there."""
    x = np.array([left, left + width, left + width, left])
    y = np.array([1000.0 + height, 1000.0 + height, 1000.0, 1000.0])
    return CardCandidate(np.column_stack([x, y]), False, CARD_KINDS["letter"])


PHOTO_12MP = Reduced(Photo("a", "", np.zeros((2016, 1512, 3), np.uint8), None), 2.0, None)


@pytest.mark.parametrize(
    ("cards", "code", "level"),
    [
        ([candidate(500, 300)], "card-small", None),
        ([candidate(500, 30)], "card-small", "rough"),
        ([candidate(500, 10)], "card-small", "again"),
        ([candidate(500, 10), candidate(900, 300)], "card-small", None),
        ([candidate(0, 300)], "card-cut", "again"),
        ([candidate(3023 - 300, 300)], "card-cut", "again"),
        ([candidate(0, 300), candidate(900, 300)], "card-cut", None),
        ([], "card-missing", "again"),
    ],
)
def test_references_that_are_small_or_cut_off(cards: list[CardCandidate], code: str, level: str | None) -> None:
    """The largest one counts for the size; one that is whole is enough."""
    reasons = {r.code: r.level for r in judged_facts(dict(card_facts(cards, PHOTO_12MP)), Settings())}
    assert reasons.get(code) == level


@pytest.mark.parametrize(("sag_mm", "level"), [(0.3, None), (3.5, "rough"), (8.0, "again")])
def test_a_bent_sheet_is_measured_by_the_sag_of_its_sides(sag_mm: float, level: str | None) -> None:
    """Of an A4 sheet at 2.5 m, 360 px long: what noise and lens may do, 1.9 px here, is taken off first."""
    along = np.linspace(-1, 1, 21)
    px = 360.0 / 297.0
    points = np.column_stack([180.0 * along, sag_mm * px * (along**2 - 1)])
    side = EdgePoints(points, np.full(21, 0.1), along, 0.2, 1.0, 0.5, 0.0, 1.0, np.ones(3))
    reasons = judged_facts({"card-bent": bend_of([side, side, side, side])}, Settings())

    assert {r.level for r in reasons} == ({level} if level else set())


def test_corners_at_the_border_are_counted() -> None:
    """One is enough to ask again."""
    corners = np.array([(100.0, 900.0), (800.0, 900.0), (800.0, 100.0), (1.0, 100.0)])
    assert dict(corner_facts(corners, (1000, 1000)))["opening-cut"] == 1.0
    assert judged_facts({"opening-cut": 1.0}, Settings())[0].level == "again"


def test_a_rough_size_is_not_taken_from_a_reference_inside_the_outline() -> None:
    """It may lie far behind the wall; one beside the outline gives a size that covers the true one."""
    for patches, has_size in (((Patch((700, 1200), LETTER_MM),), False), (SHEETS, True)):
        seen = picture(Wall(patches=patches))
        corners = np.array(seen.corners_px(off_px=6.0))
        small = read_reduced("a", seen.data, Settings().intake, 2016)
        found = references_at_reduced_scale(small, corners, NONE_STATED, Settings(), head=True)
        sight = estimated_sight(small, corners, found, Settings(), head=True)
        assert (sight.band is not None) == has_size
        assert sight.facts["card-plane"] == float(not has_size)
        if sight.band is not None:
            # three sd: a right statement is further off once in 370
            assert abs(sight.band.width_mm - 1400.0) < 3 * sight.band.u_width_mm


def test_a_photo_that_is_rough_already_is_not_measured_for_a_proposed_outline() -> None:
    """Its rough size is estimated at reduced scale, which costs a hundredth; a marked outline is measured all the same."""
    seen = picture(GOOD_WALL)
    corners = np.array(seen.corners_px())

    def tracer(_: Photo) -> Traced:
        return Traced(corners, 0.99)

    done = screen(ScreenRequest("photo.jpg", seen.data, None, ("letter",)), Settings(), tracer)
    marked = screened(GOOD_WALL)

    assert done.outline == "proposed"
    assert done.band is not None
    assert marked.band is not None
    assert (done.band.how, marked.band.how) == ("estimated", "measured")


def test_a_photo_that_is_too_dark_is_not_looked_at_further() -> None:
    """Nothing is said about references that cannot be seen."""
    dark = picture(Wall(wall=(14, 14, 13), inside=(5, 5, 6), patches=(Patch((-200, 1000), LETTER_MM, (18, 18, 18)),)))
    done = screen(ScreenRequest("photo.jpg", dark.data, dark.corners_px()))

    assert done.verdict == AGAIN
    assert "too-dark" in codes(done)
    assert not codes(done) & {"card-missing", "needs-corners", "edge-hidden"}


@pytest.mark.parametrize(
    ("face", "wall", "expected"),
    [(255, 215, 1.0), (255, 120, 0.0), (244, 215, 0.0)],
    ids=["burnt, bright wall", "burnt, dark wall", "not burnt"],
)
def test_a_burnt_reference_beside_a_bright_wall_is_told(face: int, wall: int, expected: float) -> None:
    """Where the face is at full scale and the wall near it, the upper part of the step that is measured is cut off."""
    pixels = np.full((400, 400, 3), wall, np.uint8)
    pixels[100:300, 120:280] = face
    corners = np.array([[120.0, 300.0], [280.0, 300.0], [280.0, 100.0], [120.0, 100.0]])

    assert burnt_share(pixels, corners, 1.0) == pytest.approx(expected, abs=0.05)
