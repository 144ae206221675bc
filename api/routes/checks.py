"""POST /checks: one check of one opening."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from fastapi.responses import JSONResponse

from api.deps import KnownFields, TheFacts, ThePhotos, TheWorkers
from api.problems import ProblemError, described
from api.request import from_facts
from api.schemas import ReportOut

router = APIRouter(tags=["checks"])

REFUSED = {"not-an-image": (415, "Not an image"), "too-large": (413, "Too large")}
"""Codes of `cannot_measure` that mean that the upload itself is wrong; every other one is an answer (200)."""


REPORT = "The report, format 1, also where the photo cannot be measured"


@router.post(
    "/checks",
    summary="Hold readings against a photo",
    response_class=JSONResponse,
    response_model=None,
    dependencies=[KnownFields],
    responses={**described(413, 415, 422, 500, 503), 200: {"description": REPORT, "model": ReportOut}},
)
async def make_check(photos: ThePhotos, workers: TheWorkers, facts: TheFacts) -> JSONResponse:
    """One check: the readings in `facts` against one photo, or several photos, of the same opening. Nothing is stored."""
    data = await workers.run(from_facts(photos, facts))
    _refuse_unusable(data)
    return JSONResponse(data)


def _refuse_unusable(data: dict[str, Any]) -> None:
    failed = data.get("cannot_measure")
    if failed is not None and failed["code"] in REFUSED:
        status, title = REFUSED[failed["code"]]
        raise ProblemError(status, title, found=failed["found"], needed=failed["needed"], remedy=failed["remedy"])
