"""Problem details (RFC 9457) for everything that is not a report: one shape, with found, needed and remedy."""

from __future__ import annotations

import json
from collections.abc import MutableMapping
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.plain_requests import invalid, refused, telling
from api.schemas import Problem
from vision.errors import BadInput

MEDIA_TYPE = "application/problem+json"
RETRY_AFTER_S = 30

Responses = dict[int | str, dict[str, Any]]


class ProblemError(Exception):
    """Becomes a problem response: HTTP status, title, found, needed, what to do; `broke_off` where work was ended."""

    def __init__(self, status: int, title: str, *, found: str, needed: str, remedy: str, broke_off: bool = False) -> None:
        super().__init__(title)
        self.broke_off = broke_off
        self.problem = Problem(
            type="about:blank",
            title=title,
            status=status,
            detail=f"Found {found}; needed {needed}; {remedy}.",
            found=found,
            needed=needed,
            remedy=remedy,
        )


def described(*statuses: int) -> Responses:
    """`responses=` of a route, so that the OpenAPI description names its problems."""
    content = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}
    return {status: {"description": _TITLES[status], "content": content} for status in statuses}


def install(app: FastAPI) -> None:
    """Turn every error of the application into problem details."""
    app.add_exception_handler(ProblemError, _own)
    app.add_exception_handler(BadInput, _bad_input)
    app.add_exception_handler(RequestValidationError, _invalid)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(Exception, _internal)


def response(error: ProblemError) -> JSONResponse:
    """The HTTP response of one problem."""
    headers = {"Retry-After": str(RETRY_AFTER_S)} if error.problem.status == 503 else None
    return JSONResponse(error.problem.model_dump(), error.problem.status, headers=headers, media_type=MEDIA_TYPE)


_TITLES = {
    400: "Bad request",
    404: "Not found",
    405: "Method not allowed",
    413: "Too large",
    415: "Not an image",
    422: "Facts that cannot be used",
    500: "Internal error",
    503: "Busy",
}


async def _own(_: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, ProblemError)
    return response(error)


async def _bad_input(_: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, BadInput)
    found = f"{error.where}: {error.found}"
    return response(ProblemError(422, _TITLES[422], found=found, needed=error.needed, remedy=error.remedy))


async def _invalid(_: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, RequestValidationError)
    found, needed, remedy = invalid(telling(error.errors()))
    return response(ProblemError(422, _TITLES[422], found=found, needed=needed, remedy=remedy))


async def _http(request: Request, error: Exception) -> JSONResponse:
    assert isinstance(error, HTTPException)
    allowed = (error.headers or {}).get("allow", "")
    found, needed, remedy = refused(error.status_code, str(error.detail), request.method, request.url.path, allowed)
    title = _TITLES.get(error.status_code, "Refused")
    return response(ProblemError(error.status_code, title, found=found, needed=needed, remedy=remedy))


async def _internal(_: Request, error: Exception) -> JSONResponse:
    """Says nothing of the inside; the server's log has it."""
    remedy = "send it again; if it happens twice, report it with the time"
    return response(ProblemError(500, _TITLES[500], found="a defect of the program", needed="a result", remedy=remedy))


class BodyLimitAsProblem:
    """Turns the framework's plain-text 413, sent before any handler runs, into problem details."""

    def __init__(self, app: ASGIApp, max_body_bytes: int) -> None:
        self.app = app
        self.body = self._problem(max_body_bytes)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass everything on but that one response."""
        replacing = False

        async def send_problem(message: Message) -> None:
            nonlocal replacing
            if message["type"] == "http.response.start" and message["status"] == 413 and _is_plain(message):
                replacing = True
                headers = [(b"content-type", MEDIA_TYPE.encode()), (b"content-length", str(len(self.body)).encode())]
                message = {**message, "headers": headers}
            elif replacing and message["type"] == "http.response.body":
                message = {**message, "body": self.body}
            await send(message)

        await self.app(scope, receive, send_problem)

    @staticmethod
    def _problem(max_body_bytes: int) -> bytes:
        limit = f"at most {max_body_bytes / 1e6:g} MB in one request"
        error = ProblemError(413, _TITLES[413], found="a larger request", needed=limit, remedy="send fewer or smaller photos")
        return json.dumps(error.problem.model_dump()).encode()


def _is_plain(message: MutableMapping[str, Any]) -> bool:
    return any(name.lower() == b"content-type" and value.startswith(b"text/plain") for name, value in message["headers"])
