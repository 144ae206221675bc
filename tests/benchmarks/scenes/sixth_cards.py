"""References as bodies on the wall: bank-size cards, sheets, cockled or torn at a corner, our own print; tape and putty."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np

from tests.benchmarks.scenes import sixth_art as art
from tests.benchmarks.scenes.sixth_place import FRAME_MM, Reference
from tests.benchmarks.scenes.sixth_plan import Plan
from tests.benchmarks.scenes.sixth_studio import Surface, placed, rounded_rectangle
from tests.benchmarks.scenes.sixth_stuff import Array, Site, glossy, linear, plain, seen_through, stretched

Rng = np.random.Generator
TAPES = ((0.25, 0.48, 0.78), (0.86, 0.78, 0.50), (0.35, 0.66, 0.42), (0.12, 0.12, 0.13), (0.95, 0.95, 0.94))
PAPER_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}


def hang(site: Site, plan: Plan, pages: Path | None) -> dict[str, list[str]]:
    """Builds every reference; says how each looks."""
    rng = plan.rng(4)
    said: list[str] = []
    kinds = list(art.CARDS)
    rng.shuffle(kinds)
    mixed = rng.random() < 0.6  # else all of one kind
    for number, reference in enumerate(plan.references):
        if reference.kind == "id-1":
            said.append(_bank(site, rng, reference, kinds[number % len(kinds) if mixed else 0]))
        elif reference.kind == "sheet":
            said.append(_print(site, rng, reference, pages))
        else:
            said.append(_paper(site, rng, reference))
    return {"references": said}


def at(reference: Reference, x: float, y: float, z: float) -> tuple[float, float, float]:
    """A place given in the reference's own directions, from its middle."""
    turned = placed(0, 0, 0, reference.turn_deg)[:2, :2] @ [x, y]
    return float(reference.centre_mm[0] + turned[0]), float(reference.centre_mm[1] + turned[1]), z


def _bank(site: Site, rng: Rng, card: Reference, look: str) -> str:
    standing = card.size_mm[1] > card.size_mm[0]
    picture = art.scratched(rng, art.CARDS[look](rng))
    relief = art.embossing(look)
    if standing:
        picture = np.rot90(picture)
        relief = None if relief is None else np.rot90(relief)
    alpha = float(rng.choice([0.04, 0.1, 0.22]))
    surface = stretched(picture, alpha, relief)
    clear = look == "bands" and rng.random() < 0.6
    if clear:
        rim = np.full(picture.shape[:2], 0.55, np.float32)
        rim[34:-34, 34:-34] = 1.0
        surface = seen_through(surface, rim)
    outline = rounded_rectangle(*card.size_mm, 3.18)
    side = plain((0.75, 0.75, 0.74))
    site.slab(outline, 0.76, placed(*card.centre_mm, card.front_z_mm - 0.76, card.turn_deg), surface, side)
    how = str(rng.choice(["putty", "putty", "tape", "strip"]))
    if how == "putty" and rng.random() < 0.5:
        x, y = card.size_mm[0] / 2 * float(rng.uniform(-0.5, 0.5)), -card.size_mm[1] / 2
        site.ball(at(card, x, y, card.front_z_mm * 0.5), 2.6, plain(linear((0.55, 0.70, 0.85))))
    if how == "tape":
        _tapes(site, rng, card, 12.0, 5.0)
    if how == "strip":
        long = 0 if not standing else 1
        place = (0.0, card.size_mm[1] / 2) if long == 0 else (card.size_mm[0] / 2, 0.0)
        _strip(site, card, place, (16.0, 14.0) if long == 0 else (14.0, 16.0), 0.0, _tape(rng), 1.5)
    return f"{look}{' clear rim' if clear else ''}, {how}, {'standing' if standing else 'lying'}, gloss {alpha:g}"


def _tape(rng: Rng) -> Surface:
    """A tape, one in five clear."""
    if rng.random() < 0.2:
        return seen_through(glossy((0.75, 0.73, 0.62), 0.1), 0.3)
    return glossy(linear(TAPES[int(rng.integers(len(TAPES)))]), 0.4)


def _tapes(site: Site, rng: Rng, card: Reference, width: float, over: float) -> None:
    """Strips across some corners, over them by so many millimetres measured along the corner's bisector."""
    tape, (w, h) = _tape(rng), card.size_mm
    kept = [bool(rng.random() < 0.85) for _ in range(4)]
    for use, (sx, sy) in zip(kept, ((-1, -1), (1, -1), (1, 1), (-1, 1)), strict=True):
        if use:
            out = width / 2 - over
            place = (sx * (w / 2 + out * 0.707), sy * (h / 2 + out * 0.707))
            turn = 45.0 * -sx * sy + float(rng.normal(0, 8))
            _strip(site, card, place, (width * float(rng.uniform(2.2, 3.0)), width), turn, tape, 0.0)


def _strip(site: Site, card: Reference, place: tuple[float, float], size: tuple[float, float], turn: float, tape: Surface,
           up: float) -> None:  # fmt: skip
    """A strip just over the front of the card; it reaches down to the wall nowhere, which its thin shadow shows."""
    x, y, _ = at(card, place[0], place[1] + up, 0.0)
    outline = rounded_rectangle(*size, 0.0)
    site.slab(outline, 0.06, placed(x, y, card.front_z_mm + 0.02, card.turn_deg + turn), tape)


def _paper(site: Site, rng: Rng, sheet: Reference) -> str:
    look = art.SHEETS[int(rng.integers(len(art.SHEETS)))]
    w, h = sheet.size_mm
    shape = (round(h * 4), round(w * 4))
    surface = stretched(art.sheet(rng, look, shape), None)
    torn = rng.random() < 0.2
    if torn:
        surface = seen_through(surface, _torn(rng, shape))
    cockle = float(rng.choice([0.0, 0.6, 1.4]))
    site.grid(_cockled(rng, sheet, cockle), surface)
    how = str(rng.choice(["corners", "corners", "sides", "putty"]))
    if how == "corners":
        _tapes(site, rng, sheet, 19.0, 9.0)
    if how == "sides":
        tape = _tape(rng)
        for sign in (-1, 1):
            place = (float(rng.uniform(-0.2, 0.2)) * w, sign * h / 2)
            _strip(site, sheet, place, (24.0, 36.0), float(rng.normal(0, 4)), tape, 0.0)
    return f"{look}, {how}, cockled by {cockle:g} mm inside{', a corner torn' if torn else ''}"


def _torn(rng: Rng, shape: tuple[int, int]) -> Array:
    """A corner of 8 to 12 mm is gone; the sides stated end before it."""
    kept = np.ones(shape, np.float32)
    reach = float(rng.uniform(32, 46))
    points: list[tuple[float, float]] = [(0.0, 0.0), (reach, 0.0)]
    points += [(reach * (1 - t) + rng.normal(0, 2), reach * t + rng.normal(0, 2)) for t in (0.25, 0.5, 0.75)] + [(0.0, reach)]
    cv2.fillPoly(kept, [np.round(np.array(points)).astype(np.int32)], 0.0)
    if rng.random() < 0.5:
        kept = kept[:, ::-1]
    return kept if rng.random() < 0.5 else kept[::-1]


def _cockled(rng: Rng, sheet: Reference, amount: float) -> Array:
    """The sheet's points; damp has raised it inside, its rim lies flat where the truth says."""
    (w, h), n = sheet.size_mm, 72
    v, u = np.mgrid[0 : 1 : n * 1j, 0 : 1 : n * 1j]
    waves = sum(
        np.sin(2 * np.pi * (a * u + b * v) + c)
        for a, b, c in zip(rng.uniform(-2, 2, 5), rng.uniform(-2, 2, 5), rng.uniform(0, 6, 5), strict=True)
    )
    from_rim = np.minimum(np.minimum(u, 1 - u) * w, np.minimum(v, 1 - v) * h)
    window = np.clip((from_rim - 6) / 45, 0, 1)
    z = amount * np.minimum(np.abs(waves) / 2.5, 1) * window * window * (3 - 2 * window)
    local = np.stack([(u - 0.5) * w, (v - 0.5) * h], -1) @ placed(0, 0, 0, sheet.turn_deg)[:2, :2].T
    return np.dstack([local + sheet.centre_mm, sheet.front_z_mm + z])


def page_frame(page: Array) -> tuple[float, float, float, float]:
    """Left, right, top, bottom of the black frame on a page, as shares of its sides, to parts of a pixel."""
    dark = 1 - page.astype(np.float64) / 255
    rows, columns = page.shape
    across = dark[int(0.42 * rows)]
    left, right = _reach(across, int(np.flatnonzero(across > 0.5)[0]), int(np.flatnonzero(across > 0.5)[-1]))
    down = dark[:, int(left) + 60]  # in the frame's left bar; further down come the instructions
    first = int(np.flatnonzero(down > 0.5)[0])
    top, bottom = _reach(down, first, first + int(np.flatnonzero(down[first:] < 0.5)[0]) - 1)
    return left / columns, right / columns, top / rows, bottom / rows


def _reach(line: Array, first: int, last: int) -> tuple[float, float]:
    return float(first + 1 - line[first] - line[first - 1]), float(last + line[last] + line[last + 1])


def _print(site: Site, rng: Rng, frame: Reference, pages: Path | None) -> str:
    """A page of ours, printed at its own scale; its frame lies where the truth says, its rim is white paper."""
    paper = str(rng.choice(["a4", "letter"]))
    if pages is None:
        raise SystemExit("the layout large needs --pages DIR with large_a4.png and large_letter.png (README, sixth random rooms)")
    page = cv2.imread(str(pages / f"large_{paper}.png"), cv2.IMREAD_GRAYSCALE)
    if page is None:
        raise SystemExit(f"{pages}/large_{paper}.png is missing")
    left, right, top, bottom = page_frame(page)
    wide, high = (r / f for r, f in zip(frame.size_mm, FRAME_MM, strict=True))
    w, h = frame.size_mm[0] / (right - left), frame.size_mm[1] / (bottom - top)
    assert abs(w / wide / PAPER_MM[paper][0] - 1) < 1e-3 and abs(h / high / PAPER_MM[paper][1] - 1) < 1e-3  # noqa: PT018
    small = cv2.resize(page.astype(np.float32) / 255, (page.shape[1] // 2, page.shape[0] // 2), interpolation=cv2.INTER_AREA)
    ink, white = float(rng.choice([0.03, 0.06, 0.1])), 0.8
    surface = stretched(np.repeat((ink + (white - ink) * small)[..., None], 3, 2), 0.35 if rng.random() < 0.4 else None)
    centre = at(frame, (0.5 - (left + right) / 2) * w, ((top + bottom) / 2 - 0.5) * h, frame.front_z_mm)
    body = Reference("sheet", (w, h), centre[:2], frame.turn_deg, frame.front_z_mm)
    site.grid(_cockled(rng, body, 0.0), surface)
    _tapes(site, rng, body, 19.0, 5.0)
    return f"{paper}, scale {wide:.4f} x {high:.4f}, ink {ink:g}"
