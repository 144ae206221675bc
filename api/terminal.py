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
from api.terminal_walls import wall_lines
from vision.check import inches_text, number_text, plus_minus

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
SHAPE_ONLY = (
    "scale refused: the photo testifies by its shape alone. What the JSON has as photo_mm is known no better than to its own "
    "size, and is no size of the opening"
)
ONE_SD = "± one standard deviation"
"""in every heading above such numbers"""


def show(data: Data, stream: TextIO, *, width: int | None = None) -> None:
    """Write the report to `stream`: status first, then the readings, what the photo says, what to do next."""
    console = console_on(stream, width)
    for part in _parts(data):
        console.print(part)


def _parts(data: Data) -> Iterator[Text | Table]:
    yield from _status(data)
    if data["readings"]:
        yield _heading(f"Readings ({ONE_SD})")
        yield _readings(data)
        if any(_no_scale(_with_kind(name, one)) for name, one in data["readings"].items()):
            yield _item(SHAPE_ONLY)
        yield from _explanations(data)
    yield from _listed(slip_title(data), slip_lines(data))
    yield from _listed("The tape against itself", closure_lines(data))
    if data["sizes"]:
        yield _heading(f"The opening as the photo has it ({ONE_SD})")
        yield _sizes(data)
    elif data["proportions"]:
        yield _heading(f"Proportions (the photo's scale is refused, so there are no sizes; {ONE_SD})")
        yield _proportions(data)
    yield from _listed(f"Walls and curb ({ONE_SD})", wall_lines(data))
    yield from _listed("Outline found by the program (look at the pictures whether it is right)", outline_lines(data))
    yield from _listed(f"Door line ({ONE_SD})", depth_lines(data))
    if data["cards"]:
        yield _heading(f"Reference cards ({ONE_SD})")
        yield from (_item(_card(card)) for card in data["cards"])
    reasons, told = data["order"]["reasons"], data["order"]["next"]
    yield from _coded("Reasons to hold", reasons, told)
    shown = {(one["code"], one["text"]) for one in reasons}
    yield from _coded("Also found", [one for one in data["findings"] if (one["code"], one["text"]) not in shown], told)
    yield from _coded("Also seen (it holds nothing)", data["notes"], told)
    yield from _not_measured(data)
    if "door" in data["order"]:
        title, sizes = door_lines(data["order"])
        yield _heading(title)
        yield from (_item(line) for line in sizes)
    yield from _listed("Questions (they hold nothing)", question_lines(data))
    if data["order"]["next"]:
        yield _heading("Next")
        yield from (_item(text, f"{number}.") for number, text in enumerate(data["order"]["next"], 1))
    if _photo_seen(data):
        yield from _listed("What this photo cannot tell", (*data.get("unseen", ()), *CANNOT_SEE))
    yield Text()
    yield Text(CARE, style="italic")


def _photo_seen(data: Data) -> bool:
    """Whether there is a photo that says something, or was looked at in vain; a file that did not open is none."""
    failed = data.get("cannot_measure")
    if failed is not None:
        return bool(failed["stage"] != "intake")
    return bool(data["sizes"] or any(one["stage"] != "intake" for one in data["not_measured"].values()))


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
        open_ = any(f["code"] == "readings-do-not-close" for f in data["findings"])
        doubt = ", in doubt until the readings close" if open_ else ""
        amount = f"{inches_text(width, denominator=32)} ({width:.1f} mm)"
        yield Text(plain(f"Governing width, as the tape has it{doubt}: {amount}{governs(data)}"))


def _readings(data: Data) -> Table:
    table = Table(box=None, padding=(0, 1, 0, 0), pad_edge=False)
    for title in ("reading", "tape", "photo", "tape less\nphoto", "verdict", "smallest\nvisible slip\n/ common slip"):
        table.add_column(title, no_wrap=title in ("photo", "verdict"), vertical="top")
    for name, reading in data["readings"].items():
        one = _with_kind(name, reading)
        verdict = one["verdict"]
        table.add_row(
            _spoken(name),
            tape_cell(one),
            _photo_cell(one),
            "-" if one["difference_mm"] is None or _no_scale(one) else f"{number_text(one['difference_mm'], signed=True)} mm",
            Text(f"{MARKS[verdict]} {verdict}", style=STYLES[verdict]),
            _slip_cell(one),
        )
    return table


def _with_kind(name: str, reading: Data) -> Data:
    return {**reading, "is_length": name.startswith(("width", "height", "diagonal"))}


def _photo_cell(one: Data) -> str:
    if one["photo_mm"] is None:
        return "not measured"
    if _no_scale(one):
        return "scale refused"
    return f"{inches_text(one['photo_mm'])}\n{plus_minus(one['photo_mm'], one['u_photo_mm'], 'mm')}"


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
        mm = plus_minus(size["value_mm"], size["u_mm"], "mm")
        table.add_row(_spoken(name), inches_text(size["value_mm"]), mm, at, _largest(size["budget_mm"]))
    return table


def _largest(budget: dict[str, float]) -> str:
    return plain(max(budget, key=lambda source: budget[source])) if budget else "-"


def _proportions(data: Data) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, show_header=False)
    for name, one in data["proportions"].items():
        table.add_row(_spoken(name), plus_minus(one["value"], one["u"], "", digits=4))
    return table


def _card(card: Data) -> str:
    used = "used" if card["used"] else f"NOT used: {card['why_not_used']}"
    way = "in front of" if card["offset_mm"] < 0 else "behind"
    depth = f"{plus_minus(abs(card['offset_mm']), card['u_offset_mm'], 'mm')} {way} the opening plane"
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
    """Names that share a reason stand together; that there is no photo at all is among the reasons to hold."""
    if "cannot_measure" in data or not data["not_measured"]:
        return
    groups: dict[tuple[str, ...], list[str]] = {}
    for name, one in data["not_measured"].items():
        if one["stage"] == "intake":
            return
        groups.setdefault((one["code"], one["found"], one["needed"], one["remedy"]), []).append(_spoken(name))
    yield _heading("Not measured")
    for (code, found, needed, remedy), names in groups.items():
        yield _item(f"{', '.join(names)}: {code}; found {found}; needed {needed}; {remedy}")


def _spoken(name: str) -> str:
    return name.replace("_", " ")
