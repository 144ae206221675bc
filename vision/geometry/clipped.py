"""Where a card's side seems to lie beside light that is cut off at full scale: the bright surface spreads over the other one.

Which part of the step was cut off is not in the file. Beside a much darker surface the rest of the edge's shape tells; beside one
that is nearly as bright only its foot is left, and nothing does.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from vision.geometry.side_model import LUMA, Levels

Array = NDArray[np.float64]
BURNT_OUT_BLURS = 0.3
"""blurs; sd of where a side beside a burnt-out surface seems to lie, alike for all sides: how a phone rolls off what nears full
scale is not in the file. Five burnt-out cards in 120 rendered rooms lay 0 to 0.56 blurs too far out, rms 0.31"""
TOLD_TO, UNTOLD_FROM, BURNT_BLUR_PX = 0.2, 0.5, 0.75
"""linear light of what lies beside a burnt-out surface up to which the rest of the step shows where a side is, and from which it
shows nothing (by judgement; a sample made 1.7 and 2 times as bright, by codes, is seen 0.6 to 1.4 px too far out); px of blur at
least, since what is cut off makes an edge narrow"""
HARDLY_TOLD = 0.6
"""blurs of doubt from which it is said"""
BRIGHTER: Array = np.exp(np.linspace(0.0, np.log(8.0), 41))
"""times full scale that light which is cut off may have had, each as likely as the next"""


def cut_off(levels: Levels) -> bool:
    """True where what is left between the two surfaces hardly tells where the side lies."""
    return levels.burnt_out and burnt_blurs(levels) >= HARDLY_TOLD


def burnt_blurs(levels: Levels) -> float:
    """Blurs; sd of where a side seems to lie of which one surface is cut off at full scale.

    Light k times full scale beside a wall A puts the middle of what is left z((1 - A) / 2 / (k - A)) blurs too far out, z the
    inverse normal distribution. How much of that the fit knows hangs on how much of the step is left.
    """
    beside = levels.wall if levels.face_brighter else levels.face
    a = float(np.clip(np.median(beside @ LUMA), 0.0, 0.95))
    unknown = float(np.sqrt(np.mean(ndtri((1 - a) / 2 / (BRIGHTER - a)) ** 2)))
    share = float(np.clip((a - TOLD_TO) / (UNTOLD_FROM - TOLD_TO), 0.0, 1.0))
    return BURNT_OUT_BLURS + share * max(unknown - BURNT_OUT_BLURS, 0.0)
