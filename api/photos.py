"""The photos of a folder, and what is already known of them."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from vision.check import BadInput, Settings

TAKEN = frozenset({".jpg", ".jpeg", ".jpe", ".jfif", ".mpo", ".png", ".webp", ".heic", ".heif"})
"""endings of the formats that are taken"""
ENDINGS = TAKEN | {".tif", ".tiff", ".bmp", ".gif", ".avif", ".jp2", ".jxl"}
"""what is looked at in a folder whatever it begins with, so that a broken photo, or one in a format that is not taken, is a row
that says so; a file that is named by itself is looked at whatever its name"""
_BEGINNINGS = (
    b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"GIF8", b"II*\x00", b"MM\x00*", b"\x00\x00\x00\x0cjP  ", b"\x00\x00\x00\x0cJXL ",
    b"\xff\x0a",
)  # fmt: skip
_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1", b"avif", b"avis", b"crx ")
"""first bytes of pictures and cameras' raw files, and brands of such in the ISO base media family (from memory; a test writes
those that Pillow can write)"""
STATE = "screenings.jsonl"


@dataclass(frozen=True)
class Found:
    """One file and the job folder that it lies in, as written by the user or below what was written."""

    path: Path
    job: str


@dataclass(frozen=True)
class Below:
    """The photos below some paths, by job and name, and how much was passed over: files that begin like no picture, and
    hidden files and folders, which nobody looks into."""

    found: tuple[Found, ...]
    other: int = 0
    hidden: int = 0

    def passed_over(self) -> str:
        """In words; empty where nothing was."""
        other = f"{_count(self.other, 'file')} that begin{'s' if self.other == 1 else ''} like no picture"
        hidden = f"{_count(self.hidden, 'hidden file')} or folder{'' if self.hidden == 1 else 's'}"
        return ", ".join(words for words, count in ((other, self.other), (hidden, self.hidden)) if count)


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def photos_below(paths: Sequence[Path]) -> Below:
    """Every photo once, by job and name. Raises BadInput for a path that is not there and where there is no photo at all."""
    found: dict[Path, Found] = {}
    other: set[Path] = set()
    hidden: set[Path] = set()
    for path in paths:
        if not path.exists():
            raise BadInput("PATH", f"no file or folder {path}", "a photo, or a folder of photos", "look at the path again")
        for file in [path] if not path.is_dir() else sorted(_files(path, hidden)):
            if file == path or looks_like_a_photo(file):
                found.setdefault(file.resolve(), Found(file, str(file.parent)))
            else:
                other.add(file.resolve())
    below = Below(tuple(sorted(found.values(), key=lambda f: (f.job, f.path.name))), len(other - set(found)), len(hidden))
    if not found:
        asked = ", ".join(map(str, paths)) + (f" ({below.passed_over()})" if below.passed_over() else "")
        raise BadInput(
            "PATH", f"no photo in {asked}", f"files ending in {', '.join(sorted(TAKEN))}", "name the folder they are in"
        )
    return below


def _files(folder: Path, hidden: set[Path]) -> Iterator[Path]:
    """All files below that are not hidden; what is goes into `hidden`."""
    for here, folders, names in os.walk(folder):
        hidden |= {Path(here, name) for name in (*folders, *names) if name.startswith(".")}
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        yield from (Path(here, name) for name in names if not name.startswith("."))


def looks_like_a_photo(path: Path) -> bool:
    """Whether a file is named like a photo or begins like one; one that cannot be read may be one, and is a row. Pipes, sockets
    and devices hold no photo, and reading them may never end."""
    named = path.suffix.lower() in ENDINGS
    try:
        if named or not path.is_file():
            return named and (path.is_file() or not path.exists())
        with path.open("rb") as file:
            data = file.read(16)
    except OSError:
        return True
    brand = data[4:8] == b"ftyp" and data[8:12] in _BRANDS
    bitmap = data[:2] == b"BM" and data[6:10] == bytes(4)
    return brand or bitmap or data.startswith(_BEGINNINGS) or (data[:4] == b"RIFF" and data[8:12] == b"WEBP")


class Known:
    """Answers that were given before, in a file of one JSON line each, so that an interrupted run goes on where it was.

    A line holds for the bytes of a photo, what was said about its cards, and this version of the program with its limits.
    """

    def __init__(self, path: Path | None, about: Iterable[object]) -> None:
        self._path = path
        self._about = hashlib.sha256(repr((*about, Settings(), version())).encode()).hexdigest()[:16]
        self._answers: dict[str, dict[str, Any]] = {}
        self._torn = ""
        if path is not None and path.exists():
            kept = path.read_text(encoding="utf-8", errors="replace")
            self._torn = "" if kept.endswith("\n") or not kept else "\n"
            for line in kept.splitlines():
                self._remember(line)

    def _remember(self, line: str) -> None:
        try:
            entry = json.loads(line)
            if entry["about"] == self._about:
                self._answers[entry["answer"]["sha256"]] = entry["answer"]
        except (ValueError, KeyError, TypeError):
            return  # a line that a broken run left half written is looked at again

    def answer(self, sha256: str) -> dict[str, Any] | None:
        """What was said of a photo with these bytes."""
        return self._answers.get(sha256)

    def keep(self, answer: dict[str, Any]) -> None:
        """Write it down before the next one; a broken run loses at most what was under way."""
        self._answers[answer["sha256"]] = answer
        if self._path is not None:
            with self._path.open("a", encoding="utf-8") as file:
                file.write(self._torn + json.dumps({"about": self._about, "answer": answer}) + "\n")
            self._torn = ""  # a line that a broken run left half written has an end now


@cache
def version() -> str:
    """What the library is, to a letter: another version may say something else of the same photo."""
    whole = hashlib.sha256()
    for path in sorted(Path(str(files("vision"))).rglob("*")):
        if path.suffix in (".py", ".toml"):
            whole.update(path.read_bytes())
    return whole.hexdigest()[:16]


def usual_state() -> Path:
    """Where answers are kept unless said otherwise: the user's cache folder."""
    base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(base) / "tapewitness" / STATE
