"""Pixel positions as people type them on the command line: `x,y x,y`, `-` for none, `2:` before them for photo 2."""

from __future__ import annotations

import re

from vision.check import MarkedLine
from vision.errors import BadInput

Point = tuple[float, float]
FourPoints = tuple[Point, Point, Point, Point]

_NUMBER = r"[+-]?\d{1,6}(?:\.\d{1,15})?"
_POINT = re.compile(rf"({_NUMBER})\s*,\s*({_NUMBER})(?=\s|$)", re.ASCII)
_PREFIX = re.compile(r"\s*(\d{1,4})\s*:\s*(.*)", re.ASCII | re.DOTALL)
_DEPTH = rf"(?P<at>{_NUMBER})(?:\+-(?P<at_sd>\d{{1,4}}(?:\.\d{{1,9}})?))?"
_DOOR_LINE = re.compile(rf"\s*{_DEPTH}\s*(?:mm)?\s*", re.ASCII)
_LEVEL = re.compile(
    rf"(?P<points>[^@=]*)(?:@\s*{_DEPTH}\s*(?:mm)?\s*)?"
    r"(?:=\s*(?P<length>\d{1,5}(?:\.\d{1,9})?)\s*(?P<unit>mm|cm|in)\s*(?:\+-(?P<length_sd>\d{1,4}(?:\.\d{1,9})?)\s*)?)?",
    re.ASCII,
)
_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4}


def opening_corners(text: str) -> FourPoints | None:
    """`--corners`: four points, bottom-left bottom-right top-right top-left, or None for `-`."""
    if text.strip() == "-":
        return None
    return _four(text, "--corners")


def plumb_line(text: str, where: str = "--plumb-line") -> tuple[int, tuple[Point, Point]]:
    """`--plumb-line` and `--grout`: the photo's number and two points."""
    photo, rest = _photo(text)
    first, second = _points(rest, 2, where)
    if first == second:
        raise BadInput(where, f"the same point twice in {text!r}", "two points apart", "give one near either end")
    return photo, (first, second)


def grout(text: str) -> MarkedLine:
    """`--grout`: two points on a joint."""
    photo, line = plumb_line(text, "--grout")
    return MarkedLine(photo, "grout", line)


def level(text: str) -> MarkedLine:
    """`--level`: two points along a level's long side, then its depth and its length where they are known."""
    match = _LEVEL.fullmatch(text)
    if match is None:
        raise BadInput(
            "--level",
            repr(text),
            "two points, then @OFFSET and =LENGTH where they are known",
            'write it like "820,3010 818,900 @-25+-3 =1828.8mm" or "820,3010 818,900 =72in+-0.5"',
        )
    photo, line = plumb_line(match["points"], "--level")
    length = None if match["length"] is None else float(match["length"]) * _MM[match["unit"]]
    return MarkedLine(photo, "level", line, length, _number(match["length_sd"]), _number(match["at"]), _number(match["at_sd"]))


def side_joint(text: str) -> MarkedLine:
    """`--side-joint`: the side, then two points on a joint that runs back."""
    photo, rest = _photo(text)
    side, _, line = rest.strip().partition(" ")
    if side not in ("left", "right"):
        remedy = 'write it like "left 820,3010 905,2950"'
        raise BadInput("--side-joint", f"no side in {text!r}", "left or right, then two points", remedy)
    return MarkedLine(photo, "back", plumb_line(line, "--side-joint")[1], side=side)


def door_line(text: str) -> tuple[float, float | None]:
    """`--door-line`: depth in mm behind the wall face, and its sd where one is given."""
    match = _DOOR_LINE.fullmatch(text)
    if match is None:
        raise BadInput("--door-line", repr(text), "MM or MM+-SD", "write the millimetres behind the wall face, like 60 or 60+-3")
    return float(match["at"]), _number(match["at_sd"])


def _number(text: str | None) -> float | None:
    return None if text is None else float(text)


def card_corners(text: str) -> tuple[int, str, FourPoints]:
    """`--card-corners`: the photo's number, the kind as written, and four points."""
    photo, rest = _photo(text)
    kind, _, points = rest.strip().partition(" ")
    if not kind or _POINT.match(kind):
        raise BadInput(
            "--card-corners", f"no kind of card in {text!r}", "a kind, then four points", 'write it like "id-1 x,y x,y x,y x,y"'
        )
    return photo, kind, _four(points, "--card-corners")


def _photo(text: str) -> tuple[int, str]:
    match = _PREFIX.fullmatch(text)
    return (int(match[1]), match[2]) if match else (1, text)


def _four(text: str, where: str) -> FourPoints:
    a, b, c, d = _points(text, 4, where)
    if len({a, b, c, d}) < 4:
        raise BadInput(where, f"the same point twice in {text!r}", "four different points", "give each corner once")
    return (a, b, c, d)


def _points(text: str, count: int, where: str) -> list[Point]:
    points: list[Point] = []
    position = 0
    while rest := text[position:].lstrip():
        position = len(text) - len(rest)
        match = _POINT.match(text, position)
        if match is None:
            raise BadInput(
                where,
                f"{rest[:20]!r} at character {position + 1} of {text!r}",
                "points as x,y with a space between them",
                f"give {count} of them in pixels of the upright photo, like 820,3010",
                position=position + 1,
            )
        points.append((float(match[1]), float(match[2])))
        position = match.end()
    if len(points) != count:
        raise BadInput(
            where, f"{len(points)} points in {text!r}", f"{count} points", "give x,y for each, with a space between them"
        )
    return points
