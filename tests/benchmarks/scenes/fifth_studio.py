"""Makes the studio of sample_images importable, wherever the script is started from."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Picture = npt.NDArray[np.float32]
RGB = tuple[float, float, float]
Triple = tuple[float, float, float]

STUDIO_HOME = Path(__file__).resolve().parents[3] / "sample_images"
if str(STUDIO_HOME) not in sys.path:
    sys.path.insert(0, str(STUDIO_HOME))
