"""Checks that do no photo work, importable by name so that worker processes can run them."""

from __future__ import annotations

import os
import time

from tests import made
from vision.check import CheckRequest
from vision.errors import BadInput
from vision.report.record import Report
from vision.settings import Settings

SLOW_S = 1.5


def by_name(request: CheckRequest, settings: Settings) -> Report:
    """Does what the first photo's bytes say."""
    word = request.photos[0][1].decode()
    if word == "slow":
        time.sleep(SLOW_S)
    if word == "stuck":
        time.sleep(600)
    if word == "dying":
        os._exit(9)
    if word == "broken":
        raise RuntimeError("secret path /srv/inside")
    if word == "unreadable":
        raise BadInput("reading width_top", "'half' at character 1", "a length", "write it like 56 1/4", position=1)
    if word in ("not-an-image", "too-large", "needs-corners"):
        return made.failed(word)
    return {"hold": made.hold, "scale refused": made.scale_refused}.get(word, made.ready)()
