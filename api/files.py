"""The command line's files: photos and readings in, JSON and pictures out. Nothing else here touches the disk."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from vision.check import (
    Report,
    TapeFacts,
    candidates_png,
    facts_from_csv,
    facts_from_toml,
    hardware_from_toml,
    overlay_jpeg,
    rectified_png,
    sheet_html,
    sheet_pdf,
    walls_png,
)
from vision.errors import BadInput

PAPERS = ("letter", "a4")
SHEETS = (".pdf", ".html")
PICTURE = ".png"
MAX_READINGS_BYTES = 1_000_000
"""bytes; a readings file is a page of text"""


def read_photos(paths: Sequence[Path], max_bytes: int) -> tuple[tuple[str, bytes], ...]:
    """Name and bytes of each photo; no two names differ by their ending alone, because the pictures are named after them.

    At most one byte more than the limit is read, so that the check can say that a photo is too large.
    """
    photos: list[tuple[str, bytes]] = []
    for number, path in enumerate(paths, 1):
        taken = {Path(name).stem for name, _ in photos}
        name = path.name if path.stem not in taken else f"{path.stem}-{number}{path.suffix}"
        photos.append((name, _read(path, "photo", max_bytes + 1)))
    return tuple(photos)


def read_readings(path: Path | None) -> TapeFacts:
    """The readings file, CSV by its ending or else TOML, or no readings at all."""
    if path is None:
        return facts_from_toml("")
    read = facts_from_csv if path.suffix.lower() == ".csv" else facts_from_toml
    return read(_read_text(path, "readings file"), where=str(path))


def read_hardware(path: Path | None) -> dict[str, object] | None:
    """The table of a hardware sheet, or None without one."""
    return None if path is None else hardware_from_toml(_read_text(path, "hardware sheet"), where=f"hardware sheet {path}")


def hold_writable(json_path: Path | None, pictures: Path | None, option: str = "--pictures") -> None:
    """Refuse a place that cannot be written to before any photo is worked on; makes the folder for pictures."""
    hold_file(json_path, "--json", "a file to write, or -")
    if pictures is not None:
        try:
            pictures.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise BadInput(
                option, f"{pictures} cannot be made ({error.strerror})", "a folder to write to", "name another folder"
            ) from None


def hold_file(path: Path | None, option: str, needed: str = "a file to write") -> None:
    """Refuse a file that cannot be written, since its name is a folder's or its folder is not there."""
    if path is None:
        return
    if path.is_dir():
        raise BadInput(option, f"{path} is a folder", needed, "name a file in it")
    if not path.parent.is_dir():
        raise BadInput(option, f"no folder {path.parent}", "a folder that exists", "make it first")


def hold_picture(path: Path | None) -> None:
    """Refuse an ending that says another kind of file than the picture is, before anything is worked out."""
    if path is not None and path.suffix.lower() != PICTURE:
        raise BadInput("--picture", f"{path}", f"a file that ends in {PICTURE}", "name the file so")


def write_bytes(path: Path, data: bytes, option: str) -> None:
    """A file that was asked for by this option."""
    _write(path, data, option)


def hold_sheet(path: Path | None, paper: str) -> None:
    """Refuse a paper or a kind of file that is not there, and a folder that is not, before any photo is worked on."""
    if paper not in PAPERS:
        raise BadInput("--paper", repr(paper), f"one of {', '.join(PAPERS)}", "name one of them")
    if path is None:
        return
    if path.suffix.lower() not in SHEETS:
        raise BadInput("--order-sheet", f"{path}", f"a file that ends in {' or '.join(SHEETS)}", "name the file so")
    if not path.parent.is_dir() or path.is_dir():
        raise BadInput("--order-sheet", f"{path} cannot be written", "a file in a folder that exists", "name another file")


def write_sheet(report: Report, path: Path, paper: str) -> None:
    """The order sheet, as its file's ending says."""
    if path.suffix.lower() == ".html":
        _write(path, sheet_html(report, paper).encode(), "--order-sheet")
    else:
        _write(path, sheet_pdf(report, paper), "--order-sheet")


def write_json(path: Path, data: dict[str, Any]) -> None:
    """The report as a JSON file."""
    _write(path, json_text(data).encode(), "--json")


def json_text(data: dict[str, Any]) -> str:
    """The report as JSON text that any reader takes: no NaN, one line end at its end."""
    return json.dumps(data, indent=1, allow_nan=False, ensure_ascii=False) + "\n"


def write_pictures(report: Report, folder: Path) -> tuple[list[Path], list[str]]:
    """NAME-seen.jpg and NAME-opening.png of each usable photo, NAME-walls.png of the first, NAME-candidates.png without corners.

    Returns the files written, and the names of those for which there is nothing to show.
    """
    written: list[Path] = []
    missing: list[str] = []
    stems: set[str] = set()
    for index, photo in enumerate(report.photos):
        stem = Path(photo.name).stem
        stem = f"{stem}-{report.number_of(index)}" if stem in stems else stem
        stems.add(stem)
        found = candidates_png(report, index)
        if found is not None:
            written.append(folder / f"{stem}-candidates.png")
            _write(written[-1], found, "--pictures")
        for draw, ending in ((overlay_jpeg, "seen.jpg"), (rectified_png, "opening.png"), (_walls, "walls.png")):
            if draw is _walls and index > 0:
                continue
            path = folder / f"{stem}-{ending}"
            data = draw(report, index)
            if data is None:
                missing.append(path.name)
                continue
            _write(path, data, "--pictures")
            written.append(path)
    return written, missing


def _walls(report: Report, index: int) -> bytes | None:
    return walls_png(report)


def _read(path: Path, what: str, limit: int) -> bytes:
    try:
        if path.is_dir():
            raise BadInput(f"{what} {path}", "a folder", "a file", "name the file in it")
        with path.open("rb") as file:
            return file.read(limit)
    except FileNotFoundError:
        raise BadInput(f"{what} {path}", "no such file", "a file that exists", "check the name and the folder") from None
    except OSError as error:
        raise BadInput(
            f"{what} {path}", f"it cannot be read ({error.strerror})", "a file that can be read", "check its permissions"
        ) from None


def _read_text(path: Path, what: str) -> str:
    """A short text file in UTF-8."""
    data = _read(path, what, MAX_READINGS_BYTES + 1)
    if len(data) > MAX_READINGS_BYTES:
        found = f"more than {MAX_READINGS_BYTES} bytes"
        raise BadInput(f"{what} {path}", found, "a short text file", f"give the {what}, not the photo")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        found = f"byte {error.start + 1} is not UTF-8 text"
        raise BadInput(f"{what} {path}", found, "a text file in UTF-8", "save it as UTF-8") from None


def _write(path: Path, data: bytes, option: str) -> None:
    try:
        path.write_bytes(data)
    except OSError as error:
        raise BadInput(
            option, f"{path} cannot be written ({error.strerror})", "a place to write to", "name another file or folder"
        ) from None
