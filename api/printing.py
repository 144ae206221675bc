"""What `tapewitness print-card` does: make the PDF and say what to do with it."""

from __future__ import annotations

import sys
from pathlib import Path

from api import files
from vision.check import BadInput, print_card


def run(paper: str, sheets: str, output: Path) -> int:
    """Write the PDF and return 0."""
    if output.suffix.lower() != ".pdf":
        raise BadInput("--output", str(output), "a file that ends in .pdf", "name the file so")
    files.write_bytes(output, print_card(paper, sheets), "--output")
    sys.stdout.write(f'{output}: print it at 100 % (not "fit to page"), then check that both bars measure 100 mm.\n')
    return 0
