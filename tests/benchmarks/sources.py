"""What made a table: the digest that its first line carries."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path

HERE = Path(__file__).resolve().parent


def sources_digest(own: Iterable[str]) -> str:
    """sha256 over the settings, the geometry and the benchmark's `own` files here: path and bytes of each in order."""
    digest, root = hashlib.sha256(), HERE.parents[1]
    parts = [*sorted((root / "vision").glob("settings*.py")), *sorted((root / "vision" / "geometry").glob("*.py"))]
    for path in [*parts, *(HERE / name for name in own)]:
        digest.update(path.relative_to(root).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()
