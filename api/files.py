"""The command line's files: photos and readings in, JSON and pictures out. Nothing else here touches the disk."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from vision.check import Report, TapeFacts, facts_from_csv, facts_from_toml, overlay_jpeg, rectified_png
from vision.errors import BadInput

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
    data = _read(path, "readings file", MAX_READINGS_BYTES + 1)
    if len(data) > MAX_READINGS_BYTES:
        raise BadInput(
            f"readings file {path}",
            f"more than {MAX_READINGS_BYTES} bytes",
            "a short text file",
            "give the readings, not the photo",
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInput(
            f"readings file {path}", f"byte {error.start + 1} is not UTF-8 text", "a text file in UTF-8", "save it as UTF-8"
        ) from None
    read = facts_from_csv if path.suffix.lower() == ".csv" else facts_from_toml
    return read(text, where=str(path))


def hold_writable(json_path: Path | None, pictures: Path | None) -> None:
    """Refuse a place that cannot be written to before any photo is worked on; makes the folder for pictures."""
    if json_path is not None:
        if json_path.is_dir():
            raise BadInput("--json", f"{json_path} is a folder", "a file to write, or -", "name a file in it")
        if not json_path.parent.is_dir():
            raise BadInput("--json", f"no folder {json_path.parent}", "a folder that exists", "make it first")
    if pictures is not None:
        try:
            pictures.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise BadInput(
                "--pictures", f"{pictures} cannot be made ({error.strerror})", "a folder to write to", "name another folder"
            ) from None


def write_json(path: Path, data: dict[str, Any]) -> None:
    """The report as a JSON file."""
    _write(path, json_text(data).encode(), "--json")


def json_text(data: dict[str, Any]) -> str:
    """The report as JSON text that any reader takes: no NaN, one line end at its end."""
    return json.dumps(data, indent=1, allow_nan=False, ensure_ascii=False) + "\n"


def write_pictures(report: Report, folder: Path) -> tuple[list[Path], list[str]]:
    """NAME-seen.jpg and NAME-opening.png of each usable photo.

    Returns the files written, and the names of those for which there is nothing to show.
    """
    written: list[Path] = []
    missing: list[str] = []
    for index, photo in enumerate(report.photos):
        stem = Path(photo.name).stem
        for draw, ending in ((overlay_jpeg, "seen.jpg"), (rectified_png, "opening.png")):
            path = folder / f"{stem}-{ending}"
            data = draw(report, index)
            if data is None:
                missing.append(path.name)
                continue
            _write(path, data, "--pictures")
            written.append(path)
    return written, missing


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


def _write(path: Path, data: bytes, option: str) -> None:
    try:
        path.write_bytes(data)
    except OSError as error:
        raise BadInput(
            option, f"{path} cannot be written ({error.strerror})", "a place to write to", "name another file or folder"
        ) from None
