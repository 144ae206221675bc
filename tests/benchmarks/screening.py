"""What screening finds, what it costs, and that hostile files end as rows.

    python -m tests.benchmarks.screening faults  [--folder DIR ...]   recall, false "ask again", wrong numbers called good
    python -m tests.benchmarks.screening hostile [--mutants 2000] [--more DIR]   mutants of our own photos, and other odd files
    python -m tests.benchmarks.screening cost    [--folder DIR ...]   processor time as a multiple of Pillow's decode

Faults are made in steps from path-traced photos with truth. One costs accuracy where the check's u doubles, its true error
passes three u, or it refuses; only there it has to be found: the verdict is then not "good to measure".
"""

from __future__ import annotations

import argparse
import hashlib
import io
import resource
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps

from api.engine import PoolExecutor, outcomes
from api.screening import look_at
from tests.benchmarks.scene_files import Scene, scenes
from vision.check import AGAIN, GOOD, OwnTracer, ScreenRequest, Settings, screen
from vision.screening import Screening

Pixels = NDArray[np.uint8]
SEED, SETTINGS = 20261125, Settings()
WORKERS, TIMEOUT_S, AHEAD = 2, 60.0, 6
QUALITY = 92


@dataclass(frozen=True)
class Fault:
    """A fault in one step: what it does to the picture, and how corners move with it."""

    name: str
    made: Callable[[Pixels], Pixels]
    scale: float = 1.0
    with_metadata: bool = True


def _blur(sd: float) -> Callable[[Pixels], Pixels]:
    return lambda p: np.asarray(cv2.GaussianBlur(p, (0, 0), sd), np.uint8)


def _shake(px: int) -> Callable[[Pixels], Pixels]:
    kernel = np.eye(px, dtype=np.float32) / px
    return lambda p: np.asarray(cv2.filter2D(p, -1, kernel), np.uint8)


def _dark(stops: float) -> Callable[[Pixels], Pixels]:
    def made(p: Pixels) -> Pixels:
        rng = np.random.default_rng(SEED)
        return np.clip(p * 2.0 ** (-stops / 2.2) + rng.normal(0, 2.0 * stops, p.shape), 0, 255).astype(np.uint8)

    return made


def _bright(stops: float) -> Callable[[Pixels], Pixels]:
    return lambda p: np.clip(p * 2.0 ** (stops / 2.2), 0, 255).astype(np.uint8)


def _small(scale: float) -> Callable[[Pixels], Pixels]:
    return lambda p: np.asarray(cv2.resize(p, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA), np.uint8)


FAULTS = (
    *(Fault(f"blur {sd}", _blur(sd)) for sd in (1.5, 3.0, 6.0)),
    *(Fault(f"shaken {px}", _shake(px)) for px in (8, 16, 32)),
    *(Fault(f"dark {stops}", _dark(stops)) for stops in (2.0, 4.0)),
    *(Fault(f"bright {stops}", _bright(stops)) for stops in (1.5, 3.0)),
    *(Fault(f"small {scale}", _small(scale), scale, with_metadata=False) for scale in (0.6, 0.4, 0.25)),
)


def as_file(pixels: Pixels, exif: bytes | None) -> bytes:
    """JPEG of these pixels, upright."""
    out = io.BytesIO()
    image = Image.fromarray(pixels)
    if exif is not None:
        kept = Image.Exif()
        kept.load(exif)
        kept[0x0112] = 1
        image.save(out, "JPEG", quality=QUALITY, exif=kept.tobytes())
    else:
        image.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()


@dataclass(frozen=True)
class Screened:
    """What is said, the stated u and the true error of the middle width in u where it was measured."""

    verdict: str
    codes: tuple[str, ...]
    u_mm: float | None
    off_sds: float | None


def screened(scene: Scene, data: bytes, scale: float) -> Screened:
    """One photo with the scene's own rough corners."""
    asked = scene.request(0, "as stated")
    corners = tuple(((x + 0.5) * scale - 0.5, (y + 0.5) * scale - 0.5) for x, y in asked.corners[0] or ())
    said = screen(ScreenRequest("photo.jpg", data, corners, asked.cards, asked.head), SETTINGS)
    return _judged(said, scene)


def _judged(said: Screening, scene: Scene) -> Screened:
    codes = tuple(r.code for r in said.reasons)
    if said.band is None or said.band.how != "measured":
        return Screened(said.verdict, codes, None, None)
    true = [v for n, v in scene.true().items() if n.startswith("width")]
    off = min(abs(said.band.width_mm - t) for t in true) / said.band.u_width_mm
    return Screened(said.verdict, codes, said.band.u_width_mm, off)


def faults(folders: list[Path]) -> None:
    """Prints recall per fault and what was called good though it was wrong."""
    found: Counter[str] = Counter()
    costs: Counter[str] = Counter()
    wrong, good_ones, again = 0, 0, 0
    for scene in scenes((), folders):
        raw = scene.photo.read_bytes()
        with Image.open(io.BytesIO(raw)) as image:
            exif = image.info.get("exif")
            pixels = np.asarray(ImageOps.exif_transpose(image).convert("RGB"))
        before = screened(scene, raw, 1.0)
        if before.u_mm is None:
            continue
        good_ones += 1
        again += before.verdict == AGAIN
        wrong += before.verdict == GOOD and (before.off_sds or 0) > 3
        for fault in FAULTS:
            after = screened(scene, as_file(fault.made(pixels), exif if fault.with_metadata else None), fault.scale)
            worse = after.u_mm is None or after.u_mm > 2 * before.u_mm or (after.off_sds or 0) > 3
            costs[fault.name] += worse
            found[fault.name] += worse and after.verdict != GOOD
            wrong += after.verdict == GOOD and (after.off_sds or 0) > 3
    print(f"{good_ones} photos that the check measures: {again} asked for again ({again / max(good_ones, 1):.1%}; limit 3 %)")
    for fault in FAULTS:
        n = costs[fault.name]
        print(
            f"{fault.name:14s} costs accuracy in {n:3d}, found in {found[fault.name]:3d}"
            + (f" ({found[fault.name] / n:.0%})" if n else "")
        )
    print(f"a wrong number called good to measure: {wrong} (must be 0)")


def mutants(count: int, folder: Path) -> Iterator[tuple[str, bytes]]:
    """Seeded changes of our own photos: bytes flipped, pieces cut out, doubled or swapped, heads that lie."""
    rng = np.random.default_rng(SEED)
    photos = [p.read_bytes() for p in sorted(folder.glob("*.jpg"))]
    for number in range(count):
        data = bytearray(photos[number % len(photos)])
        kind = number % 5
        if kind == 0:
            for at in rng.integers(0, len(data), rng.integers(1, 40)):
                data[at] = rng.integers(0, 256)
        elif kind == 1:
            del data[int(rng.integers(2, len(data))) :]
        elif kind == 2:
            a, b = sorted(int(x) for x in rng.integers(2, len(data), 2))
            del data[a : min(b, a + 5000)]
        elif kind == 3:
            for at in rng.integers(2, 700, rng.integers(1, 12)):
                data[at] = rng.integers(0, 256)
        else:
            a = int(rng.integers(2, len(data) - 2000))
            data[a:a] = data[a : a + int(rng.integers(1, 2000))]
        yield f"mutant {number}", bytes(data)


def hostile(count: int, more: Path | None) -> None:
    """Prints how mutants and other odd files end, and the memory of parent and workers."""

    def jobs() -> Iterator[ScreenRequest]:
        for name, data in mutants(count, Path("sample_images")):
            yield ScreenRequest(name, data)
        for path in sorted(more.rglob("*")) if more else ():
            if path.is_file():
                yield ScreenRequest(path.name, path.read_bytes())

    ends: Counter[str] = Counter()
    rows = 0
    with PoolExecutor(WORKERS, TIMEOUT_S) as executor:
        for request, outcome in outcomes(look_at, jobs(), executor, AHEAD):
            rows += 1
            if isinstance(outcome, BaseException):
                ends[f"process ended: {type(outcome).__name__}"] += 1
                print("ended", request.name, repr(outcome)[:200], flush=True)
            else:
                assert outcome["sha256"] == hashlib.sha256(request.data).hexdigest()
                ends[", ".join([outcome["verdict"], *(r["code"] for r in outcome["reasons"][:1])])] += 1
    for end, n in ends.most_common():
        print(f"{n:6d}  {end}")
    parent, child = (resource.getrusage(who).ru_maxrss / 1024 for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    print(f"{rows} files, {rows} rows; peak memory {parent:.0f} MiB here, {child:.0f} MiB in the largest process")


def cost(folders: list[Path]) -> None:
    """Prints what a screening costs in decodes of the same file by Pillow, without and with a traced outline."""
    for scene in scenes((), folders)[:8]:
        data = scene.photo.read_bytes()
        times = []
        for work in (
            lambda d=data: Image.open(io.BytesIO(d)).load(),
            lambda d=data: screen(ScreenRequest("p", d), SETTINGS),
            lambda d=data: screen(ScreenRequest("p", d), SETTINGS, OwnTracer(SETTINGS)),
        ):
            work()
            began = time.process_time()
            work()
            times.append(time.process_time() - began)
        print(
            f"{scene.name:28s} decode {times[0]:.3f} s, alone {times[1] / times[0]:.1f}, with outline {times[2] / times[0]:.1f}"
        )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", choices=("faults", "hostile", "cost"))
    parser.add_argument("--folder", action="append", type=Path, default=[], help="more scenes; repeatable")
    parser.add_argument("--mutants", type=int, default=2000)
    parser.add_argument("--more", type=Path, help="a folder of odd files, such as Tests/images of Pillow's source archive")
    asked = parser.parse_args()
    if asked.what == "faults":
        faults(asked.folder)
    elif asked.what == "hostile":
        hostile(asked.mutants, asked.more)
    else:
        cost(asked.folder)


if __name__ == "__main__":
    main()
