"""What a client sent wrong, in plain words: the framework's own errors as found, needed and what to do."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

Words = tuple[str, str, str]
"""found, needed, what to do"""

PLACES = "POST /checks, /screenings or /plans; GET /health, /docs or /"
SHOWN = 40
"""characters of what was sent that are repeated in an answer"""
UPLOAD = "with curl: -F photo=@FILE"
OBJECT = 'a JSON object, as {"name": "value"}'

_NEEDED: dict[str, str] = {
    "model_type": OBJECT, "model_attributes_type": OBJECT, "dict_type": OBJECT, "list_type": "a list in square brackets",
    "string_type": "a text in double quotes", "float_type": "a number", "float_parsing": "a number", "int_type": "a whole number",
    "int_parsing": "a whole number", "int_from_float": "a whole number", "bool_type": "true or false",
    "bool_parsing": "true or false", "finite_number": "a finite number", "string_unicode": "text in UTF-8",
}  # fmt: skip
_LIMITS: dict[str, tuple[str, str]] = {
    "greater_than_equal": ("ge", "{} or more"), "greater_than": ("gt", "more than {}"),
    "less_than_equal": ("le", "{} or less"), "less_than": ("lt", "less than {}"), "literal_error": ("expected", "{}"),
    "string_too_long": ("max_length", "at most {} characters"), "string_too_short": ("min_length", "at least {} characters"),
    "too_long": ("max_length", "at most {} entries"), "too_short": ("min_length", "at least {} entries"),
}  # fmt: skip
_READ_IT = "see /docs for what each key takes"


def telling(errors: Sequence[Mapping[str, Any]]) -> Mapping[str, Any]:
    """The error to tell: the first, but of an object that may also be a plain text, what is wrong inside of it."""
    first = errors[0]
    place = tuple(first["loc"])
    if place[-1:] == ("str",) and isinstance(first.get("input"), Mapping):
        inside = (one for one in errors if tuple(one["loc"])[: len(place) - 1] == place[:-1] and one["loc"][-1] != "str")
        return next(inside, first)
    return first


def invalid(error: Mapping[str, Any]) -> Words:
    """One error of the framework's validation."""
    kind, context = error["type"], error.get("ctx", {})
    where = _place(error["loc"])
    if kind == "missing":
        return f"no {where}", f"{where}, as /docs describes it", "add it"
    if kind == "extra_forbidden":
        return (
            f"{where}, which is no key that is known",
            "keys that /docs describes",
            "look up how it is written, or leave it out",
        )
    if kind == "json_invalid":
        at = re.search(r"line \d+ column \d+", str(context.get("error", "")))
        found = f"{_place(p for p in error['loc'] if not isinstance(p, int))}: no JSON{f', see {at[0]}' if at else ''}"
        return found, OBJECT, "write names and texts in double quotes and close every bracket"
    if "photo" in error["loc"] and kind == "value_error":
        return "photo: a text where a file should be", "the photo's file itself", UPLOAD
    found = f"{where}: {_shown(error.get('input'))}"
    if kind in _LIMITS:
        key, words = _LIMITS[kind]
        return found, words.format(context.get(key)), _READ_IT
    if where == "body":
        return found, OBJECT, "send it as JSON, with the header content-type: application/json"
    return found, _NEEDED.get(kind, "a value as /docs describes it"), _READ_IT


def refused(status: int, detail: str, method: str, path: str, allowed: str) -> Words:
    """An error of the framework's routing and of its reading of forms."""
    if status == 404:
        return f"nothing at {path[:SHOWN]}", PLACES, "look at / for what is served here"
    if status == 405:
        return f"{method} {path[:SHOWN]}", f"{allowed or PLACES}", "use that, or look at / for what is served here"
    for pattern, words in _FORMS:
        if match := re.match(pattern, detail):
            return words(match)
    return "a request that cannot be read", PLACES, "compare it with /docs"


_FORMS: Sequence[tuple[str, Callable[[re.Match[str]], Words]]] = (
    (
        r"Too many files. Maximum number of files is (\d+)",
        lambda match: (f"more than {match[1]} files", f"at most {int(match[1]) - 1} photos in one request", "send fewer photos"),
    ),
    (
        r"Too many fields",
        lambda _: ("more form fields than there are", "`photo`, repeated, and `facts`", "put all that is said into `facts`"),
    ),
    (
        r"Part exceeded maximum size of (\d+)KB",
        lambda match: (f"more than {match[1]} kB of text", "facts that fit on a page", f"send photos as files, {UPLOAD}"),
    ),
    (
        r"(Missing boundary|Invalid multipart|Did not find)",
        lambda _: ("a form that cannot be read", "a multipart form of `photo` and `facts`", f"let your client make it; {UPLOAD}"),
    ),
)  # fmt: skip


def _place(parts: Any) -> str:
    """Where in what was sent; the names of types that the framework tried are left out."""
    words = [str(part) for part in parts if part not in ("body", "str") and not re.fullmatch(r"[A-Z]\w+|dict\[.*", str(part))]
    return ".".join(words) or "body"


def _shown(value: object) -> str:
    if value is None or isinstance(value, bytes):
        return "nothing" if value is None else "no JSON"
    text = json.dumps(value, default=lambda one: type(one).__name__, ensure_ascii=False)
    return text if len(text) <= SHOWN else f"{text[:SHOWN]}..."
