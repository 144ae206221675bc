"""What the sixth author takes from the studio of sample_images: camera, outline, meshes, plumb line, the truth's record."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[3] / "sample_images"))

from studio import record  # noqa: E402
from studio.camera import Camera, aimed, focal_px  # noqa: E402
from studio.opening import Opening  # noqa: E402
from studio.shapes import Builder, placed, rounded_rectangle  # noqa: E402
from studio.shot import smaller  # noqa: E402
from studio.sizes import true_size  # noqa: E402
from studio.surfaces import Surface  # noqa: E402
from studio.things import PlumbLine, hang_plumb_line  # noqa: E402

__all__ = [
    "Builder",
    "Camera",
    "Opening",
    "PlumbLine",
    "Surface",
    "aimed",
    "focal_px",
    "hang_plumb_line",
    "placed",
    "record",
    "rounded_rectangle",
    "smaller",
    "true_size",
]
