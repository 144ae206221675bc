"""Do the cards agree with each other, and is the other tilt of a small card as good? Asked after the adjustment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from vision.errors import CannotMeasure, Finding
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly, Demands, SeenPhoto, assemble
from vision.geometry.camera import Camera
from vision.geometry.model import State
from vision.geometry.start import PlaneView, mirrored
from vision.settings import Settings

Array = NDArray[np.float64]
ODD_CARD = 4.5
"""standard deviations of a card's own scale against all the rest; about one in 150 000 by chance"""
TILT_MARGIN = 12.0
"""difference of cost under which two tilts cannot be told apart"""
SPREAD_SHARE = 0.35
"""cards nearer together than this share of the opening leave the tilt to their own shape"""


def card_scale_scores(solution: Solution, assembly: Assembly) -> Array:
    """For each card how many sd its own scale is off against all other evidence (w-test on a scale of that card's edges)."""
    J, r = solution.J, _weighted_residuals(solution)
    scale = 1 / np.sqrt(np.sum(J**2, axis=0))
    Js = J * scale
    N = Js.T @ Js
    scores = np.zeros(len(assembly.nominal.cards))
    for k, card in enumerate(assembly.nominal.cards):
        g = np.zeros(len(r))
        at = solution.layout.sizes[card.size_group].start
        for observation, rows in zip(assembly.observations, solution.rows_by_edge, strict=True):
            if observation.edge[0] == "card" and observation.edge[1] == k:
                g[rows] = J[rows, at] * card.kind.width_mm + J[rows, at + 1] * card.kind.height_mm
        projected = g - Js @ np.linalg.solve(N, Js.T @ g)
        norm = float(projected @ projected)
        scores[k] = float(projected @ r) / np.sqrt(norm) if norm > 1e-12 else 0.0
    return scores


def _weighted_residuals(solution: Solution) -> Array:
    """Residuals times the robust weights' square root, as the Jacobian's rows are."""
    r = solution.residuals.copy()
    points = solution.rows_by_edge[-1].stop if solution.rows_by_edge else 0
    size = np.abs(r[:points])
    r[:points] *= np.sqrt(np.where(size > 2.5, 2.5 / np.maximum(size, 1e-12), 1.0))
    return r


def exclude_odd_cards(
    photos: Sequence[SeenPhoto], assembly: Assembly, solution: Solution, demands: Demands, settings: Settings
) -> tuple[list[SeenPhoto], Assembly, Solution, list[Finding]]:
    """Leave out the card that contradicts at least two others; two cards that contradict each other are refused."""
    kept = list(photos)
    while True:
        scores = np.abs(card_scale_scores(solution, assembly))
        if len(scores) < 2 or scores.max() < ODD_CARD:
            return kept, assembly, solution, []
        if len(scores) == 2:
            numbers = " and ".join(str(c.number) for p in kept for c in p.cards if c.used)
            raise CannotMeasure(
                "adjustment", "cards-disagree", found=f"cards {numbers} that contradict each other ({scores.max():.1f} sd in scale)",
                needed="cards that agree", remedy="check kinds, measured lengths and that both lie flat in the opening's plane",
            )  # fmt: skip
        worst = int(np.argmax(scores))
        for photo in kept:
            for card in photo.cards:
                if card.used and card.model == worst:
                    card.used, card.why = False, "cards-disagree"
        assembly = assemble(kept, demands, settings, priors=assembly.camera_priors)
        solution = assembly.problem.solve(assembly.start, assembly.camera_priors)


def other_tilt(photos: Sequence[SeenPhoto], assembly: Assembly, solution: Solution) -> None:
    """Try the mirrored tilt where the cards are close together; CannotMeasure (tilt-two-ways) where the cost cannot decide."""
    used = [c for c in photos[0].cards if c.used]
    if len(photos) != 1 or not used:
        return
    centres = np.array([c.corners_px.mean(axis=0) for c in used])
    size = float(np.abs(photos[0].corners_px[2] - photos[0].corners_px[0]).max())
    if float(np.ptp(centres, axis=0).max()) > SPREAD_SHARE * size:
        return
    start = _mirrored_start(solution.state, photos[0], centres.mean(axis=0))
    if start is None:
        return
    other = assembly.problem.solve(start, assembly.camera_priors)
    here, there = solution.state.opening, other.state.opening
    if abs(here[0] / there[0] - 1) < 0.01 and abs(here[5] / there[5] - 1) < 0.01:
        return
    if other.cost < solution.cost + TILT_MARGIN:
        raise CannotMeasure(
            "adjustment", "tilt-two-ways", found=f"two tilts of the wall that fit the card alike, making the opening {here[0]:.0f} or {there[0]:.0f} mm wide",
            needed="references far enough apart to tell them apart", remedy="put a second card at the opposite corner, or a larger sheet, and take the photo again",
        )  # fmt: skip


def _mirrored_start(state: State, photo: SeenPhoto, pixel: Array) -> State | None:
    """The state with the plane's normal mirrored at the ray through the cards; sizes follow from the rays."""
    camera = state.cameras[0]
    view = PlaneView(camera.R, camera.t, Camera(np.eye(3), np.zeros(3), camera.f, camera.cx, camera.cy, camera.k1, camera.k2))
    rays = view.camera.rays(np.vstack([photo.corners_px, pixel[None], *[c.corners_px for c in photo.cards if c.used]]))
    anchor_depth = (view.R[:, 2] @ view.origin) / (rays[4] @ view.R[:, 2])
    anchor = rays[4] * anchor_depth
    flipped = mirrored(view, pixel)
    normal = flipped.R[:, 2]
    depth = (normal @ anchor) / (rays @ normal)
    if np.any(depth <= 0) or np.any(depth > 8 * anchor_depth):
        return None
    points = rays * depth[:, None]
    across, up = points[1] - points[0], points[3] - points[0]
    x = across / np.linalg.norm(across)
    y = np.cross(normal, x)
    R = np.column_stack([x, y, normal])
    plane = (points - points[0]) @ R[:, :2]
    del up
    bl, br, tr, tl = plane[:4]
    if min(br[0], tl[1], tr[1]) <= 0:
        return None
    opening = state.opening.copy()
    opening[[0, 1, 3]] = br[0], tl[0] / tl[1], (tr[0] - br[0]) / tr[1]
    opening[[2, 4]] = 0.0
    slope = (tr[1] - tl[1]) / (tr[0] - tl[0])
    if opening[5] != 0:
        opening[[5, 6]] = tl[1] - slope * tl[0], slope
    cards = state.cards.copy()
    used = [c for c in photo.cards if c.used]
    for k, card in enumerate(used):
        at = plane[5 + 4 * k : 9 + 4 * k]
        d = (at[1] + at[2] - at[0] - at[3]) / 2
        cards[card.model, :3] = [*at.mean(axis=0), np.arctan2(d[1], d[0])]
    turned = Camera(R, points[0], camera.f, camera.cx, camera.cy, camera.k1, camera.k2)
    return replace(state, cameras=(turned,), opening=opening, cards=cards, nuisance=np.zeros_like(state.nuisance), foot={})
