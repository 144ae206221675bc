"""Whether a patch of a reference's shape is a thing of its own and not a tile, in a reduced picture where nothing is refined."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.card_seen import LEAST_COSINE, rough_surround
from vision.geometry.cards import CardCandidate
from vision.geometry.look import CardLook, card_strips
from vision.geometry.surround import MOST_UNEVEN

Array = NDArray[np.float64]
SURROUND_PX = 12
"""px; either side of a reference's edge, where it is compared with its surroundings"""
ACROSS_PX = np.arange(-3.0, 3.1)
"""px either side of a line that is looked for"""
GOES_ON, MOST_GOING_ON = 0.3, 2
"""share of a side's own step at which its line is still there beyond a corner, and how many of the eight may be (by judgement)"""


def look_at(pixels: NDArray[np.uint8], card: CardCandidate) -> CardLook:
    """A reference of a reduced picture with a strip round each side."""
    return CardLook(card, card_strips(pixels, card.corners_px, SURROUND_PX))


def one_thing(pixels: NDArray[np.uint8], card: CardCandidate) -> bool:
    """True where the card differs from what surrounds it alike on all four sides, by the check's own limits for refined sides."""
    return rough_surround(look_at(pixels, card), most_uneven=MOST_UNEVEN, least_cosine=LEAST_COSINE)


def ends_at_corners(pixels: NDArray[np.uint8], corners: Array) -> bool:
    """True where a patch (4, 2) px is a thing of its own: the lines of its sides do not go on beyond its corners, as joints do.

    Of the eight ways in which sides could go on two may: a sheet may stand by a corner of the room or a joint.
    """
    going_on = 0
    for k in range(4):
        a, b = corners[k], corners[(k + 1) % 4]
        own = _step_across(pixels, a + np.linspace(0.2, 0.8, 12)[:, None] * (b - a), b - a)
        for end, away in ((a, a - b), (b, b - a)):
            beyond = _step_across(pixels, end + np.linspace(0.25, 0.75, 8)[:, None] * away, b - a)
            going_on += beyond > GOES_ON * own
    return going_on <= MOST_GOING_ON


def _step_across(pixels: NDArray[np.uint8], points: Array, along: Array) -> float:
    """Typical range of codes within some pixels across a line at points (n, 2) px of it, in the channel that shows it best."""
    normal = np.array([-along[1], along[0]]) / max(float(np.linalg.norm(along)), 1e-9)
    at = (points[:, None] + ACROSS_PX[None, :, None] * normal).astype(np.float32)
    seen = np.asarray(
        cv2.remap(pixels, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE), dtype=np.float64
    )
    return float(np.median(np.ptp(seen, axis=1).max(axis=1)))
