"""Random rooms on demand: photo, truth and readings from a seed, two sets of four layouts, ten rooms each.

python -m tests.benchmarks.scenes.rooms --set dev --out FOLDER --variant cuda_ad_rgb       # as in rooms.sha256
python -m tests.benchmarks.scenes.rooms --seed 5 --layout four --samples 16 --scale 0.2    # a quick look at others
"""

from __future__ import annotations

import argparse
import io
import json
import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path

import mitsuba as mi
import numpy as np
from PIL import Image

FOLDER = Path(__file__).resolve().parent
sys.path[:0] = [str(FOLDER), str(FOLDER.parents[2] / "sample_images")]

import room_cards as hung  # noqa: E402
import room_draws as draws  # noqa: E402
import room_things as about  # noqa: E402
from studio import develop, record, trace  # noqa: E402
from studio.camera import Camera  # noqa: E402
from studio.room import build_room  # noqa: E402
from studio.shapes import Builder, Surface  # noqa: E402
from studio.shot import Development, Expected, Shot, smaller  # noqa: E402
from studio.things import hang_plumb_line  # noqa: E402

SETS = {"dev": 31, "held": 47, "last": 83}
LAYOUTS = ("sheet", "opposite", "four", "letters")
ROOMS = 10
QUALITY = (85, 95)
ORIGIN = "rendered for this project with Mitsuba 3 by tests/benchmarks/scenes/rooms.py from this seed; no real place"
METERING_STEP, GLARE = 8, 0.004  # pixels; the least share of lamp pixels in the picture that the exposure minds
CORNERS = (("left", "bottom"), ("right", "bottom"), ("right", "top"), ("left", "top"))


class CentredBuilder(Builder):
    """Builds about the middle of the opening: the renderer starts its rays off a surface by a share of the coordinates,
    which about the foot of the left wall would be 0.2 mm, a quarter of a card's thickness."""

    def __init__(self, centre_mm: np.ndarray) -> None:
        super().__init__()
        self.centre = np.asarray(centre_mm, float)

    def mesh(self, vertices: np.ndarray, faces: np.ndarray, uv_mm: np.ndarray, surface: Surface) -> None:
        super().mesh(np.asarray(vertices, float) - self.centre, faces, uv_mm, surface)

    def rod(self, start, end, radius: float, surface: Surface) -> None:  # type: ignore[no-untyped-def]
        super().rod(tuple(start - self.centre), tuple(end - self.centre), radius, surface)

    def disc(self, centre, normal: np.ndarray, radius: float, surface: Surface) -> None:  # type: ignore[no-untyped-def]
        super().disc(tuple(centre - self.centre), normal, radius, surface)

    def ball(self, centre, radius: float, surface: Surface) -> None:  # type: ignore[no-untyped-def]
        super().ball(tuple(centre - self.centre), radius, surface)

    def lamp(self, centre, toward, size_mm, rgb) -> None:  # type: ignore[no-untyped-def]
        super().lamp(tuple(centre - self.centre), toward, size_mm, rgb)


@dataclass(frozen=True)
class Drawn:
    """A random room: the shot, and what belongs to it alone."""

    shot: Shot
    layout: str
    quality: int


def name_of(group: str, layout: str, number: int) -> str:
    return f"{group}_{layout}_{number:02d}"


def drawn(group: str, base: int, layout: str, number: int) -> Drawn:
    """Room number (from 1) of a layout; the same seed always gives the same room."""
    seed = base * 1000 + LAYOUTS.index(layout) * 100 + number
    rng = np.random.default_rng([seed, 2026])
    opening = draws.opening(rng)
    room, words, hue = draws.room(rng, opening)
    cards, look = _cards(rng, layout, opening)
    camera, claimed = draws.camera(rng, opening, room, cards)
    line = about.plumb_line(rng, opening) if rng.random() < 0.5 else None
    things = about.clutter(rng, opening, room, camera.position_mm, cards)
    quality = int(rng.integers(QUALITY[0], QUALITY[1] + 1))
    shot = Shot(
        name_of(group, layout, number),
        f"Room {100 * (1 + LAYOUTS.index(layout)) + number} shower",
        seed,
        opening,
        room,
        camera,
        cards,
        Expected(None),
        hung.options(cards, rng),
        plumb_line=line,
        furnish=lambda build: [thing.make(build) for thing in things] and None,
        development=draws.development(rng, hue, camera.height > camera.width),
        equivalent_mm=claimed,
        note=f"{look}; {words}; {', '.join(t.word for t in things)}; every reading is right",
    )
    return Drawn(shot, layout, quality)


def _cards(rng: np.random.Generator, layout: str, opening: draws.Opening) -> tuple[tuple[hung.WornCard, ...], str]:
    first = int(rng.integers(2))
    opposite = (CORNERS[first], CORNERS[first + 2])
    if layout == "sheet":
        kind, side = str(rng.choice(["a4", "letter"])), str(rng.choice(["left", "right"]))
        return hung.sheets(rng, opening, (kind,), ((side, "middle"),)), f"a measured {kind} sheet on the {side}"
    if layout == "letters":
        return hung.sheets(rng, opening, ("letter", "letter"), opposite), "two measured letter sheets at opposite corners"
    cards, look = hung.bank_cards(rng, opening, CORNERS if layout == "four" else opposite)
    return cards, f"{len(cards)} bank-size cards ({look})"


def assemble(shot: Shot) -> tuple[mi.Scene, np.ndarray]:
    """The scene about the middle of the opening, and that middle."""
    centre = np.array([*np.round(shot.opening.corners.mean(axis=0)), 0.0])
    build = CentredBuilder(centre)
    build_room(build, shot.room, shot.opening)
    for card in shot.cards:
        hung.hang_worn_card(build, card)  # type: ignore[arg-type]
    if shot.plumb_line:
        hang_plumb_line(build, shot.plumb_line)
    shot.furnish(build)
    return mi.load_dict({"type": "scene", **build.shapes}), centre


def hidden(shot: Shot, scene: mi.Scene, centre: np.ndarray) -> tuple[float, list[str]]:
    """Rays through the truth must land where it says: the worst miss (mm) of those in view, and what is hidden or missed."""
    watched: dict[str, np.ndarray] = {}
    beside = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "curb": (0.0, -1.0), "head": (0.0, 1.0)}
    for side, points in shot.opening.edges(60).items():
        watched[side] = np.column_stack([points + beside[side], np.zeros(60)])[1:-1]
    for number, card in enumerate(shot.cards, 1):
        corners = card.outline()
        inner = corners + 0.012 * (corners.mean(axis=0) - corners)
        t = np.linspace(0.1, 0.9, 20)[:, None]
        watched[f"card {number}"] = np.vstack([inner[a] + t * (inner[b] - inner[a]) for a, b in ((0, 1), (1, 2), (3, 2), (0, 3))])
    eye, worst, said = replace(shot.camera, position_mm=shot.camera.position_mm - centre), 0.0, []
    for word, points in watched.items():
        landed = trace.where_pixels_land(scene, eye, eye.project(points - centre)) + centre
        miss = np.linalg.norm(landed - points, axis=1)
        covered = float(np.mean(miss > 0.4))
        worst = max(worst, float(miss[miss <= 0.4].max(initial=0.0)))
        if covered:
            said.append(f"{word} {covered:.0%}")
    return worst, said


def expose(room: Drawn, samples: int, scale: float, per_pass: int) -> np.ndarray:
    """The linear picture; prints how well the truth agrees with the renderer."""
    started, shot = time.monotonic(), room.shot
    scene, centre = assemble(shot)
    worst, said = hidden(shot, scene, centre)
    camera = smaller(shot.camera, scale)
    eye = replace(camera, position_mm=camera.position_mm - centre)
    linear = trace.expose(scene, eye, samples, shot.seed, per_pass)
    took = time.monotonic() - started
    print(f"{shot.name}: {took:.0f} s, truth against the renderer {worst:.4f} mm; covered: {said or 'nothing'}", flush=True)
    return linear


def finish(room: Drawn, linear: np.ndarray, scale: float, out: Path) -> None:
    """Develops the photo and writes it with its truth and the readings."""
    shot = room.shot
    stops = glare_stops(linear, smaller(shot.camera, scale), shot)
    how = replace(shot.development, exposure=shot.development.exposure + stops)
    upright = develop.develop(linear, how, shot.seed)
    photo = jpeg(upright, shot.development, shot.equivalent_mm, room.quality)
    truth = {**record.truth(shot, smaller(shot.camera, scale)), "origin": ORIGIN, "layout": room.layout}
    (out / f"{shot.name}.jpg").write_bytes(photo)
    (out / f"{shot.name}.json").write_text(json.dumps(truth, indent=1, separators=(",", ": ")) + "\n")
    (out / f"{shot.name}.readings.toml").write_text(record.readings(shot))
    print(f"{shot.name}: {len(photo) / 2**20:.2f} MiB at quality {room.quality}", flush=True)


def glare_stops(linear: np.ndarray, camera: Camera, shot: Shot) -> float:
    """What the exposure gains when lamps in view may burn out, as a phone's metering lets them."""
    seen = draws.lamps_in_view(camera, shot.room.lamps, METERING_STEP)
    if seen.mean() < GLARE:
        return 0.0
    metered = np.ascontiguousarray(linear[::METERING_STEP, ::METERING_STEP])
    without = np.where(seen[..., None], np.median(metered[~seen], axis=0), metered).astype(np.float32)
    return float(np.log2(develop.exposure_factor(without) / develop.exposure_factor(metered)))


def jpeg(upright: np.ndarray, how: Development, equivalent_mm: float, quality: int) -> bytes:
    """4:2:0 of one quality, with the metadata that the studio's phone writes."""
    picture = Image.fromarray(np.ascontiguousarray(np.rot90(upright)) if how.orientation == 6 else upright)
    known = Image.open(io.BytesIO(develop.write_jpeg(upright[:16, :16], replace(how, orientation=1), equivalent_mm)))
    exif = known.getexif()
    exif[0x0112] = how.orientation
    details = exif.get_ifd(0x8769)
    details[0xA002], details[0xA003] = picture.size
    sink = io.BytesIO()
    picture.save(sink, "JPEG", quality=quality, subsampling=2, optimize=True, exif=exif.tobytes())
    return sink.getvalue()


def main() -> None:
    parser = argparse.ArgumentParser(description="Renders random rooms with their truth.")
    parser.add_argument("--set", choices=sorted(SETS), default="dev", help="its name begins the files' names; gives the seed")
    parser.add_argument("--seed", type=int, help="another seed than the set's, below 4000")
    parser.add_argument("--layout", choices=LAYOUTS, action="append", help="only this one; repeatable")
    parser.add_argument("--number", type=int, action="append", help="only this room of each layout, from 1; repeatable")
    parser.add_argument("--variant", default="llvm_ad_rgb", help="Mitsuba variant, cuda_ad_rgb or llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=48, help="light paths per pixel")
    parser.add_argument("--per-pass", type=int, default=4, help="of these at a time: fewer need less memory")
    parser.add_argument("--scale", type=float, default=1.0, help="smaller pictures for a trial")
    parser.add_argument("--out", type=Path, default=Path("out"))
    options = parser.parse_args()
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    options.out.mkdir(parents=True, exist_ok=True)
    base = SETS[options.set] if options.seed is None else options.seed
    for layout in options.layout or LAYOUTS:
        for number in options.number or range(1, ROOMS + 1):
            room = drawn(options.set, base, layout, number)
            finish(room, expose(room, options.samples, options.scale, options.per_pass), options.scale, options.out)


if __name__ == "__main__":
    main()
