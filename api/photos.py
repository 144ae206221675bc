"""The photos of a folder, and what is already known of them."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from vision.check import BadInput, Settings

TAKEN = frozenset({".jpg", ".jpeg", ".jpe", ".jfif", ".mpo", ".png", ".webp", ".heic", ".heif"})
"""endings of the formats that are taken"""
ENDINGS = TAKEN | {".tif", ".tiff", ".bmp", ".gif", ".avif", ".jp2", ".jxl"}
"""what is looked at in a folder, so that a photo in a format that is not taken is a row that says so; a file that is named by
itself is looked at whatever its name"""
STATE = "screenings.jsonl"


@dataclass(frozen=True)
class Found:
    """One file and the job folder that it lies in, as written by the user or below what was written."""

    path: Path
    job: str


def photos_below(paths: Sequence[Path]) -> list[Found]:
    """Every photo once, by job and name. Raises BadInput for a path that is not there and where there is no photo at all."""
    found: dict[Path, Found] = {}
    for path in paths:
        if not path.exists():
            raise BadInput("PATH", f"no file or folder {path}", "a photo, or a folder of photos", "look at the path again")
        for file in [path] if not path.is_dir() else sorted(_files(path)):
            found.setdefault(file.resolve(), Found(file, str(file.parent)))
    if not found:
        asked = ", ".join(map(str, paths))
        raise BadInput(
            "PATH", f"no photo in {asked}", f"files ending in {', '.join(sorted(TAKEN))}", "name the folder they are in"
        )
    return sorted(found.values(), key=lambda f: (f.job, f.path.name))


def _files(folder: Path) -> Iterator[Path]:
    for here, folders, names in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        yield from (Path(here, n) for n in names if not n.startswith(".") and Path(n).suffix.lower() in ENDINGS)


class Known:
    """Answers that were given before, in a file of one JSON line each, so that an interrupted run goes on where it was.

    A line holds for the bytes of a photo, what was said about its cards, and the limits of this version.
    """

    def __init__(self, path: Path | None, about: Iterable[object]) -> None:
        self._path = path
        self._about = hashlib.sha256(repr((*about, Settings())).encode()).hexdigest()[:16]
        self._answers: dict[str, dict[str, Any]] = {}
        if path is not None and path.exists():
            for line in path.read_text(encoding="utf-8", errors="replace").splitlines():
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
                file.write(json.dumps({"about": self._about, "answer": answer}) + "\n")


def usual_state() -> Path:
    """Where answers are kept unless said otherwise: the user's cache folder."""
    base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(base) / "tapewitness" / STATE
