"""What a closed pipe does to the exit code."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from api.console import console_on

ROOT = Path(__file__).resolve().parent.parent.parent
PLAN = ("plan", "--width", "1400 mm", "--height", "2000 mm", "--reference", "a4 left-top", "--reference", "a4 right-bottom")


@pytest.mark.parametrize("more", [(), ("--json", "-")])
def test_a_reader_that_goes_away_is_no_hold(more: tuple[str, ...]) -> None:
    """With standard output closed at the other end a plan still ends with 0, not with 1, which means hold."""
    reading, writing = os.pipe()
    os.close(reading)
    command = [sys.executable, "-c", "from api.cli import main; main()", *PLAN, *more]
    with os.fdopen(writing, "wb") as closed:
        done = subprocess.run(command, stdout=closed, stderr=subprocess.PIPE, cwd=ROOT, timeout=120, check=False)
    assert (done.returncode, done.stderr) == (0, b"")


def test_the_console_hands_a_closed_pipe_on() -> None:
    """It raises what Python raises, so that the command decides about the exit code."""
    reading, writing = os.pipe()
    os.close(reading)
    with pytest.raises(BrokenPipeError), os.fdopen(writing, "w", buffering=1) as closed:
        console_on(closed).print("anything")
