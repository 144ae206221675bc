"""GET / and GET /docs: what this server is and what it takes, without scripts and without anything from elsewhere."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, PlainTextResponse, Response

from api.description import description_page, welcome_page

router = APIRouter(include_in_schema=False)
WHAT = "This server holds tape readings of an opening against photos of it. It is for programs and has no form to fill in."
PLACES = {
    "/docs": "what it takes and answers: POST /checks, POST /screenings, POST /plans",
    "/openapi.json": "the same for programs",
    "/health": "whether it is alive",
}


@router.get("/")
async def welcome(request: Request) -> Response:
    """A page for a browser, a text for everything else."""
    title = request.app.title
    if "text/html" in request.headers.get("accept", ""):
        return HTMLResponse(welcome_page(title, WHAT, PLACES))
    return PlainTextResponse("\n".join((title, WHAT, *(f"GET {path}: {words}" for path, words in PLACES.items()), "")))


@router.get("/docs")
async def docs(request: Request) -> HTMLResponse:
    """The description as a page."""
    return HTMLResponse(description_page(request.app.openapi()))
