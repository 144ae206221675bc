"""The head's front edge where face and soffit are nearly of one colour: it is where both walls' edges end."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace_lines import Line, View, across, polished, sampled, saturated
from vision.geometry.trace_marks import Between, Level, clues_of
from vision.geometry.trace_quads import Quad

Array = NDArray[np.float64]
DEEPEST_PX = 26
"""px of the small picture; a soffit seen deeper than this has a front edge of its own colour"""
LEAST_DROP = 0.35
"""0 to 1; by how much both walls' edges are clearer below the front edge than above it"""
WINDOW = 8
"""px over which the walls' edges are compared"""


def hidden_strip(view: View, quad: Quad) -> float:
    """By how much the walls' edges are clearer just above the head line than further up (0 to 1)."""
    clue = clues_of(Between(view, quad.left, quad.right, (0.0, 1.0), True), [quad.head[0].line])[0]
    return float(clue[8] - clue[4])


def with_front_edge(view: View, quad: Quad) -> Quad:
    """The candidate with its head moved up from the soffit's rear edge to where both walls' edges end."""
    rear = quad.head[0].line
    h, w = view.square.small.shape[:2]
    up = np.arange(0.0, DEEPEST_PX + WINDOW, 0.5)
    score = np.minimum(
        *(_wall_step(view, line, float(across(rear, across(line, rear.at, h), w)) - up) for line in (quad.left, quad.right))
    )
    total = np.concatenate([[0.0], np.cumsum(score)])
    n = 2 * WINDOW
    k = np.arange(5, len(up) - n)
    below = (total[k] - total[np.maximum(k - n, 0)]) / np.minimum(k, n)
    drop = below - (total[k + n] - total[k]) / n
    best = int(drop.argmax())
    if drop[best] < LEAST_DROP:
        return quad
    raised = Line(rear.at - float(up[k[best]]), rear.slope)
    left, right = (float(across(line, raised.at, h)) for line in (quad.left, quad.right))
    front = polished(view.square, raised, (left, right), upright=False, reach=2.0)
    return replace(quad, head=(Level(front, quad.head[0].odds), *quad.head[1:]))


def _wall_step(view: View, line: Line, y: Array) -> Array:
    """Steps across a wall's edge at rows y, each averaged over three rows."""
    h = view.square.small.shape[0]
    x = across(line, y, h)[:, None]
    reveal, face = np.arange(1.25, 4.1, 0.5), -np.arange(1.25, 4.1, 0.5)
    rows = np.arange(-1.0, 1.1, 0.5)

    def mean(offsets: Array) -> Array:
        xs = np.broadcast_to((x + offsets)[:, None], (len(y), len(rows), len(offsets)))
        return np.asarray(sampled(view.square, xs, np.broadcast_to((y[:, None] + rows)[..., None], xs.shape)).mean(axis=(1, 2)))

    return saturated(mean(reveal) - mean(face))
