"""What the sixth author takes from the studio of sample_images: camera, outline, meshes, plumb line, the truth's record."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[3] / "sample_images"))

from studio import record
from studio.camera import Camera, aimed, focal_px
from studio.opening import Opening
from studio.shapes import Builder, placed, rounded_rectangle
from studio.shot import smaller
from studio.sizes import true_size
from studio.surfaces import Surface
from studio.things import PlumbLine, hang_plumb_line

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
