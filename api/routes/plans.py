"""POST /plans: what a photo that is not taken yet would resolve."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends
from fastapi.responses import JSONResponse

from api.deps import EachKeyOnce, get_vision
from api.plan_schemas import PlanIn, PlanOut
from api.problems import described
from vision.check import plan, plan_json
from vision.settings import Settings

router = APIRouter(tags=["plans"])
ANSWER: dict[int | str, dict[str, Any]] = {200: {"description": "The plan, format 1", "model": PlanOut}}


@router.post(
    "/plans",
    summary="What would this photo resolve",
    response_class=JSONResponse,
    response_model=None,
    dependencies=[EachKeyOnce],
    responses={**described(413, 422, 500), **ANSWER},
)
def make_plan(asked: PlanIn, settings: Annotated[Settings, Depends(get_vision)]) -> JSONResponse:
    """Expected uncertainty of each size, the smallest visible slips, and which change would help most. Takes a second or less."""
    return JSONResponse(plan_json(plan(asked.request(), settings)))
