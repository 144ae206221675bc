"""Eighth family of random rooms: a small guest house under refit, photographed in passing; see README.md beside this file.

python -m tests.benchmarks.scenes.eighth_rooms --out FOLDER/eighth --variant cuda_ad_rgb --samples 32 --per-pass 4 --part 1/3
"""

from __future__ import annotations

import argparse
import json
import re
import sys
import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import mitsuba as mi
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[3] / "sample_images"))

from studio import record
from studio.camera import Camera
from studio.shapes import Builder
from studio.shot import Expected, smaller
from studio.things import PlumbLine, hang_plumb_line

ATTEMPTS = 30
READ = ("width_top", "width_middle", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling")


@dataclass
class Room:
    """One room, ready to be photographed."""

    deal: Any
    attempt: int
    dropped: list[str]
    house: Any
    refs: list[Any]
    options: list[str]
    camera: Camera
    equivalent_mm: int
    line: PlumbLine | None
    scene: mi.Scene
    proof: Any
    note: str


def hang_line(house: Any, rng: np.random.Generator) -> PlumbLine:
    """In front of the opening, from a nail above its head."""
    from studio.surfaces import plain

    opening = house.opening
    colour = [(0.75, 0.72, 0.6), (0.7, 0.06, 0.05), (0.05, 0.05, 0.05), (0.75, 0.6, 0.05)][rng.integers(4)]
    x = float(rng.uniform(0.2, 0.8)) * opening.width_mm
    top = float(opening.corners[:, 1].max()) + float(rng.uniform(35, 90))
    bottom = float(rng.uniform(0.05, 0.12)) * opening.height_mm
    return PlumbLine(x, top, bottom, plain(colour), z_mm=float(rng.uniform(4.0, 6.5)), thickness_mm=float(rng.uniform(1.4, 2.2)))


def build(deal: Any) -> Room:
    """Draws until rays find that everything to be measured can be seen and lies where the truth says."""
    dropped: list[str] = []
    for attempt in range(1, ATTEMPTS + 1):
        found = _attempt(deal, attempt, dropped)
        if isinstance(found, Room):
            return found
        dropped.append(found)
    raise RuntimeError(f"{deal.name}: {dropped}")


def _attempt(deal: Any, attempt: int, dropped: list[str]) -> Room | str:
    from tests.benchmarks.scenes import eighth_cards, eighth_finish, eighth_light, eighth_plan, eighth_things, eighth_trace

    rng = deal.rng(attempt)
    house = eighth_plan.draw_house(deal, rng)
    house, near, names = eighth_finish.finish(house, rng)
    refs, options = eighth_cards.draw_refs(deal, near, rng)
    spots = eighth_plan.places(house, deal, refs[0].size_mm, rng)
    refs = [replace(ref, centre_mm=spot) for ref, spot in zip(refs, spots, strict=True)]
    line = hang_line(house, rng) if deal.plumb and house.opening.head else None
    corners = np.column_stack([house.opening.corners, np.zeros(4)])
    must = np.concatenate([corners, *(ref.outline() for ref in refs), *([line.ends()] if line else [])])
    found = eighth_plan.draw_camera(house, must, rng)
    if found is None:
        return f"attempt {attempt}: no camera has everything in its picture"
    camera, equivalent = found
    builder = Builder()
    eighth_finish.build(builder, house)
    for ref in refs:
        eighth_cards.hang(builder, ref)
    if line:
        hang_plumb_line(builder, line)
    seen = eighth_things.within(builder, house, rng) + eighth_things.clutter(builder, house, [s[0] for s in spots], rng)
    eighth_light.light_up(builder, house, camera, deal.light, rng)
    eighth_light.person(builder, house, camera, rng)
    scene = mi.load_dict({"type": "scene", **builder.shapes})
    proof = eighth_trace.prove(scene, camera, house, refs, line.x_mm if line else None)
    if proof.faults:
        return f"attempt {attempt}: {'; '.join(proof.faults)}"
    prints = ", ".join(ref.print_name for ref in refs)
    note = f"{deal.kind}; {names}; light: {deal.light}; references: {prints}; about: {', '.join(seen)}"
    return Room(deal, attempt, list(dropped), house, refs, options, camera, equivalent, line, scene, proof, note)


def _numbered(room: Room, camera: Camera) -> list[str]:
    """The options for the references, numbered as they stand in the picture, left to right, and not as they were drawn."""
    refs, words = room.refs, list(room.options)
    left_to_right = sorted(range(len(refs)), key=lambda k: tuple(camera.project(refs[k].outline()).mean(axis=0)))
    new = {drawn: number for number, drawn in enumerate(left_to_right, 1)}
    return [re.sub(r"#(\d+)@", lambda m: f"#{new[int(m[1]) - 1]}@", word) for word in words]


def truth(room: Room, camera: Camera, phone: Any, options: argparse.Namespace) -> dict[str, Any]:
    """The record beside the photo."""
    deal, house, opening = room.deal, room.house, room.house.opening
    words = _numbered(room, camera)
    if not opening.head:
        words += ["--no-head", "--height", f"{opening.height_mm / 25.4:g} in"]
    shot = SimpleNamespace(
        title=f"{deal.kind.capitalize()} of the eighth rooms, {deal.layout}_{deal.number:02d}",
        seed=_seed(room),
        note=room.note,
        opening=opening,
        room=SimpleNamespace(bullnose_mm=0.0, bead_mm=0.0),
        cards=tuple(room.refs),
        plumb_line=room.line,
        expected=Expected(None),
        options=tuple(words),
    )
    facts = record.truth(shot, camera)  # type: ignore[arg-type]
    flat = dict.fromkeys(("left", "right"), house.profile.flat_ends_mm) | {"curb": house.sill.radius_mm}
    if opening.head:
        flat["head"] = house.profile.flat_ends_mm
    facts["origin"] = "rendered for this project with Mitsuba 3 by eighth_rooms.py in tests/benchmarks/scenes; no real place"
    facts["opening"]["edge_taken"] = house.profile.words + "; the readings were taken to the same lines"
    facts["opening"]["flat_ends_mm"] = flat
    facts["layout"] = deal.layout
    facts["made"] = {
        "attempt": room.attempt,
        "dropped": room.dropped,
        "samples": options.samples,
        "scale": options.scale,
        "rays": room.proof.words(),
        "quality": phone.quality,
        "kind": deal.kind,
        "light": deal.light,
        "seed_of_attempt": list(deal.rng_key(room.attempt)),
        "equivalent_mm": float(room.equivalent_mm),
    }
    return facts


def _seed(room: Room) -> int:
    return int(np.random.default_rng([*room.deal.rng_key(room.attempt), 5]).integers(1, 2**30))


def readings(room: Room) -> str:
    """The tape: true to half a millimetre, then rounded to a sixteenth of an inch or to a millimetre."""
    rng = np.random.default_rng([*room.deal.rng_key(room.attempt), 6])
    sizes, metric = room.house.opening.sizes(), bool(rng.random() < 0.3)
    deal = room.deal
    lines = [f"# {deal.kind.capitalize()} of the eighth rooms, {deal.layout}_{deal.number:02d}"]
    lines += [f'unit = "{"mm" if metric else "in"}"', "", "[readings]"]
    for name in READ:
        off = float(rng.uniform(-0.5, 0.5))
        if name in sizes:
            lines.append(f'{name} = "{round(sizes[name] + off) if metric else inches(sizes[name] + off)}"')
    return "\n".join(lines) + "\n"


def inches(value_mm: float) -> str:
    """To the nearest sixteenth, as it is written on a tape's slip."""
    whole, part = divmod(round(value_mm / 25.4 * 16), 16)
    return f"{whole} {Fraction(part, 16)}" if part else f"{whole}"


def photograph(room: Room, options: argparse.Namespace) -> Callable[[], None]:
    """Traces the room; what comes back develops and writes it, the readings last."""
    from tests.benchmarks.scenes import eighth_phone, eighth_trace

    camera = smaller(room.camera, options.scale)
    linear = eighth_trace.expose(room.scene, camera, options.samples, options.per_pass, _seed(room))
    room.scene = None
    rng = np.random.default_rng([*room.deal.rng_key(room.attempt), 7])
    phone = eighth_phone.draw_phone(room.deal.light, room.equivalent_mm, rng)

    def write() -> None:
        photo = eighth_phone.develop(linear, phone, (camera.cx, camera.cy), rng)
        base = options.out / room.deal.name
        base.with_suffix(".jpg").write_bytes(photo)
        facts = truth(room, camera, phone, options)
        base.with_suffix(".json").write_text(json.dumps(facts, indent=1, separators=(",", ": ")) + "\n")
        (options.out / f"{room.deal.name}.readings.toml").write_text(readings(room))

    return write


def chosen(options: argparse.Namespace) -> list[Any]:
    """The rooms asked for that have no readings yet."""
    from tests.benchmarks.scenes.eighth_plan import deals

    part, of = (int(number) for number in options.part.split("/"))
    found = [deal for at, deal in enumerate(deals()) if at % of == part - 1]
    found = [deal for deal in found if options.layout in (None, deal.layout) and options.number in (None, deal.number)]
    return [deal for deal in found if options.prove or not (options.out / f"{deal.name}.readings.toml").exists()]


def parse() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, required=True, help="folder; name it eighth")
    parser.add_argument("--variant", default="llvm_ad_rgb")
    parser.add_argument("--samples", type=int, default=32)
    parser.add_argument("--per-pass", type=int, default=4)
    parser.add_argument("--part", default="1/1", help="which of how many processes this is")
    parser.add_argument("--scale", type=float, default=1.0)
    parser.add_argument("--layout")
    parser.add_argument("--number", type=int)
    parser.add_argument("--until", type=float, default=float("inf"), help="start no room after so many seconds")
    parser.add_argument("--prove", action="store_true", help="rays only, no pictures")
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    return options


def main() -> None:
    options, started = parse(), time.monotonic()
    mi.set_variant(options.variant)
    mi.set_log_level(mi.LogLevel.Error)
    waiting: list[Future[None]] = []
    with ThreadPoolExecutor(1) as darkroom:
        for deal in chosen(options):
            if time.monotonic() - started > options.until:
                print("time is up", flush=True)
                break
            began = time.monotonic()
            room = build(deal)
            print(f"{deal.name}: attempt {room.attempt}; {room.proof.words()} {room.dropped or ''}", flush=True)
            if not options.prove:
                waiting.append(darkroom.submit(photograph(room, options)))
                print(f"{deal.name}: {time.monotonic() - began:.0f} s", flush=True)
        for done in waiting:
            done.result()


if __name__ == "__main__":
    main()
