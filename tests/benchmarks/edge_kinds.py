"""The mean signed error of every kind of edge against truth, on small painted pictures (issue 4, item 1).

    python -m tests.benchmarks.edge_kinds [--draws 200] [--processes 1] [--kind WORD ...] [--write]

Each draw paints one picture of one kind (edge_kind_list.py, edge_pictures.py say how, and what truth is), and the program's own
functions follow its edges from rough positions, twice, as a whole check does. What enters is the mean over an edge's points.

    error px    mean signed error: + into the opening (seen too small), or outward of a card (seen too large)
    in sd       the same, each over its own stated sd: with every shift of either end and the sag, and the points' noise
    rms, sd     px; root mean square error, and the mean stated sd: of an edge of the opening with the easing that no light shows
    sd/rms      1 would be right; a clean side of a print is stated to 0.1 px and no better, whatever it turns out to be
    mean/se     the mean error over its own standard error: how surely there is a bias at all
    95 %        share of the errors within 1.96 stated sd
Marks: "bias" where the mean error is larger than the mean stated sd; "cover" where the coverage is under 95 % by more than the
binomial limits of 99.9 % allow. `not seen`: the program refuses the edge.
"""

from __future__ import annotations

import argparse
import hashlib
import sys
import zlib
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy import stats
from threadpoolctl import threadpool_limits

from tests.benchmarks.edge_kind_list import ARRISES, CARDS, Array, Rng
from tests.benchmarks.edge_pictures import CardPicture, Strip, card_picture, opening_strip
from vision.errors import CannotMeasure
from vision.geometry.camera import Camera, camera_prior
from vision.geometry.card_seen import SEARCH_PX, corners_of_sides, roughly_alike
from vision.geometry.cards import CardCandidate
from vision.geometry.edges import EdgePoints
from vision.geometry.look import SIDE_CORNERS, CardLook, Look, card_strips
from vision.geometry.observe import observe_card, observe_outline
from vision.geometry.rough_outline import OUTLINE_CORNERS, rough_outline
from vision.geometry.seeing import finished, not_followed, require_sharp, rounded
from vision.geometry.side_views import Around
from vision.geometry.start import PlaneView
from vision.geometry.strips import take_strip
from vision.settings import CARD_KINDS, Settings

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
TABLE = HERE / "tables" / "edge_kinds.txt"
OWN = ("phone.py", "edge_pictures.py", "edge_kind_list.py", "edge_kinds.py")
SETTINGS = Settings()
PIXEL_SD, BLUR_TOLD = 12**-0.5, 0.05
"""px, and relative: a pixel's own blur, and how well an outline tells that of the photo"""
ROUGH_PX, ROUGH_CARD_PX = 15.0, 2.5
"""px; a marked corner of the opening lies within such a disc, the finder's side of a card within such a distance"""
NORMAL_95 = 1.96
CERTAIN = 0.999
SIDES = ("lower", "upright", "upper", "upright")
"""of a card, in the order of its sides"""


@dataclass(frozen=True)
class Seen:
    """One edge of one picture: its name in the table, mean signed error and stated sd of that mean, px; NaN where not seen."""

    row: str
    error: float
    sd: float


def stated_sd(points: EdgePoints) -> float:
    """sd (px) of the mean over the points: shifts of both ends and sag, each with the edge's bias sd, and points' noise."""
    s = points.along
    shapes = np.array([np.mean((1 - s) / 2), np.mean((1 + s) / 2), np.mean(1 - s * s)])
    return float(np.sqrt(points.bias_sd_px**2 * (shapes @ shapes) + np.sum(points.sd_px**2) / len(s) ** 2))


def seen(row: str, points: EdgePoints | None, ends: Array, toward: Array) -> Seen:
    """The points held against the true line through `ends` (2, 2) px; `toward` lies on its positive side."""
    if points is None:
        return Seen(row, np.nan, np.nan)
    d = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    normal = np.array([-d[1], d[0]])
    normal = normal if normal @ (toward - ends[0]) > 0 else -normal
    return Seen(row, float(np.mean((points.points_px - ends[0]) @ normal)), stated_sd(points))


def see_opening(kind: str, picture: Strip, rng: Rng, *, eased: bool) -> list[Seen]:
    """Follow the edge as a check does, from corners marked to 15 px; the opposite edge tells the photo's blur.

    `eased`: with the doubt of an easing that no light shows.
    """
    edge, opposite = picture.edge, picture.opposite
    name, other = ("head", "curb") if picture.level else ("left", "right")
    corners = np.array(
        [opposite[0], opposite[1], edge[1], edge[0]] if picture.level else [edge[1], opposite[1], opposite[0], edge[0]]
    )
    turn, r = rng.uniform(0, 2 * np.pi, 4), ROUGH_PX * np.sqrt(rng.random(4))
    rough = corners + np.stack([r * np.cos(turn), r * np.sin(turn)], axis=1)
    h, w = picture.pixels.shape[:2]
    half = SETTINGS.edges.strip_px
    strips = {n: take_strip(picture.pixels, *(rough[k] for k in OUTLINE_CORNERS[n]), half, half) for n in (name, other)}
    prior = camera_prior(w, h, 26.0, SETTINGS.camera)
    look = Look(1, kind, w, h, 1.0, prior, rough, strips, (), ())
    curves, _ = rough_outline(look.marks, SETTINGS.edges)
    first = {n: p for n, (c, e) in curves.items() if (p := observe_outline(look, n, c, e, SETTINGS.edges)) is not None}
    try:
        not_followed(look, first, {})
        require_sharp(look, first)
    except CannotMeasure:
        return [Seen(kind, np.nan, np.nan)]
    again = {}
    for n, points in first.items():
        ends = corners[list(OUTLINE_CORNERS[n])]
        course = _course(points)
        again[n] = observe_outline(look, n, strips[n].of_polyline(course), strips[n].extent(*ends), SETTINGS.edges) or points
    doubted = finished(again, 1.0, SETTINGS.edges) if eased else rounded(again, 1.0)
    return [seen(kind, doubted[name], edge, opposite.mean(axis=0))]


def _course(points: EdgePoints) -> Array:
    """The smooth curve through the points, as the adjustment would predict it, (41, 2) px."""
    t = np.linspace(-1, 1, 41)
    return np.stack([np.polyval(np.polyfit(points.along, points.points_px[:, k], 2), t) for k in range(2)], axis=1)


def see_card(row: str, kind: str, picture: CardPicture, top_mm: float, rng: Rng, *, blur_px: float) -> list[Seen]:
    """Follow the four sides as a check does, from the finder's rough corners, then from where they meet.

    `blur_px`: of the photo's clean edges, which a check takes from the outline, that is not in these pictures.
    """
    of, sight = CARD_KINDS[kind], picture.sight
    h, w = picture.pixels.shape[:2]
    camera = Camera(np.eye(3), np.zeros(3), sight.f, *sight.axis, 0.0, 0.0)
    view = PlaneView(sight.R, sight.R @ np.array([0.0, 0.0, top_mm]) + sight.t, camera)
    target = of.target is not None
    rough = picture.corners + rng.uniform(-1, 1, (4, 2)) * (0.5 if target else ROUGH_CARD_PX)
    strips = card_strips(picture.pixels, rough, 14)
    candidate = CardCandidate(rough, False, of, False, of.target.ids[0] if of.target else None)
    look = Look(1, kind, w, h, 1.0, camera_prior(w, h, 26.0, SETTINGS.camera), None, {}, (), ())
    around = Around(view, blur_px)
    card = CardLook(candidate, strips)
    passes = None if target else roughly_alike
    search = 0.0 if target else SEARCH_PX
    sides = observe_card(card, rough, look, SETTINGS.edges, search=search, around=around, passes=passes)
    if any(s is None for s in sides):
        return [Seen(f"{row}, {n}", np.nan, np.nan) for n in SIDES]
    corners = corners_of_sides(sides, rough)
    fresh = observe_card(card, corners, look, SETTINGS.edges, search=0.0, around=around)
    sides = tuple(new or old for new, old in zip(fresh, sides, strict=True))
    middle = picture.corners.mean(axis=0)
    out = []
    for name, points, (i, j) in zip(SIDES, sides, SIDE_CORNERS, strict=True):
        ends = picture.corners[[i, j]]
        out.append(seen(f"{row}, {name}", points, ends, 2 * ends.mean(axis=0) - middle))
    return out


def draw(kind: str, number: int, *, eased: bool = True) -> list[Seen]:
    """One picture of a kind; each has its own seed."""
    rng = np.random.default_rng([zlib.crc32(kind.encode()), number])
    with threadpool_limits(limits=1):
        if kind in ARRISES:
            return see_opening(kind, opening_strip(*ARRISES[kind](rng), rng), rng, eased=eased)
        name, made = CARDS[kind]
        thing, light, phone = made(rng)
        picture = card_picture(thing, light, phone, rng)
        blur_px = float(np.hypot(phone.blur_px, PIXEL_SD) * np.exp(rng.normal(0, BLUR_TOLD)))
        return see_card(kind, name, picture, thing.thick_mm + thing.gap_mm, rng, blur_px=blur_px)


def many(kind: str, draws: int, *, eased: bool = True) -> list[Seen]:
    """All draws of a kind."""
    return [one for k in range(draws) for one in draw(kind, k, eased=eased)]


@dataclass(frozen=True)
class Row:
    """One kind in numbers, px."""

    name: str
    count: int
    missing: int
    mean: float
    in_sd: float
    rms: float
    sd: float
    error_of_mean: float
    covered: float

    @property
    def biased(self) -> bool:
        """The mean error is larger than the mean stated sd."""
        return abs(self.mean) > self.sd

    @property
    def uncovered(self) -> bool:
        """So few errors lie within their 95 % that it is no chance."""
        return round(self.covered * self.count) < stats.binom.ppf((1 - CERTAIN) / 2, self.count, 0.95)


def rows(of: Sequence[Seen]) -> list[Row]:
    """One row for each name, in order."""
    out = []
    for name in dict.fromkeys(s.row for s in of):
        mine = [s for s in of if s.row == name]
        e, u = np.array([(s.error, s.sd) for s in mine if np.isfinite(s.error)]).reshape(-1, 2).T
        n = len(e)
        if n < 2:
            continue
        covered = float(np.mean(np.abs(e) <= NORMAL_95 * u))
        se = float(e.std(ddof=1) / np.sqrt(n))
        rms = float(np.sqrt(np.mean(e**2)))
        out.append(Row(name, n, len(mine) - n, float(e.mean()), float(np.mean(e / u)), rms, float(u.mean()), se, covered))
    return out


def table(of: Sequence[Row]) -> Iterator[str]:
    """The lines."""
    head = ("error px", "in sd", "rms", "sd", "sd/rms", "mean/se", "95 %")
    yield f"{'kind of edge':38s} {'edges':>5s} {'not seen':>8s} " + " ".join(f"{word:>8s}" for word in head)
    for r in of:
        marks = " ".join([word for word, odd in (("bias", r.biased), ("cover", r.uncovered)) if odd])
        values = f"{r.mean:+8.3f} {r.in_sd:+8.2f} {r.rms:8.3f} {r.sd:8.3f} {r.sd / r.rms:8.2f} {r.mean / r.error_of_mean:+8.1f}"
        yield f"{r.name:38s} {r.count:5d} {r.missing:8d} {values} {100 * r.covered:8.1f}  {marks}".rstrip()


def made_by() -> str:
    """sha256 over path and bytes of every file of vision/ that was imported, and of the files here."""
    digest = hashlib.sha256()
    loaded = [Path(m.__file__) for n, m in sys.modules.items() if n.split(".")[0] == "vision" and m.__file__]
    for path in sorted({p.resolve() for p in loaded} | {HERE / n for n in OWN}):
        digest.update(path.relative_to(ROOT).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()


def main() -> int:
    """The table; ends with 1 where a kind is marked."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--draws", type=int, default=200, help="pictures of each kind")
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--kind", action="append", default=[], help="only kinds whose name contains this; repeatable")
    parser.add_argument("--write", action="store_true", help="write the table beside the benchmarks")
    options = parser.parse_args()
    kinds = [k for k in (*ARRISES, *CARDS) if not options.kind or any(word in k for word in options.kind)]
    made, lines = [], list(table([]))
    print(lines[0], flush=True)
    with ProcessPoolExecutor(options.processes) as pool:
        for one in pool.map(many, kinds, [options.draws] * len(kinds)):
            new = rows(one)
            made += new
            fresh = list(table(new))[1:]
            lines += fresh
            print("\n".join(fresh), flush=True)
    if options.write:
        TABLE.parent.mkdir(exist_ok=True)
        head = [f"Made by sources with sha256 {made_by()}", "(tests/benchmarks/edge_kinds.py says what the columns are)", ""]
        TABLE.write_text("\n".join([*head, *lines]) + "\n")
    return 1 if any(r.biased or r.uncovered for r in made) else 0


if __name__ == "__main__":
    raise SystemExit(main())
