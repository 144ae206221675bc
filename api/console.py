"""Where both commands print: 80 columns in a file or pipe, no markup, and a pipe that closes early is the caller's affair."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TextIO

from rich.console import Console


class PlainConsole(Console):
    """A console that says of a closed pipe what Python says; rich itself would end the program with exit code 1, our hold."""

    def on_broken_pipe(self) -> None:
        """Hand the error on."""
        raise


def plain(text: object) -> str:
    """Text without control characters, so that what a file or a user says cannot drive the terminal."""
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in str(text))


def console_on(stream: TextIO, width: int | None = None) -> PlainConsole:
    """A console on this stream; where it is no terminal and nothing is said, 80 columns wide."""
    columns = width or (None if stream.isatty() else 80)
    return PlainConsole(file=stream, width=columns, highlight=False, markup=False, emoji=False)


@contextmanager
def patient_output() -> Iterator[None]:
    """A reader that closes standard output early does not change the exit code."""
    try:
        yield
        sys.stdout.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
