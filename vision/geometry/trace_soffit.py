"""The head's front edge where face and soffit are nearly of one colour: it is where both walls' edges end."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.geometry.trace_lines import Line, View, across, polished, sampled, saturated
from vision.geometry.trace_marks import Between, Level, clues_of, hidden_by

Array = NDArray[np.float64]
DEEPEST_PX = 26
"""px of the small picture; a soffit seen deeper than this has a front edge of its own colour"""
NARROWEST_PX = 3.5
"""px; walls' edges that go on for less end at the line itself. On 56 rooms a true head line was raised by 2.5 px at most"""
LEAST_DROP = 0.35
"""0 to 1; by how much both walls' edges are clearer below the front edge than above it"""
WINDOW = 8
"""px over which the walls' edges are compared"""


def with_front_edge(between: Between, rear: Level) -> Level:
    """The head line moved up from the soffit's rear edge to where both walls' edges end, or as it was."""
    view = between.view
    h, w = view.square.small.shape[:2]
    up = np.arange(0.0, DEEPEST_PX + WINDOW, 0.5)
    walls = (between.left, between.right)
    score = np.minimum(
        *(wall_step(view, line, float(across(rear.line, across(line, rear.line.at, h), w)) - up) for line in walls)
    )
    total = np.concatenate([[0.0], np.cumsum(score)])
    n = 2 * WINDOW
    k = np.arange(5, len(up) - n)
    below = (total[k] - total[np.maximum(k - n, 0)]) / np.minimum(k, n)
    drop = below - (total[k + n] - total[k]) / n
    best = int(drop.argmax())
    if drop[best] < LEAST_DROP or up[k[best]] < NARROWEST_PX:
        return rear
    raised = Line(rear.line.at - float(up[k[best]]), rear.line.slope)
    left, right = (float(across(line, raised.at, h)) for line in walls)
    front = polished(view.square, raised, (left, right), upright=False, reach=2.0)
    return Level(front, rear.odds, float(hidden_by(clues_of(between.ending([front])))[0]))


def wall_step(view: View, line: Line, y: Array) -> Array:
    """Steps across a wall's edge at rows y, each averaged over three rows."""
    h = view.square.small.shape[0]
    x = across(line, y, h)
    reveal, face = np.arange(1.25, 4.1, 0.5), -np.arange(1.25, 4.1, 0.5)
    rows = y + np.arange(-1.0, 1.1, 0.5)[:, None, None]

    def mean(offsets: Array) -> Array:
        xs = x + offsets[:, None]
        shape = (len(rows), *xs.shape)
        return np.asarray(sampled(view.square, np.broadcast_to(xs, shape), np.broadcast_to(rows, shape)).mean(axis=(0, 1)))

    return saturated(mean(reveal) - mean(face))
