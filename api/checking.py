"""What `tapewitness check` does: read the files, ask the one door, write what was asked for, say how it went."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from api import files, terminal
from api.console import patient_output, plain
from api.photo_facts import without_photo
from api.request import Options, from_options
from vision import check as door
from vision.check import to_json
from vision.settings import Settings


@dataclass(frozen=True)
class Outputs:
    """Where to write: `json` a file or "-", `pictures` a folder, `order_sheet` a PDF or HTML file for this paper."""

    json: str | None = None
    pictures: Path | None = None
    order_sheet: Path | None = None
    paper: str = "letter"


def run(paths: Sequence[Path], readings: Path | None, options: Options, outputs: Outputs) -> int:
    """Run one check and return the exit code: 0 ready, 1 hold, 3 cannot be measured."""
    settings = Settings()
    to_stdout = outputs.json == "-"
    json_path = Path(outputs.json) if outputs.json is not None and not to_stdout else None
    tape = files.read_readings(readings)
    photos = files.read_photos(paths, settings.intake.max_bytes)
    request = from_options(photos, tape, options)
    if outputs.pictures is not None and not photos:
        raise without_photo("--pictures")
    files.hold_writable(json_path, outputs.pictures)
    files.hold_sheet(outputs.order_sheet, outputs.paper)
    report = door.check(request, settings)
    data = to_json(report)
    if json_path is not None:
        files.write_json(json_path, data)
    notes: list[str] = []
    if outputs.pictures is not None:
        written, missing = files.write_pictures(report, outputs.pictures)
        notes = [f"Picture: {path}" for path in written] + [f"No picture {name}: nothing to show" for name in missing]
    if outputs.order_sheet is not None:
        files.write_sheet(report, outputs.order_sheet, outputs.paper)
        notes.append(f"Order sheet: {outputs.order_sheet}")
    _say(data, notes, to_stdout=to_stdout)
    return exit_code(data)


def exit_code(data: dict[str, Any]) -> int:
    """0 ready, 1 hold, 3 whenever the photo could not be measured."""
    if "cannot_measure" in data:
        return 3
    return 0 if data["order"]["status"] == "ready" else 1


def _say(data: dict[str, Any], notes: Sequence[str], *, to_stdout: bool) -> None:
    """The table, or with `--json -` the JSON alone; a reader that closed the pipe early does not change the exit code."""
    with patient_output():
        if to_stdout:
            sys.stdout.write(files.json_text(data))
            return
        terminal.show(data, sys.stdout)
        for note in notes:
            sys.stdout.write(f"{plain(note)}\n")
