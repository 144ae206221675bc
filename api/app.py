"""The HTTP service: one check per request, nothing stored."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI
from starlette.middleware.body_limit import RequestBodyLimitMiddleware

from api import problems
from api.deps import MAX_FACTS_BYTES
from api.routes import checks, health, pages, plans, screenings
from api.schemas import Problem
from api.settings import ApiSettings
from api.workers import ProcessWorkers, Workers
from vision.settings import Settings

DESCRIPTION = (
    "Holds the tape readings of an opening against a photo with a reference card, with uncertainties. "
    "Errors are problem details (RFC 9457) that say what was found, what was needed and what to do."
)


def create_app(settings: ApiSettings | None = None, *, vision: Settings | None = None, workers: Workers | None = None) -> FastAPI:
    """The application; `workers` is replaced in tests."""
    settings = settings or ApiSettings()
    vision = vision or Settings()
    staff = workers or ProcessWorkers(settings, vision)

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        yield
        staff.close()

    app = FastAPI(
        title="Tapewitness",
        description=DESCRIPTION,
        version="1",
        license_info={"name": "MIT", "identifier": "MIT"},
        lifespan=lifespan,
        docs_url=None,
        redoc_url=None,
        form_limits={"max_files": settings.max_photos + 1, "max_fields": 4, "max_part_size": MAX_FACTS_BYTES},
    )
    app.state.settings, app.state.vision, app.state.workers = settings, vision, staff
    app.add_middleware(RequestBodyLimitMiddleware, max_body_size=settings.max_body_bytes)
    app.add_middleware(problems.BodyLimitAsProblem, max_body_bytes=settings.max_body_bytes)
    problems.install(app)
    app.include_router(checks.router)
    app.include_router(plans.router)
    app.include_router(screenings.router)
    app.include_router(health.router)
    app.include_router(pages.router)
    _describe_problem(app)
    return app


def _describe_problem(app: FastAPI) -> None:
    """The schema that every problem response refers to, and 422 as we send it rather than as the framework would."""
    plain = app.openapi

    def openapi() -> dict[str, object]:
        if app.openapi_schema is None:
            schema = plain()
            schemas = schema["components"]["schemas"]
            schemas["Problem"] = Problem.model_json_schema()
            for unused in ("HTTPValidationError", "ValidationError"):
                schemas.pop(unused, None)
        return app.openapi_schema or {}

    app.openapi = openapi  # type: ignore[method-assign]
