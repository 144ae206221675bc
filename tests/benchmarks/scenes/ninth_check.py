"""Does the renderer agree with the truth? Rays through the truth's points, and what stands before them."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from sample_images.studio.camera import Camera
from sample_images.studio.trace import where_pixels_land

from .ninth_plan import Plan
from .ninth_truth import SIDES

MARGIN_PX = 30.0
HIDDEN_EDGE, HIDDEN_CARD = 0.05, 0.25
INWARD_MM, OUTWARD_MM = 1.2, 0.8


@dataclass
class Verdict:
    """Why a room is dropped, and the words for the record."""

    faults: list[str] = field(default_factory=list)
    worst_mm: float = 0.0
    wrong: int = 0
    rays: int = 0
    hidden: list[str] = field(default_factory=list)

    def words(self) -> str:
        hidden = ", ".join(self.hidden) or "nothing"
        return f"{self.rays} rays, {self.wrong} on the wrong side, worst {self.worst_mm:.4f} mm; hidden: {hidden}"


def in_picture(plan: Plan) -> list[str]:
    """Corners and references that lie too near the picture's border."""
    camera = plan.camera
    corners = np.column_stack([plan.opening.corners, np.zeros(4)])
    parts = {"opening": corners} | {f"card {k}": card.corners() for k, card in enumerate(plan.references, 1)}
    limit = np.array([camera.width, camera.height]) - MARGIN_PX
    found = []
    for name, points in parts.items():
        px = camera.project(points)
        if (px < MARGIN_PX).any() or (px > limit).any():
            found.append(f"{name} outside the picture")
    return found


def check(plan: Plan, scene: object) -> Verdict:
    """All rays at once for the opening, then card by card."""
    verdict = Verdict(faults=in_picture(plan))
    _opening(plan, scene, verdict)
    for number, card in enumerate(plan.references, 1):
        t = np.linspace(0.01, 0.99, 41)
        hidden_px = []
        for side in SIDES:
            inside = card.front(*_inset(side, t, card.size_mm, 0.5))
            landed = _land(plan, scene, inside)
            off = landed[:, 2] - inside[:, 2]
            rounded = _near_rounding(t, side, card)
            covered = (off > 0.03) & ~rounded
            free = ~covered & ~rounded
            verdict.rays += len(t)
            verdict.wrong += int((off[free] < -0.03).sum())
            verdict.worst_mm = max(verdict.worst_mm, float(np.abs(landed - inside)[free].max(initial=0.0)))
            if covered.any():
                verdict.hidden.append(f"card {number} {side} {covered.mean():.0%}")
            if covered.mean() > HIDDEN_CARD:
                verdict.faults.append(f"card {number} {side} hidden {covered.mean():.0%}")
            outside = card.front(*_inset(side, t, card.size_mm, -0.8))
            beyond = _land(plan, scene, outside)[:, 2] - outside[:, 2]
            verdict.rays += len(t)
            verdict.wrong += int(((np.abs(beyond) < 0.01) & ~covered).sum())
            hidden_px.append(covered)
    if verdict.wrong > 2:  # a ray can slip between two triangles
        verdict.faults.append(f"{verdict.wrong} rays on the wrong side")
    return verdict


def _near_rounding(t: np.ndarray, side: str, card: object) -> np.ndarray:
    length = card.size_mm[0 if side in ("bottom", "top") else 1]  # type: ignore[attr-defined]
    return np.minimum(t, 1 - t) * length < card.radius_mm + 0.6  # type: ignore[attr-defined]


def _inset(side: str, t: np.ndarray, size: tuple[float, float], by_mm: float) -> tuple[np.ndarray, np.ndarray]:
    a, b = by_mm / size[0], by_mm / size[1]
    full = np.ones_like(t)
    return {"bottom": (t, b * full), "right": ((1 - a) * full, t), "top": (t, (1 - b) * full), "left": (a * full, t)}[side]


def _land(plan: Plan, scene: object, points: np.ndarray) -> np.ndarray:
    camera: Camera = plan.camera
    return where_pixels_land(scene, camera, camera.project(points))  # type: ignore[arg-type]


def _opening(plan: Plan, scene: object, verdict: Verdict) -> None:
    """Just outside the edges lies the face or the trim, just inside nothing of the plane."""
    e = plan.edge
    for name, points in plan.opening.edges(58).items():
        radius = plan.curb_radius if name == "curb" and not plan.four_sided else e.radius
        way = {"left": (-1, 0), "right": (1, 0), "head": (0, 1), "curb": (0, -1)}[name]
        outer = points + np.array(way) * (radius + OUTWARD_MM)
        inner = points - np.array(way) * (INWARD_MM + 0.45 * radius)
        keep = slice(2, -2)
        out, into = (_land(plan, scene, np.column_stack([p[keep], np.zeros(len(p[keep]))])) for p in (outer, inner))
        covered = np.maximum(out[:, 2], into[:, 2]) > e.proud + 0.6 + (0.0 if e.kind != "cased" else e.board[2])
        free = ~covered
        verdict.rays += 2 * len(covered)
        proud = 0.0 if name == "curb" and not plan.four_sided else e.proud
        depth = np.abs(out[free][:, 2] - proud)
        verdict.wrong += int((depth > 0.02 + 0.25 * radius).sum()) + int((into[free][:, 2] > -0.4).sum())
        verdict.worst_mm = max(verdict.worst_mm, float(np.abs(out[free][:, 2] - proud).max(initial=0.0)) if radius == 0 else 0.0)
        if covered.any():
            verdict.hidden.append(f"{name} {covered.mean():.0%}")
        if covered.mean() > HIDDEN_EDGE or (name != "curb" and covered[[0, 1, -2, -1]].any()) or covered[[0, -1]].any():
            verdict.faults.append(f"{name} hidden {covered.mean():.0%}")
