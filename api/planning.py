"""What `tapewitness plan` does: ask the one door, write what was asked for, say it as a table."""

from __future__ import annotations

import sys
import textwrap
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rich.table import Table

from api import files
from api.console import console_on, patient_output, plain
from vision.check import PlanRequest, inches_text, plan, plan_json, plan_png
from vision.settings import Settings

VOUCHED = (
    f"Vouched for: a reading that fits would be said to agree, since no slip over {inches_text(Settings().judge.slip_limit_mm)} "
    "would stay hidden."
)


@dataclass(frozen=True)
class PlanOutputs:
    """Where to write: `json` a file or "-", `picture` a file."""

    json: str | None = None
    picture: Path | None = None


def run(request: PlanRequest, outputs: PlanOutputs) -> int:
    """Plan one photo and return 0."""
    to_stdout = outputs.json == "-"
    json_path = Path(outputs.json) if outputs.json is not None and not to_stdout else None
    files.hold_writable(json_path, None)
    files.hold_picture(outputs.picture)
    made = plan(request, Settings())
    data = plan_json(made)
    if json_path is not None:
        files.write_json(json_path, data)
    if outputs.picture is not None:
        files.write_bytes(outputs.picture, plan_png(made), "--picture")
    with patient_output():
        if to_stdout:
            sys.stdout.write(files.json_text(data))
        else:
            _show(data, f"Picture: {outputs.picture}" if outputs.picture is not None else None)
    return 0


def _show(data: dict[str, Any], note: str | None) -> None:
    """The plan on a terminal of 80 columns, or in a file without colour."""
    console = console_on(sys.stdout)
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False)
    for title in ("size", "u", "smallest visible slip / common slip", "vouched\nfor", "mostly from"):
        table.add_column(title)
    for name, size in data["sizes"].items():
        table.add_row(
            name.replace("_", " "),
            f"{size['u_mm']:.1f} mm",
            _slips(size["smallest_visible_slip_mm"], size["smallest_visible_common_slip_mm"]),
            "yes" if size["vouched_for"] else "no",
            max(size["budget_mm"], key=lambda source: size["budget_mm"][source]),
        )
    console.print("What this photo would tell (u is one standard deviation)")
    console.print(table)
    console.print(VOUCHED)
    for warning in data["warnings"]:
        console.print(f"\nWarning: {plain(warning)}")
    walls = data["walls"]
    leans = [walls[k] for k in ("u_lean_left_mm_per_m", "u_lean_right_mm_per_m") if k in walls]
    told = f"lean of either wall to {max(leans):.1f} mm/m" if leans else "no lean without a plumb line"
    console.print(f"\nWalls: taper to {walls['u_taper_mm_per_m']:.1f} mm/m, {told}")
    console.print(
        "\nWhat would help most (largest u of the widths before and after)"
        if data["changes"]
        else "\nNo change that is tried here would help much."
    )
    for number, change in enumerate(data["changes"], 1):
        line = f"{change['text']}: {change['before_mm']:.1f} mm becomes {change['after_mm']:.1f} mm"
        console.print(
            textwrap.fill(plain(line), 78, initial_indent=f" {number}. ", subsequent_indent="    ", break_on_hyphens=False)
        )
    if note:
        console.print(plain(note))


def _slips(own: float, common: float) -> str:
    """Both slips in inches and in mm."""
    return f"{inches_text(own).removesuffix(' in')} / {inches_text(common)} ({own:.1f} / {common:.1f} mm)"
