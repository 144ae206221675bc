"""Pieces of work for the engine's tests; importable by name in another process."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path


def doubled(number: int) -> int:
    """Twice the number; a negative one ends its process."""
    if number < 0:
        os.kill(os.getpid(), signal.SIGKILL)
    return 2 * number


def noted(job: tuple[str, int]) -> int:
    """Leaves a line for each number, and takes a while, so that a worker can be ended meanwhile."""
    folder, number = job
    time.sleep(0.2)
    with (Path(folder) / "done.txt").open("a") as file:
        file.write(f"{number}\n")
    return number
