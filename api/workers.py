"""The image work in processes of its own, so that the event loop always answers.

A process that dies or is stuck takes only its own check with it: the pool ends it and starts another.
"""

from __future__ import annotations

import asyncio
import hashlib
import multiprocessing
from collections.abc import Callable
from concurrent.futures import Future
from typing import Any, Protocol

import cv2
from pebble import ProcessExpired, ProcessPool

from api.problems import ProblemError
from api.settings import ApiSettings
from vision.check import CheckRequest, OwnTracer, Report, ScreenRequest, check, no_answer, screen, screening_json, to_json
from vision.errors import BadInput
from vision.settings import Settings

Check = Callable[[CheckRequest, Settings], Report]


class Workers(Protocol):
    """Who does the checks."""

    @property
    def busy(self) -> int:
        """Checks under way or waiting."""

    async def run(self, request: CheckRequest) -> dict[str, Any]:
        """The report of one check as plain data; raises BadInput, or ProblemError where it could not be done now."""

    async def screen(self, request: ScreenRequest) -> dict[str, Any]:
        """The screening of one photo as plain data, also where its process broke off; raises BadInput or ProblemError."""

    def close(self) -> None:
        """End what is still running."""


class ProcessWorkers:
    """Checks in a pool of processes; `check_function` is replaced in tests and must be importable by name."""

    def __init__(self, settings: ApiSettings, vision: Settings, check_function: Check = check) -> None:
        self._settings = settings
        self._vision = vision
        self._check = check_function
        self._pool: ProcessPool | None = None
        self._busy = 0

    @property
    def busy(self) -> int:
        """Checks under way or waiting."""
        return self._busy

    async def run(self, request: CheckRequest) -> dict[str, Any]:
        """The report of one check as plain data."""
        return _opened(await self._outcome(work, self._check, request, self._vision))

    async def screen(self, request: ScreenRequest) -> dict[str, Any]:
        """The screening of one photo as plain data; a photo that breaks its process, or keeps it too long, is asked for again."""
        try:
            return _opened(await self._outcome(work_screening, request, self._vision))
        except ProblemError as problem:
            if problem.broke_off:
                digest = hashlib.sha256(request.data).hexdigest()
                return screening_json(no_answer(request.name, digest, "broke-off", problem.problem.found), self._vision)
            raise

    async def _outcome(self, function: Callable[..., tuple[str, Any]], *args: object) -> tuple[str, Any]:
        if self._busy >= self._settings.max_waiting:
            raise ProblemError(
                503, "Busy", found=f"{self._busy} checks waiting", needed="a free place", remedy="try again in a minute"
            )
        self._busy += 1
        try:
            return await asyncio.wrap_future(self._submit(function, *args))
        except TimeoutError:
            limit = f"{self._settings.check_timeout_s:.0f} s"
            raise ProblemError(
                503, "Check took too long", found=f"no result after {limit}", needed=f"a result within {limit}",
                remedy="send fewer or smaller photos", broke_off=True,
            ) from None  # fmt: skip
        except ProcessExpired:
            raise ProblemError(
                500, "Check broke off", found="the process that did this check ended", needed="a result",
                remedy="send the request again; if it happens twice, report it with the photo's size and format",
                broke_off=True,
            ) from None  # fmt: skip
        finally:
            self._busy -= 1

    def close(self) -> None:
        """End the pool and what is still running in it."""
        if self._pool is not None:
            self._pool.stop()  # type: ignore[no-untyped-call]
            self._pool.join(timeout=5)
            self._pool = None

    def _submit(self, function: Callable[..., tuple[str, Any]], *args: object) -> Future[tuple[str, Any]]:
        if self._pool is None or not self._pool.active:
            self._pool = ProcessPool(
                max_workers=self._settings.workers,
                initializer=one_thread,
                context=multiprocessing.get_context("forkserver"),
            )
        future: Future[tuple[str, Any]] = self._pool.schedule(function, args=args, timeout=self._settings.check_timeout_s)
        return future


def work(check_function: Check, request: CheckRequest, vision: Settings) -> tuple[str, Any]:
    """One check in a worker process; what goes back is plain data, not the photo's pixels."""
    try:
        return "report", to_json(check_function(request, vision))
    except BadInput as error:
        return "bad input", (error.where, error.found, error.needed, error.remedy, error.position)


def work_screening(request: ScreenRequest, vision: Settings) -> tuple[str, Any]:
    """One screening in a worker process."""
    try:
        return "screening", screening_json(screen(request, vision, OwnTracer(vision, request.head)), vision)
    except BadInput as error:
        return "bad input", (error.where, error.found, error.needed, error.remedy, error.position)


def _opened(outcome: tuple[str, Any]) -> dict[str, Any]:
    kind, content = outcome
    if kind == "bad input":
        where, found, needed, remedy, position = content
        raise BadInput(where, found, needed, remedy, position=position)
    data: dict[str, Any] = content
    return data


def one_thread() -> None:
    """Each process computes on one core; the pool already has one process per core."""
    cv2.setNumThreads(1)
