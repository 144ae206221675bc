"""The description of the service as a page of its own, made from the OpenAPI text: no scripts, nothing from elsewhere."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from html import escape
from typing import Any

Schema = Mapping[str, Any]

_STYLE = (
    "body{font:16px/1.5 sans-serif;max-width:60em;margin:2em auto;padding:0 1em;color:#222}"
    "table{border-collapse:collapse}td,th{border-top:1px solid #ccc;padding:.2em .8em .2em 0;text-align:left;vertical-align:top}"
    "code,pre{background:#f2f1ec}pre{padding:.6em;white-space:pre-wrap;overflow-wrap:anywhere}h2{margin-top:2em}"
)
_LIMITS = (
    ("minimum", "{} or more"), ("exclusiveMinimum", "more than {}"), ("maximum", "{} or less"), ("exclusiveMaximum", "under {}"),
    ("minItems", "at least {} of them"), ("maxItems", "at most {} of them"), ("maxLength", "at most {} characters"),
)  # fmt: skip


def description_page(openapi: Schema) -> str:
    """HTML of all paths with what they take and answer, then of every object that is named there."""
    info = openapi["info"]
    parts = [f"<h1>{escape(info['title'])}</h1>", f"<p>{escape(info['description'])}</p>"]
    parts.append('<p>The same for programs: <a href="/openapi.json">openapi.json</a>.</p>')
    for path, methods in openapi["paths"].items():
        for method, one in methods.items():
            parts.extend(_operation(f"{method.upper()} {path}", one))
    parts.append("<h2>Objects</h2>")
    for name, schema in sorted(openapi["components"]["schemas"].items()):
        parts.extend(_object(name, schema))
    return _html(info["title"], "\n".join(parts))


def welcome_page(title: str, what: str, places: Mapping[str, str]) -> str:
    """HTML of the first page: what this server is, and where to look; `places` words by path."""
    rows = "".join(
        f'<tr><td><a href="{escape(path)}">{escape(path)}</a></td><td>{escape(w)}</td></tr>' for path, w in places.items()
    )
    return _html(title, f"<h1>{escape(title)}</h1><p>{escape(what)}</p><table>{rows}</table>")


def _html(title: str, body: str) -> str:
    head = f'<meta charset="utf-8"><title>{escape(title)}</title><style>{_STYLE}</style>'
    return f'<!DOCTYPE html>\n<html lang="en"><head>{head}</head>\n<body>\n{body}\n</body></html>\n'


def _operation(what: str, one: Schema) -> Iterator[str]:
    yield f"<h2><code>{escape(what)}</code></h2><p><b>{escape(one['summary'])}.</b> {escape(one.get('description', ''))}</p>"
    for media, content in one.get("requestBody", {}).get("content", {}).items():
        yield f"<p>Takes <code>{escape(media)}</code>: {_type(content['schema'])}</p>"
    rows = [
        f"<tr><td>{escape(status)}</td><td>{escape(answer['description'])}</td><td>{', '.join(_answers(answer))}</td></tr>"
        for status, answer in one["responses"].items()
    ]
    yield f"<table><tr><th>status</th><th></th><th>answer</th></tr>{''.join(rows)}</table>"


def _answers(answer: Schema) -> Iterator[str]:
    for media, content in answer.get("content", {}).items():
        yield f"{_type(content['schema'])} <code>{escape(media)}</code>"


def _object(name: str, schema: Schema) -> Iterator[str]:
    yield f'<h3 id="{escape(name)}">{escape(name)}</h3><p>{escape(schema.get("description", ""))}</p>'
    needed = schema.get("required", ())
    rows = []
    for key, one in schema.get("properties", {}).items():
        always = "always" if key in needed else ""
        rows.append(f"<tr><td><code>{escape(key)}</code></td><td>{_type(one)}</td><td>{always}</td><td>{_says(one)}</td></tr>")
    if rows:
        yield f"<table>{''.join(rows)}</table>"


def _says(one: Schema) -> str:
    """What a key is about, its usual value and examples of it."""
    words = escape(one.get("description", ""))
    if one.get("default") not in (None, [], {}):
        words += f" Usually <code>{escape(str(one['default']))}</code>."
    return words + "".join(f"<pre>{escape(str(example))}</pre>" for example in one.get("examples", ()))


def _type(schema: Schema) -> str:
    """A type in words, with links to the objects that it is made of."""
    if "$ref" in schema:
        name = escape(str(schema["$ref"]).rpartition("/")[2])
        return f'<a href="#{name}">{name}</a>'
    if "contentSchema" in schema:
        return f"JSON text of {_type(schema['contentSchema'])}"
    if "anyOf" in schema:
        return " or ".join(_type(one) for one in schema["anyOf"])
    if "enum" in schema or "const" in schema:
        return ", ".join(f"<code>{escape(str(value))}</code>" for value in schema.get("enum", (schema.get("const"),)))
    limits = [words.format(schema[key]) for key, words in _LIMITS if key in schema]
    return ", ".join((_plain_type(schema), *limits))


def _plain_type(schema: Schema) -> str:
    kind = schema.get("type", "")
    if kind == "array":
        inner = schema.get("prefixItems") or [schema.get("items", {})]
        return f"list of {', '.join(dict.fromkeys(_type(one) for one in inner))}"
    if kind == "object":
        values = schema.get("additionalProperties")
        return f"object of {_type(values)} by name" if isinstance(values, Mapping) else "object"
    if schema.get("contentMediaType") == "application/octet-stream":
        return "file"
    return {"string": "text", "integer": "whole number", "boolean": "true or false"}.get(kind, escape(kind) or "anything")
