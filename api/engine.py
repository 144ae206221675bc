"""Work handed to processes of this machine or to a cluster: both are an Executor of the standard library."""

from __future__ import annotations

import multiprocessing
import re
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from typing import Any

from pebble import ProcessPool

from api.workers import one_thread
from vision.check import BadInput

CONNECT_S = 10.0
"""seconds until a scheduler that does not answer is not there"""
NEEDED = "a Dask scheduler as tcp://HOST:PORT"
LAST_PORT = 65535
_ADDRESS = re.compile(r"(?:(?:tcp|tls)://)?(?:\[[0-9A-Fa-f:.%]+\]|[^\s:/\[\]]+):(?P<port>[0-9]{1,5})")
"""what the client takes; given anything else it fails when it is half made, and once more, aloud, when it is thrown away"""


class PoolExecutor(Executor):
    """Processes here. One that dies or is stuck takes only its own work with it: that future raises, the rest goes on."""

    def __init__(self, workers: int, timeout_s: float) -> None:
        self._timeout_s = timeout_s
        self._pool = ProcessPool(max_workers=workers, initializer=one_thread, context=multiprocessing.get_context("forkserver"))

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """The future of `fn(*args, **kwargs)`, which must be importable by name."""
        future: Future[Any] = self._pool.schedule(fn, args=args, kwargs=kwargs, timeout=self._timeout_s)
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """End when all is done, or at once with `cancel_futures`."""
        if cancel_futures:
            self._pool.stop()  # type: ignore[no-untyped-call]
        else:
            self._pool.close()  # type: ignore[no-untyped-call]
        if wait:
            self._pool.join()


def executor_of(scheduler: str | None, workers: int, timeout_s: float) -> Executor:
    """Processes of this machine, or the cluster at tcp://HOST:PORT. Raises BadInput where there is none."""
    if scheduler is None:
        return PoolExecutor(workers, timeout_s)
    try:
        from distributed import Client
    except ImportError:
        raise BadInput(
            "--scheduler", "no Dask on this machine", "the package `distributed`", 'pip install "tapewitness[cluster]"'
        ) from None
    address = _ADDRESS.fullmatch(scheduler)
    if address is None or not 0 < int(address["port"]) <= LAST_PORT:
        raise BadInput("--scheduler", repr(scheduler), NEEDED, "write its protocol, host and port, like tcp://127.0.0.1:8786")
    try:
        client = Client(scheduler, timeout=CONNECT_S, set_as_default=False)  # type: ignore[no-untyped-call]
    except (OSError, ValueError) as error:
        raise BadInput(
            "--scheduler", f"no answer from {scheduler} ({type(error).__name__})", NEEDED,
            "start it, or leave the option out to use this machine",
        ) from None  # fmt: skip
    executor: Executor = client.get_executor(pure=False)  # type: ignore[no-untyped-call]
    return executor


def outcomes(work: Callable[[Any], Any], jobs: Iterable[Any], executor: Executor, waiting: int) -> Iterator[tuple[Any, Any]]:
    """Every job with its result, or with the exception that ended it, as they come; at most `waiting` are under way at once."""
    pending: dict[Future[Any], Any] = {}
    for job in jobs:
        pending[executor.submit(work, job)] = job
        if len(pending) >= waiting:
            yield from _done(pending, wait(pending, return_when=FIRST_COMPLETED).done)
    while pending:
        yield from _done(pending, wait(pending, return_when=FIRST_COMPLETED).done)


def _done(pending: dict[Future[Any], Any], done: Iterable[Future[Any]]) -> Iterator[tuple[Any, Any]]:
    for future in done:
        job, error = pending.pop(future), future.exception()
        yield job, error if error is not None else future.result()
