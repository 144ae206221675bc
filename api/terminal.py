"""The report as people read it on a terminal of 80 columns, or in a file without colour."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any, TextIO

from rich.table import Table
from rich.text import Text

from api.console import console_on, plain
from api.terminal_closure import closure_lines, question_lines, slip_lines, slip_title
from api.terminal_depth import depth_lines
from api.terminal_door import door_lines
from api.terminal_outline import outline_lines
from api.terminal_readings import governs, tape_cell
from vision.check import inches_text

Data = dict[str, Any]

MARKS = {"agrees": "●", "suspect": "▲", "cannot tell": "□"}
"""A shape beside each verdict, the same as in the pictures: colour is never the only sign."""
STYLES = {"agrees": "cyan", "suspect": "bold magenta", "cannot tell": "dim", "ready": "bold cyan", "hold": "bold magenta"}
CANNOT_SEE = (
    "how far the walls lean toward or away from the camera",
    "whether a card lies in the plane of the opening, unless you say how far off it is",
    "an eighth of an inch: one tape reading alone is not that certain; repeated readings are what helps",
)
CARE = (
    "Tempered glass cannot be cut or drilled afterwards, and it is heavy. Look for wires and pipes before drilling. "
    "Check with the local building authority or a licensed glazier. Never photograph a payment card's number."
)
NO_SCALE = 0.5
"""relative; a length with a larger standard deviation has no scale (where it is refused the deviation is 1)"""
FALLBACK_HEIGHT_MM = 72 * 25.4
"""mm; where no height was measured, lean is also given over 72 in, the length of a long level"""


def show(data: Data, stream: TextIO, *, width: int | None = None) -> None:
    """Write the report to `stream`: status first, then the readings, what the photo says, what to do next."""
    console = console_on(stream, width)
    for part in _parts(data):
        console.print(part)


def _parts(data: Data) -> Iterator[Text | Table]:
    yield from _status(data)
    if data["readings"]:
        yield _heading("Readings (after ± stands one standard deviation)")
        yield _readings(data)
        yield from _explanations(data)
    yield from _listed(slip_title(data), slip_lines(data))
    yield from _listed("The tape against itself", closure_lines(data))
    if data["sizes"]:
        yield _heading("The opening as the photo has it")
        yield _sizes(data)
    elif data["proportions"]:
        yield _heading("Proportions (the photo's scale is refused, so there are no sizes)")
        yield _proportions(data)
    lines = list(_wall_lines(data))
    if lines:
        yield _heading("Walls and curb")
        yield from lines
    yield from _listed("Outline found by the program (look at the pictures whether it is right)", outline_lines(data))
    yield from _listed("Door line", depth_lines(data))
    if data["cards"]:
        yield _heading("Reference cards")
        yield from (_item(_card(card)) for card in data["cards"])
    reasons, told = data["order"]["reasons"], data["order"]["next"]
    yield from _coded("Reasons to hold", reasons, told)
    shown = {(one["code"], one["text"]) for one in reasons}
    yield from _coded("Also found", [one for one in data["findings"] if (one["code"], one["text"]) not in shown], told)
    yield from _not_measured(data)
    if "door" in data["order"]:
        title, sizes = door_lines(data["order"]["door"])
        yield _heading(title)
        yield from (_item(line) for line in sizes)
    yield from _listed("Questions (they hold nothing)", question_lines(data))
    if data["order"]["next"]:
        yield _heading("Next")
        yield from (_item(text, f"{number}.") for number, text in enumerate(data["order"]["next"], 1))
    if data["sizes"] or data["not_measured"] or "cannot_measure" in data:
        yield from _listed("What this photo cannot tell", (*data.get("unseen", ()), *CANNOT_SEE))
    yield Text()
    yield Text(CARE, style="italic")


def _heading(text: str) -> Text:
    return Text(f"\n{text}", style="bold")


def _listed(title: str, lines: Iterable[str]) -> Iterator[Text | Table]:
    """A heading with its list; nothing where the list is empty."""
    lines = list(lines)
    if lines:
        yield _heading(title)
        yield from (_item(line) for line in lines)


def _item(text: object, mark: str = "-") -> Table:
    """One line of a list, with its continuation lines indented under it."""
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(width=max(2, len(mark)), justify="right")
    grid.add_column()
    grid.add_row(mark, text if isinstance(text, Text) else Text(plain(text)))
    return grid


def _status(data: Data) -> Iterator[Text]:
    order, failed = data["order"], data.get("cannot_measure")
    word = order["status"]
    if failed is not None:
        meaning = "the photo could not be measured"
    else:
        meaning = "every condition for an order is met" if word == "ready" else "do not order yet; the reasons are below"
    yield Text.assemble((word.upper(), STYLES[word]), f"  {meaning}")
    if failed is not None:
        yield Text(plain(f"  {failed['code']} ({failed['stage']}): found {failed['found']}; needed {failed['needed']}"))
        yield Text(plain(f"  What to do: {failed['remedy']}"))
    width = order.get("governing_width_mm")
    if width is not None:
        yield Text(
            plain(f"Governing width, as the tape has it: {inches_text(width, denominator=32)} ({width:.1f} mm){governs(data)}")
        )


def _readings(data: Data) -> Table:
    table = Table(box=None, padding=(0, 1, 0, 0), pad_edge=False)
    for title in ("reading", "tape", "photo", "tape less\nphoto", "verdict", "smallest\nvisible slip\n/ common slip"):
        table.add_column(title, no_wrap=title in ("photo", "verdict"), vertical="top")
    for name, reading in data["readings"].items():
        one = {**reading, "is_length": name.startswith(("width", "height", "diagonal"))}
        verdict = one["verdict"]
        table.add_row(
            _spoken(name),
            tape_cell(one),
            _photo_cell(one),
            "-" if one["difference_mm"] is None or _no_scale(one) else f"{one['difference_mm']:+.1f} mm",
            Text(f"{MARKS[verdict]} {verdict}", style=STYLES[verdict]),
            _slip_cell(one),
        )
    return table


def _photo_cell(one: Data) -> str:
    if one["photo_mm"] is None:
        return "not measured"
    if _no_scale(one):
        return "scale refused"
    return f"{inches_text(one['photo_mm'])}\n{one['photo_mm']:.1f} ± {one['u_photo_mm']:.1f} mm"


def _no_scale(one: Data) -> bool:
    """Whether the photo testifies by shape only: its length is then no better known than its scale."""
    return one["is_length"] and one["photo_mm"] is not None and one["u_photo_mm"] > NO_SCALE * one["photo_mm"]


def _slip_cell(one: Data) -> str:
    slips = (one["smallest_visible_slip_mm"], one["smallest_visible_common_slip_mm"])
    if slips == (None, None):
        return "-"
    shown = [None if slip is None or (one["is_length"] and slip > one["tape_mm"]) else slip for slip in slips]
    return "\n".join((_both(shown, lambda mm: inches_text(mm).removesuffix(" in"), "in"), _both(shown, "{:.1f}".format, "mm")))


def _both(slips: list[float | None], say: Callable[[float], str], unit: str) -> str:
    """Two lengths with their unit once; "none" for a slip of any size that would not show."""
    own, common = slips
    last = "none" if common is None else f"{say(common)} {unit}"
    if own is None:
        return f"none / {last}"
    return f"{say(own)}{f' {unit}' if common is None else ''} / {last}"


def _explanations(data: Data) -> Iterator[Table]:
    seen: set[str] = set()
    for one in data["readings"].values():
        for explanation in one["explanations"]:
            if explanation["text"] not in seen:
                seen.add(explanation["text"])
                yield _item(explanation["text"])


def _sizes(data: Data) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False)
    for title in ("size", "", "", "above curb", "most uncertainty from"):
        table.add_column(title)
    for name, size in data["sizes"].items():
        at = inches_text(size["at_mm"]) if "at_mm" in size else ""
        mm = f"{size['value_mm']:.1f} ± {size['u_mm']:.1f} mm"
        table.add_row(_spoken(name), inches_text(size["value_mm"]), mm, at, _largest(size["budget_mm"]))
    return table


def _largest(budget: dict[str, float]) -> str:
    return plain(max(budget, key=lambda source: budget[source])) if budget else "-"


def _proportions(data: Data) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
    for name, one in data["proportions"].items():
        table.add_row(_spoken(name), f"{one['value']:.4f} ± {one['u']:.4f}")
    return table


def _wall_lines(data: Data) -> Iterator[Table]:
    walls, curb = data["walls"], data["curb"]
    height, height_words = _height(data)
    for side in ("left", "right"):
        one = walls.get(side, {})
        if "lean_mm_per_m" in one:
            way = "into" if one["lean_mm_per_m"] >= 0 else "out of"
            yield _item(f"{side} wall: top leans {way} the opening by {_slope(one, 'lean_mm_per_m', height)}{height_words}")
        if "bow_mm" in one:
            yield _item(f"{side} wall: bow {one['bow_mm']:+.1f} ± {one['u_bow_mm']:.1f} mm (+ is into the opening)")
    if "taper_mm_per_m" in walls:
        way = "wider" if walls["taper_mm_per_m"] >= 0 else "narrower"
        yield _item(f"taper: the top is {way} by {_slope(walls, 'taper_mm_per_m', height)}{height_words}")
    if "rack_mm_per_m" in walls:
        way = "right" if walls["rack_mm_per_m"] >= 0 else "left"
        yield _item(f"rack: tops to the {way} by {_slope(walls, 'rack_mm_per_m', height)}{height_words}")
    if "plumb_rectangle_mm" in walls:
        value, u = walls["plumb_rectangle_mm"], walls["u_plumb_rectangle_mm"]
        yield _item(f"plumb rectangle: {inches_text(value)} wide ({value:.1f} ± {u:.1f} mm)")
    if "vertical" in walls:
        yield _item(f"vertical taken from: {walls['vertical']}")
    if "level_mm_per_m" in curb:
        end = "right" if curb["level_mm_per_m"] >= 0 else "left"
        yield _item(f"curb: {end} end higher by {abs(curb['level_mm_per_m']):.2f} ± {curb['u_level_mm_per_m']:.2f} mm/m")
    if "against_head_mm_per_m" in curb:
        side, u = ("right" if curb["against_head_mm_per_m"] >= 0 else "left"), curb["u_against_head_mm_per_m"]
        yield _item(
            f"curb against head: the height grows to the {side} by {abs(curb['against_head_mm_per_m']):.2f} ± {u:.2f} mm/m"
        )


def _slope(one: Data, key: str, height_mm: float) -> str:
    value = abs(one[key])
    over_height = value * height_mm / 1000
    inches = inches_text(over_height, denominator=32)
    inches = "under 1/32 in" if inches == "0 in" else inches
    return f"{value:.2f} ± {one[f'u_{key}']:.2f} mm/m, {inches}"


def _height(data: Data) -> tuple[float, str]:
    """Height over which lean is told in inches, and its words."""
    heights = [size["value_mm"] for name, size in data["sizes"].items() if name.startswith("height")]
    if not heights:
        return FALLBACK_HEIGHT_MM, " over 72 in"
    mean = sum(heights) / len(heights)
    return mean, f" over the height of {inches_text(mean)}"


def _card(card: Data) -> str:
    used = "used" if card["used"] else f"NOT used: {card['why_not_used']}"
    way = "in front of" if card["offset_mm"] < 0 else "behind"
    depth = f"{abs(card['offset_mm']):.1f} ± {card['u_offset_mm']:.1f} mm {way} the opening plane"
    return f"{card['number']}: {card['kind']} in photo {card['photo']}, {depth}, {used}"


def _coded(title: str, items: list[Data], told: list[str]) -> Iterator[Text | Table]:
    """Codes and facts; what to do next stands beside a fact unless the list of next steps has it anyway."""
    if not items:
        return
    yield _heading(title)
    for one in items:
        step = "" if one["next"] in told else f" Next: {one['next']}"
        yield _item(f"{one['code']}: {one['text']}{step}")


def _not_measured(data: Data) -> Iterator[Text | Table]:
    """Names that share a reason stand together."""
    if "cannot_measure" in data or not data["not_measured"]:
        return
    groups: dict[tuple[str, ...], list[str]] = {}
    for name, one in data["not_measured"].items():
        groups.setdefault((one["code"], one["found"], one["needed"], one["remedy"]), []).append(_spoken(name))
    yield _heading("Not measured")
    for (code, found, needed, remedy), names in groups.items():
        yield _item(f"{', '.join(names)}: {code}; found {found}; needed {needed}; {remedy}")


def _spoken(name: str) -> str:
    return name.replace("_", " ")
