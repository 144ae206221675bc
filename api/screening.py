"""What `tapewitness screen` does: every photo below the paths, one row each, and what to write back."""

from __future__ import annotations

import csv
import hashlib
import io
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from api import files
from api.console import console_on, patient_output, plain
from api.engine import executor_of, outcomes
from api.photos import Found, Known, photos_below, usual_state
from api.terminal_screening import lines
from vision.check import GOOD, BadInput, OwnTracer, ScreenRequest, Settings, no_answer, screen, screening_json, screening_svg

ALL_GOOD, SOME_NEED_A_PERSON = 0, 1
TIMEOUT_S = 120.0
"""seconds; a screening takes one to three, so a longer one is stuck and its process is ended"""
AHEAD = 2
"""photos under way or read ahead for each process, so that memory stays bounded"""
COLUMNS = (
    "job", "file", "verdict", "reasons", "width_mm", "u_width_mm", "height_mm", "u_height_mm", "size",
    "better_u_width_mm", "outline", "references",
    "sha256", "same_as",
)  # fmt: skip
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
"""beginnings of cells that spreadsheets calculate (from memory)"""
Row = dict[str, Any]


@dataclass(frozen=True)
class ScreenOutputs:
    """Where to write: `json` a file or "-", `csv` a file, `messages` a folder; `state` a file, "none", or None for the usual."""

    json: str | None = None
    csv: Path | None = None
    messages: Path | None = None
    state: str | None = None


@dataclass(frozen=True)
class Engine:
    """Who works: so many processes of this machine, or the cluster of a scheduler."""

    workers: int | None = None
    scheduler: str | None = None


def run(paths: Sequence[Path], cards: Sequence[str], outputs: ScreenOutputs, engine: Engine, *, head: bool = True) -> int:
    """Screen all photos; 0 where all are good to measure, 1 where some need a person."""
    to_stdout = outputs.json == "-"
    json_path = Path(outputs.json) if outputs.json is not None and not to_stdout else None
    files.hold_writable(json_path, outputs.messages, "--messages")
    files.hold_file(outputs.csv, "--csv")
    screen(ScreenRequest("", b"", None, tuple(cards), head))  # a card that cannot be read is said before any photo is opened
    below = photos_below(paths)
    _hold_apart(json_path, outputs, below.found)
    known = Known(_state(outputs.state), (tuple(cards), head))
    rows = screened(below.found, known, ScreenRequest("", b"", None, tuple(cards), head), engine)
    head_of = {"format": 1, "passed_over": {"other": below.other, "hidden": below.hidden}}
    if json_path is not None:
        files.write_json(json_path, {**head_of, "photos": rows})
    if outputs.csv is not None:
        files.write_bytes(outputs.csv, csv_text(rows).encode(), "--csv")
    if outputs.messages is not None:
        _write_messages(rows, outputs.messages)
    with patient_output():
        if to_stdout:
            sys.stdout.write(files.json_text({**head_of, "photos": rows}))
            if below.passed_over():
                console_on(sys.stderr).print(plain(f"Passed over: {below.passed_over()}."))
        else:
            console = console_on(sys.stdout)
            for line in lines(rows, below.passed_over()):
                console.print(line)
    return ALL_GOOD if all(row["verdict"] == GOOD for row in rows) else SOME_NEED_A_PERSON


def _hold_apart(json_path: Path | None, outputs: ScreenOutputs, photos: Sequence[Found]) -> None:
    """Refuse to write over a photo, or one file over another."""
    taken = {one.path.resolve(): f"the photo {one.path}" for one in photos}
    state = None if outputs.state in (None, "none") else Path(str(outputs.state))
    for option, path in (("--json", json_path), ("--csv", outputs.csv), ("--state", state)):
        if path is not None:
            if path.resolve() in taken:
                raise BadInput(option, f"{path}, {taken[path.resolve()]}", "a file of its own", "name another file")
            taken[path.resolve()] = f"the file of {option}"


def look_at(request: ScreenRequest) -> Row:
    """One photo, in a worker: plain data goes back."""
    settings = Settings()
    return screening_json(screen(request, settings, OwnTracer(settings, request.head)), settings)


def screened(found: Sequence[Found], known: Known, like: ScreenRequest, engine: Engine) -> list[Row]:
    """One row for each file, in their order; the same bytes are looked at once."""
    workers = engine.workers or max(1, min(8, os.cpu_count() or 1))
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TextColumn("{task.fields[rate]}"))
    with Progress(*columns, TimeRemainingColumn(), console=console_on(sys.stderr), disable=not sys.stderr.isatty()) as bar:
        task = bar.add_task("photos", total=len(found), rate="")

        def step() -> None:
            speed = bar.tasks[0].speed
            bar.update(task, advance=1, rate=f"{speed:.1f} a second" if speed else "")

        of = Screenings(found, known, like, step)
        with executor_of(engine.scheduler, workers, TIMEOUT_S) as executor:
            try:
                for request, outcome in outcomes(look_at, of.jobs(), executor, AHEAD * workers):
                    of.take(request, outcome)
            except KeyboardInterrupt:  # what is under way is looked at again by the next run
                executor.shutdown(wait=False, cancel_futures=True)
                raise
    return of.rows()


class Screenings:
    """Files on their way to rows: read one after the other, each content handed out once, `step` called for each that is done."""

    def __init__(self, found: Sequence[Found], known: Known, like: ScreenRequest, step: Callable[[], None]) -> None:
        self._found, self._known, self._like, self._step = found, known, like, step
        self._digests: list[str] = []
        self._first: dict[str, Found] = {}
        self._answers: dict[str, Row] = {}

    def jobs(self) -> Iterator[ScreenRequest]:
        """What nobody has looked at yet."""
        for one in self._found:
            data = _read(one.path)
            digest = hashlib.sha256(str(one.path).encode() if data is None else data).hexdigest()
            self._digests.append(digest)
            new = self._first.setdefault(digest, one) is one
            before = self._known.answer(digest)
            if new and data is None:
                said = no_answer(one.path.name, digest, "unreadable", "the file cannot be read")
                self._answers[digest] = screening_json(said)
            elif new and before is not None:
                self._answers[digest] = before
            elif new and data is not None:
                yield ScreenRequest(one.path.name, data, None, self._like.cards, self._like.head)
                continue
            self._step()

    def take(self, request: ScreenRequest, outcome: Any) -> None:
        """The answer to one of them, or what ended it; only answers are kept for another run."""
        answer = _answer(request, outcome)
        if not isinstance(outcome, BaseException):
            self._known.keep(answer)
        self._answers[answer["sha256"]] = answer
        self._step()

    def rows(self) -> list[Row]:
        """All rows, in the order of the files."""
        return [_row(one, self._answers[d], self._first[d]) for one, d in zip(self._found, self._digests, strict=True)]


def _answer(request: ScreenRequest, outcome: Any) -> Row:
    if isinstance(outcome, BadInput):
        raise outcome
    if not isinstance(outcome, BaseException):
        answer: Row = outcome
        return answer
    digest = hashlib.sha256(request.data).hexdigest()
    said = f"the process that looked at it ended ({type(outcome).__name__})"
    return screening_json(no_answer(request.name, digest, "broke-off", said))


def _row(one: Found, answer: Row, first: Found) -> Row:
    was, name = f"{answer['name']}: ", one.path.name  # the same bytes may have had another name, in this run or an earlier one
    reasons = [
        {**r, "text": f"{name}: {r['text'].removeprefix(was)}"} if r["text"].startswith(was) else r for r in answer["reasons"]
    ]
    row = {"job": one.job, "file": name, **answer, "name": name, "reasons": reasons}
    return row if first is one else {**row, "same_as": str(first.path)}


def _read(path: Path) -> bytes | None:
    try:
        with path.open("rb") as file:
            return file.read(Settings().intake.max_bytes + 1)
    except OSError:
        return None


def _state(asked: str | None) -> Path | None:
    if asked == "none":
        return None
    path = Path(asked) if asked is not None else usual_state()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.open("a").close()
    except OSError as error:
        raise BadInput("--state", f"{path}: {error.strerror}", "a file that can be written", 'name another, or "none"') from None
    return path


def csv_text(rows: Sequence[Row]) -> str:
    """One line a photo, with a head."""
    out = io.StringIO()
    table = csv.DictWriter(out, COLUMNS, extrasaction="ignore", lineterminator="\n")
    table.writeheader()
    for row in rows:
        band = row.get("band", {})
        flat = {"reasons": " ".join(r["code"] for r in row["reasons"]), "references": " ".join(row["references"])}
        cells = {**row, **band, **flat, "size": band.get("how", "")}
        table.writerow({name: _no_formula(cells[name]) for name in COLUMNS if name in cells})
    return out.getvalue()


def _no_formula(cell: object) -> object:
    """A text that a spreadsheet would take for a formula gets an apostrophe before it (the usual advice, from memory)."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(FORMULA) else cell


def _write_messages(rows: Sequence[Row], folder: Path) -> None:
    """NAME.txt and NAME.svg for each photo, numbered as in the table, since jobs may hold photos of one name."""
    for number, row in enumerate(rows, 1):
        stem = f"{number:03d}-{Path(row['file']).stem}"
        files.write_bytes(folder / f"{stem}.txt", row["message"].encode(), "--messages")
        files.write_bytes(folder / f"{stem}.svg", screening_svg(row).encode(), "--messages")
