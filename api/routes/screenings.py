"""POST /screenings: which of these photos are usable, and what to write back."""

from __future__ import annotations

import json
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Form
from fastapi.responses import JSONResponse
from pydantic import BeforeValidator, Json

from api.deps import KnownFields, ThePhotos, TheWorkers, text_of
from api.problems import ProblemError, described
from api.screen_schemas import ANSWER, ScreenFacts
from vision.check import ScreenRequest, screening_svg

router = APIRouter(tags=["screenings"])


def get_screen_facts(
    facts: Annotated[
        Json[ScreenFacts] | None,
        BeforeValidator(text_of),
        Form(description="what is said about all photos, as JSON", examples=[json.dumps({"cards": ["letter"]})]),
    ] = None,
) -> ScreenFacts:
    """The facts, or none of them."""
    return facts or ScreenFacts()


@router.post(
    "/screenings",
    summary="Which of these photos are usable",
    response_class=JSONResponse,
    response_model=None,
    dependencies=[KnownFields],
    responses={**described(413, 422, 500, 503), **ANSWER},
)
async def make_screenings(
    photos: ThePhotos, workers: TheWorkers, facts: Annotated[ScreenFacts, Depends(get_screen_facts)]
) -> JSONResponse:
    """A verdict for each photo with its reasons, the size so far, and what to write back. A broken file is an answer too."""
    if not photos:
        raise ProblemError(422, "Invalid", found="no photo", needed="one or more", remedy="send the field `photo`, repeated")
    if len(facts.corners) > len(photos):
        raise ProblemError(
            422, "Invalid", found=f"corners for {len(facts.corners)} photos", needed=f"at most {len(photos)}, one list a photo",
            remedy="send null for a photo without corners",
        )  # fmt: skip
    answers: list[dict[str, Any]] = []
    for (name, data), corners in zip(photos, [*facts.corners, *[None] * len(photos)], strict=False):
        marked = None if corners is None else tuple((x, y) for x, y in corners)
        answer = await workers.screen(ScreenRequest(name, data, marked, tuple(facts.cards), facts.head))
        answers.append({**answer, "drawing": screening_svg(answer)})
    return JSONResponse({"format": 1, "photos": answers})
