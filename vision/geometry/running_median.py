"""A running median over a few neighbours by a sorting network: minima and maxima of whole rows, no sort at any place."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

Float32 = NDArray[np.float32]
ROWS_AT_ONCE = 8
"""whose copies stay in the processor's cache"""


@cache
def network(count: int) -> tuple[tuple[int, int], ...]:
    """Pairs (low, high) of places to put in order, one after another, until the middle of an odd `count` holds the median.

    Batcher's odd-even merge exchange (Knuth, The Art of Computer Programming 3, 5.2.2, algorithm M; from memory), without the
    exchanges that the middle does not depend on.
    """
    every: list[tuple[int, int]] = []
    top = 1 << ((count - 1).bit_length() - 1)
    p = top
    while p > 0:
        q, r, d = top, 0, p
        while True:
            every += [(i, i + d) for i in range(count - d) if i & p == r]
            if q == p:
                break
            d, q, r = q - p, q >> 1, p
        p >>= 1
    needed, kept = {count // 2}, []
    for low, high in reversed(every):
        if low in needed or high in needed:
            needed |= {low, high}
            kept.append((low, high))
    return tuple(reversed(kept))


def running_median(values: Float32, count: int) -> Float32:
    """Median along axis 1 of (rows, n, ...) over `count` (odd) neighbours; beyond the ends the last value goes on."""
    half, n = count // 2, values.shape[1]
    wide = np.concatenate([np.repeat(values[:, :1], half, axis=1), values, np.repeat(values[:, -1:], half, axis=1)], axis=1)
    out = np.empty_like(values)
    for first in range(0, len(values), ROWS_AT_ONCE):
        some = slice(first, first + ROWS_AT_ONCE)
        places = [wide[some, k : k + n] for k in range(count)]
        for low, high in network(count):
            places[low], places[high] = np.minimum(places[low], places[high]), np.maximum(places[low], places[high])
        out[some] = places[half]
    return out
