"""A JPEG whose bytes were changed on the way: from there on all blocks are too light, too dark or tinted, and no decoder says so.

Each block's mean is coded as a difference from the one before it (ITU-T T.81, F.1.1.5.1), so an error goes on to the end, and
the picture has a step right across where a row of blocks begins. What a camera sees is spread over more than one row of pixels.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

BLOCK_ROWS = 8
"""rows of a block (T.81)"""
STEP_CODES = 16
"""codes by which a column must change from one row to the next to count"""
COARSE = 4.0
"""codes more for each code of light that the file's coarsest block mean is rounded to: of two neighbours each is half of it off,
and a step of colour comes out up to 1.8 times as large in one channel (T.871)"""
COLUMNS = 12
"""every so many columns are looked at"""
ROWS_ON = (1, 2)
"""rows of blocks after which the part of the width before the break follows: blocks are coded one by one, or in fours"""
BROKEN_SHARE = 0.6
"""of the columns, together in both of these rows, that step there and not in the rows beside it, up or down, in any channel,
beyond what is usual in the picture: what is shifted from some block on does both. A level edge of the room steps over as much
of the width as it takes, where it is sharp and level to a pixel: at most 0.45 in 432 whole photos, as they were and down to 0.4
of the size, 0.49 in 108 of a quarter; more in 32 of 54 with bytes changed, doubled or left out in the middle. In most of the
others the rest of the picture has only moved aside: no step tells that where both sides of it are alike"""
STAYS_ROWS, STAYS = (2, 5), 0.5
"""rows to either side of a step, and the share of it by which they still differ: a level joint of tiles, thin and right across,
steps down and up again"""
SPREAD, LEAST_PART = 0.75, 0.05
"""share of a step that the rows beside it may have, since colours at half resolution are spread over three rows; and the share of
the width that must then step in either row: an edge of the room, blurred by a lens, is spread alike, but not broken in two"""


def broken_row(pixels: NDArray[np.uint8], coarsest: float = 0.0) -> int:
    """The row (from 0) of uint8 RGB (height, width, 3), as stored, at which the picture is broken; 0 where it is whole.

    `coarsest`: codes to which the file rounds the mean of a block, the larger one of light and colour.
    """
    at = np.arange(BLOCK_ROWS - 1, len(pixels) - STAYS_ROWS[1] - 1, BLOCK_ROWS)
    if not len(at):
        return 0
    looked_at = pixels[:, ::COLUMNS]
    step = np.diff(looked_at[at[:, None] + np.arange(-1, 3)].astype(np.int16), axis=1)
    there, least = np.abs(step[:, 1]), STEP_CODES + COARSE * coarsest
    onward = np.maximum(step[:, 0] * np.sign(step[:, 1]), step[:, 2] * np.sign(step[:, 1]))
    clear = (there > least) & (_stays(looked_at, at) * np.sign(step[:, 1]) > STAYS * there)
    sharp, spread = ((clear & beside).any(axis=2) for beside in (onward <= least, onward < SPREAD * there))
    share, worst = max(_widest(sharp, 0.0), _widest(spread, LEAST_PART))
    return int(at[worst]) + 1 if share > BROKEN_SHARE else 0


def _stays(looked_at: NDArray[np.uint8], at: NDArray[np.int64]) -> NDArray[np.float64]:
    """By how much the rows some way after each of these differ from those some way before it."""
    away = np.arange(STAYS_ROWS[0], STAYS_ROWS[1] + 1)
    after, before = (looked_at[rows].astype(np.float64).mean(axis=1) for rows in (at[:, None] + 1 + away, at[:, None] - away))
    return np.asarray(after - before)


def _widest(breaks: NDArray[np.bool_], least_part: float) -> tuple[float, int]:
    """Of columns that break (rows of blocks, columns): the largest share of the width in two rows together that have
    `least_part` each, beyond what rows of this picture usually have (noise steps everywhere); and the one of them with more."""
    best = (0.0, 0)
    for on in (n for n in ROWS_ON if n < len(breaks)):
        first, second = breaks[:-on].mean(axis=1), breaks[on:].mean(axis=1)
        share = (breaks[:-on] | breaks[on:]).mean(axis=1)
        share = np.where(np.minimum(first, second) >= least_part, share - np.median(share), 0.0)
        row = int(np.argmax(share))
        best = max(best, (float(share[row]), row if first[row] >= second[row] else row + on))
    return best
