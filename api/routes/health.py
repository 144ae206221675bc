"""GET /health: is the service alive."""

from __future__ import annotations

from fastapi import APIRouter

from api.deps import TheWorkers
from api.schemas import Health

router = APIRouter(tags=["health"])


@router.get("/health", summary="Is the service alive")
async def health(workers: TheWorkers) -> Health:
    """Answers at once, also while checks run."""
    return Health(status="ok", checks=workers.busy)
