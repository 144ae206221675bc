"""What may be set for the HTTP service, from the environment (TAPEWITNESS_WORKERS and so on) or by hand in tests."""

from __future__ import annotations

import os

from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict


class ApiSettings(BaseSettings):
    """Limits of the service. What concerns the measuring itself is in vision/settings.py."""

    model_config = SettingsConfigDict(env_prefix="TAPEWITNESS_", frozen=True, extra="ignore")

    workers: int = Field(default=max(1, min(8, os.cpu_count() or 1)), ge=1, le=64)
    """processes that do the image work"""
    max_waiting: int = Field(default=16, ge=1)
    """checks under way or waiting; one more is told to come back later, so that memory stays bounded"""
    max_photos: int = Field(default=8, ge=1)
    """photos in one check"""
    max_body_bytes: int = Field(default=100_000_000, ge=1)
    """bytes of one request; two photos at the size limit, or eight ordinary ones"""
    check_timeout_s: float = Field(default=300.0, gt=0)
    """seconds; a check of one 12 MP photo takes some ten, so a longer one is stuck and its process is ended"""
