"""What screening finds, what it costs, and that hostile files end as rows.

    python -m tests.benchmarks.screening faults  [--folder DIR ...] [--only NAME ...] [--part K/N] [--out FILE]
    python -m tests.benchmarks.screening tally   FILE ...      recall, false "ask again", wrong numbers called good
    python -m tests.benchmarks.screening hostile [--mutants 2000] [--more DIR] [--workers 2]   mutants, and other odd files
    python -m tests.benchmarks.screening cost    [--folder DIR ...]   processor time as a multiple of Pillow's decode

Faults are made in steps from path-traced photos with truth. One costs accuracy where the check's u doubles, its true error
passes three u, or it refuses; only there it has to be found (`screening_tally.py` says what counts). `faults` appends a line of
JSON for each photo to --out and goes on where it was broken off; of N processes each may do a part.
"""

from __future__ import annotations

import argparse
import io
import json
import signal
import zlib
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path

import numpy as np
from PIL import Image, ImageOps

from tests.benchmarks.scene_files import Scene, scenes
from tests.benchmarks.screening_cost import cost
from tests.benchmarks.screening_faults import FAULTS, as_file
from tests.benchmarks.screening_hostile import hostile
from tests.benchmarks.screening_tally import Row, Screened, off_sds, tell
from tests.benchmarks.screening_warps import Made
from vision.check import AGAIN, ScreenRequest, Settings, screen
from vision.errors import CannotMeasure
from vision.geometry.cards import parse_cards
from vision.photo.intake import read_photo
from vision.screening_sight import measured_sight

SETTINGS = Settings()


def screened(scene: Scene, data: bytes, made: Made | None = None) -> Screened:
    """One photo with its own rough corners, moved as the picture is; the check itself where the screening has not asked it."""
    asked = scene.request(0, "as stated")
    rough = np.array(asked.corners[0])
    corners = tuple((float(x), float(y)) for x, y in (rough if made is None else made.at(rough)))
    said = screen(ScreenRequest("photo.jpg", data, corners, asked.cards, asked.head), SETTINGS)
    band = said.band
    if said.verdict == AGAIN or band is None or band.how != "measured":
        cards = parse_cards(asked.cards, None, SETTINGS.cards)
        with suppress(CannotMeasure):  # a file that is refused is one that the check does not measure
            photo = read_photo("photo.jpg", data, SETTINGS.intake)
            band = measured_sight(photo, np.array(corners), cards, SETTINGS, head=asked.head).band
    levels = {r.code: r.level for r in said.reasons}
    off = None if band is None else off_sds(band.width_mm, band.u_width_mm, scene)
    told = None if said.band is None else off_sds(said.band.width_mm, said.band.u_width_mm, scene)
    u, told_u = (None if one is None else one.u_width_mm for one in (band, said.band))
    return Screened(said.verdict, levels, u, off, told_u, told)


def faults(folders: list[Path], only: list[str], part: tuple[int, int], most: int, out: Path | None) -> None:
    """Screens every scene as it is and with each fault; scenes come in an order drawn by their names. Prints what came of it."""
    chosen = [s for s in scenes((), folders) if (not folders or s.photo.parent in folders) and (not only or s.name in only)]
    chosen = sorted(chosen, key=lambda s: zlib.crc32(s.name.encode()))[:most][part[0] - 1 :: part[1]]
    rows = list(read_rows([out])) if out is not None and out.exists() else []
    done = {(row.scene, row.fault): row for row in rows}
    try:
        for scene in chosen:
            for row in _of_scene(scene, done):
                rows.append(row)
                if out is not None:
                    with out.open("a") as file:
                        file.write(json.dumps(asdict(row)) + "\n")
    except KeyboardInterrupt:
        print("broken off")
    tell(rows)


def read_rows(files: list[Path]) -> Iterator[Row]:
    """The rows of several files."""
    for file in files:
        yield from (Row.of(json.loads(line)) for line in file.read_text().splitlines())


def _of_scene(scene: Scene, done: dict[tuple[str, str | None], Row]) -> Iterator[Row]:
    """The rows of one scene that are not done yet; a photo that the check does not measure is left as it is."""
    raw = scene.photo.read_bytes()
    with Image.open(io.BytesIO(raw)) as image:
        exif = image.info.get("exif")
        pixels = np.asarray(ImageOps.exif_transpose(image).convert("RGB"))
    before = done.get((scene.name, None))
    if before is None:
        before = Row(scene.name, None, screened(scene, raw))
        print(scene.name, before.screened, flush=True)
        yield before
    for fault in FAULTS if before.screened.u_mm is not None else ():
        if (scene.name, fault.name) in done:
            continue
        made = fault.made(pixels, scene)
        if made is not None:
            yield Row(scene.name, fault.name, screened(scene, as_file(made.pixels, exif, fault.quality, made), made))


def _part(text: str) -> tuple[int, int]:
    k, n = text.split("/")
    return int(k), int(n)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", choices=("faults", "tally", "hostile", "cost"))
    parser.add_argument("files", nargs="*", type=Path, help="of rows, for tally")
    parser.add_argument("--folder", action="append", type=Path, default=[], help="more scenes; repeatable")
    parser.add_argument("--only", action="append", default=[], help="of the scenes, by name, for faults; repeatable")
    parser.add_argument(
        "--part", type=_part, default=(1, 1), metavar="K/N", help="every Nth of the scenes from the Kth on, for faults"
    )
    parser.add_argument("--out", type=Path, help="where rows go, for faults")
    parser.add_argument("--mutants", type=int, default=2000)
    parser.add_argument("--more", type=Path, help="a folder of odd files, such as Tests/images of Pillow's source archive")
    parser.add_argument("--workers", type=int, default=2, help="processes, for hostile")
    parser.add_argument("--most", type=int, default=12, help="of the scenes, for faults and cost")
    asked = parser.parse_args()
    signal.signal(signal.SIGINT, signal.default_int_handler)  # also where a shell has started this in the background
    if asked.what == "faults":
        faults(asked.folder, asked.only, asked.part, asked.most, asked.out)
    elif asked.what == "tally":
        tell(read_rows(asked.files))
    elif asked.what == "hostile":
        hostile(asked.mutants, asked.more, asked.workers)
    else:
        cost(asked.folder, asked.most)


if __name__ == "__main__":
    main()
