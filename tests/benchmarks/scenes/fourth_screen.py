"""Can a fair person see it? Measured on pixels of a preview and on rays, and on nothing else."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from .fourth_base import Array

EDGE_HIDDEN, SIDE_HIDDEN = 0.25, 0.34  # shares that may stand behind things or under tape
STEP, SEEN_STEP, SEEN_SHARE = 7.0, 5.0, 0.65  # of 255: median step, and the step that counts as seen, over so much of the length
STRONG_STEP = 18.0  # where a pattern turns the step round along the way, it must be this strong
NEAR_PX, FAR_PX = 1.5, 6.0  # bands on both sides of an edge, pixels of the full picture


@dataclass(frozen=True)
class Look:
    step: float  # median step across, 0 to 255, in the channel that shows it best
    seen: float  # share of the length with a step that counts


def steps(picture: Array, lines: dict[str, Array], scale: float) -> dict[str, Look]:
    """picture (h, w, 3) 8 bit at a scale of the full size; lines in pixels of the full size."""
    soft = cv2.GaussianBlur(picture, (0, 0), 0.6).astype(np.float32)
    return {name: _look(soft, line, scale) for name, line in lines.items()}


def _look(picture: Array, line: Array, scale: float) -> Look:
    along = np.gradient(line, axis=0)
    across = np.column_stack([-along[:, 1], along[:, 0]]) / np.linalg.norm(along, axis=1)[:, None]
    sides = []
    for way in (-1, 1):
        far = np.linspace(NEAR_PX, FAR_PX, 5)
        at = (line[:, None] + way * far[None, :, None] * across[:, None] + 0.5) * scale - 0.5
        values = cv2.remap(picture, at[..., 0].astype(np.float32), at[..., 1].astype(np.float32), cv2.INTER_LINEAR)
        sides.append(values.mean(axis=1))
    step = sides[1] - sides[0]
    middle = np.median(step, axis=0)
    best = int(np.abs(middle).argmax())
    even = np.stack([np.convolve(np.pad(step[:, c], 4, mode="edge"), np.ones(9) / 9, "valid") for c in range(3)], axis=1)
    same_way = Look(float(abs(middle[best])), float((even[:, best] * np.sign(middle[best]) > SEEN_STEP).mean()))
    either_way = np.abs(even).max(axis=1)
    strong = Look(float(np.median(either_way)), float((either_way > STRONG_STEP / 2).mean()))
    return strong if strong.step > STRONG_STEP and strong.seen > same_way.seen else same_way


def faults(looks: dict[str, Look], covered: dict[str, float]) -> list[str]:
    """Why a room is drawn again; empty: it stays."""
    found = []
    for name, look in looks.items():
        if look.step < STEP or look.seen < SEEN_SHARE:
            found.append(f"{name} faint {look.step:.1f} over {look.seen:.0%}")
    for name, share in covered.items():
        if share > (SIDE_HIDDEN if name.startswith("card") else EDGE_HIDDEN):
            found.append(f"{name} hidden {share:.0%}")
    return found
