"""Files of Debian packages that tests look at; where a package is not installed such a test is skipped and says so."""

from __future__ import annotations

from pathlib import Path

import pytest


def installed(package: str, path: str) -> Path:
    """The file at this absolute path, which the package brings."""
    if not Path(path).is_file():
        pytest.skip(f"needs Debian package {package}")
    return Path(path)
