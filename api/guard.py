"""What stands round every command: exit codes, errors as one line, no option given twice."""

from __future__ import annotations

import os
import sys
from collections import Counter
from collections.abc import Callable
from importlib.metadata import PackageNotFoundError, version
from typing import Any

import typer
from typer.core import TyperCommand

READY, HOLD, WRONG_USE, CANNOT_MEASURE, INTERNAL, INTERRUPTED = 0, 1, 2, 3, 70, 130
STOPPED = "interrupted; nothing was decided"
GOES_ON = "interrupted; run the same command again to go on"
"""what a command says that keeps what it has done"""


class OnceCommand(TyperCommand):
    """A command that refuses an option given twice where only one value counts, instead of taking the last."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """As always, after that."""
        words = args[: args.index("--")] if "--" in args else args
        given = Counter(word.partition("=")[0] for word in words)
        for parameter in self.params:
            if parameter.param_type_name == "option" and not parameter.multiple:
                times = sum(given[name] for name in parameter.opts)
                if times > 1:
                    said = f"given {times} times; needed once at most; leave the others out"
                    raise typer.BadParameter(said, ctx=ctx, param_hint=parameter.opts[0])
        return super().parse_args(ctx, args)


def guarded(work: Callable[[], int], stopped: str = STOPPED) -> int:
    """The exit code of `work`; every error becomes one line on standard error, never a traceback, never exit 1.

    `stopped` is what is said where somebody interrupts it.
    """
    try:
        return work()
    except KeyboardInterrupt:
        after_the_sign = "\n" if sys.stderr.isatty() else ""
        print(f"{after_the_sign}tapewitness: {stopped}", file=sys.stderr)  # noqa: T201 - this is the command's own output
        return INTERRUPTED
    except Exception as error:
        from api.console import plain
        from vision.errors import BadInput, TapewitnessError

        if isinstance(error, BadInput):
            print(f"tapewitness: {plain(error)}", file=sys.stderr)  # noqa: T201
            return WRONG_USE
        if isinstance(error, TapewitnessError):
            print(f"tapewitness: {plain(error)}", file=sys.stderr)  # noqa: T201
            return CANNOT_MEASURE
        return internal(error)


def internal(error: Exception) -> int:
    """An error that is a defect of the program, in one line."""
    if os.environ.get("TAPEWITNESS_DEBUG"):
        import traceback

        traceback.print_exception(error)
    one_line = " ".join(f"{type(error).__name__}: {error}".split())
    print(  # noqa: T201
        f"tapewitness: internal error, nothing was decided ({one_line[:300]}). "
        "Set TAPEWITNESS_DEBUG=1, run it again and report what it prints.",
        file=sys.stderr,
    )
    return INTERNAL


def show_version(asked: bool) -> None:
    """Print the version and end, where it is asked for."""
    if asked:
        try:
            number = version("tapewitness")
        except PackageNotFoundError:
            number = "(not installed)"
        print(f"tapewitness {number}")  # noqa: T201
        raise typer.Exit(READY)
