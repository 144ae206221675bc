"""Rays on either side of every edge and card side; what is hidden; whether the edges can be seen in a preview."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from .fifth_studio import Array, Picture
from .fifth_trace import Scene, landed

from studio.camera import Camera  # isort: skip

ASIDE_MM = 0.25
FLAT_MM = 0.004  # of the wall face: what lies deeper is past the edge
NEAR_MM = 0.01
FAINTEST = 7.0
EDGE_HIDDEN, CARD_HIDDEN = 0.25, 0.05


@dataclass(frozen=True)
class Proof:
    worst_mm: float  # of rays that met the right face, against the truth
    wrong: int  # rays that met the wrong side
    edges_hidden: dict[str, float]
    cards_hidden: tuple[float, ...]

    def complaint(self) -> str:
        said = [f"{name} {share:.0%} hidden" for name, share in self.edges_hidden.items() if share > EDGE_HIDDEN]
        said += [f"card {k} {share:.1%} hidden" for k, share in enumerate(self.cards_hidden, 1) if share > CARD_HIDDEN]
        return ", ".join(said)

    def words(self) -> str:
        hidden = ", ".join(f"{name} {share:.0%}" for name, share in self.edges_hidden.items() if share > 0)
        cards = ", ".join(f"card {k} {share:.1%}" for k, share in enumerate(self.cards_hidden, 1) if share > 0)
        covered = ", ".join(filter(None, (hidden, cards))) or "nothing"
        return f"rays within {self.worst_mm:.4f} mm, wrong side {self.wrong}; hidden: {covered}"


def prove(scene: Scene) -> Proof:
    worst, wrong, edges_hidden = 0.0, 0, {}
    middle = scene.plan.opening.corners.mean(axis=0)
    for name, points in scene.plan.opening.edges(101).items():
        points = points[1:-1]
        out = _outward(points, middle)
        off, bad, hidden = _both_sides(scene, points, out, 0.0, FLAT_MM)
        worst, wrong = max(worst, off), wrong + bad
        edges_hidden[name] = hidden
    cards_hidden = []
    for item in scene.hung:
        corners = item.card.outline()
        z = float(corners[0, 2])
        t = np.linspace(0.08, 0.92, 41)[:, None]
        for a, b in ((0, 1), (1, 2), (3, 2), (0, 3)):
            points = (corners[a] + t * (corners[b] - corners[a]))[:, :2]
            inward = -_outward(points, corners[:, :2].mean(axis=0))
            off, bad, _ = _both_sides(scene, points, inward, z, 0.03)
            worst, wrong = max(worst, off), wrong + bad
        cards_hidden.append(_card_hidden(scene, corners))
    return Proof(worst, wrong, edges_hidden, tuple(cards_hidden))


def _outward(points: Array, middle: Array) -> Array:
    """Unit normals (n, 2) of a polyline, away from a point."""
    along = np.gradient(points, axis=0)
    normal = np.stack([-along[:, 1], along[:, 0]], 1) / np.linalg.norm(along, axis=1)[:, None]
    outward: Array = normal * np.sign(((points - middle) * normal).sum(axis=1))[:, None]
    return outward


def _both_sides(scene: Scene, points: Array, onto: Array, z: float, deeper_mm: float) -> tuple[float, int, float]:
    """Points a quarter of a millimetre towards the flat must meet it at z, those away from it must meet what lies deeper.

    Returns the worst distance on the flat, how many went wrong, and the share covered by something in front."""
    on, off = (np.column_stack([points + way * ASIDE_MM * onto, np.full(len(points), z)]) for way in (1, -1))
    hit_on, hit_off = landed(scene, on), landed(scene, off)
    eye = scene.camera.position_mm
    nearer = np.linalg.norm(hit_on - eye, axis=1) < np.linalg.norm(on - eye, axis=1) - 0.05
    nearer_off = np.linalg.norm(hit_off - eye, axis=1) < np.linalg.norm(off - eye, axis=1) - 0.02
    distance = np.linalg.norm(hit_on - on, axis=1)
    missed = ~nearer & (distance > NEAR_MM)
    still_flat = ~nearer_off & (hit_off[:, 2] > z - deeper_mm)
    good = distance[~nearer & ~missed]
    return float(good.max(initial=0.0)), int(missed.sum() + still_flat.sum()), float((nearer | nearer_off).mean())


def _card_hidden(scene: Scene, corners: Array) -> float:
    s, t = np.meshgrid(np.linspace(0.02, 0.98, 61), np.linspace(0.02, 0.98, 61))
    s, t = s.reshape(-1, 1), t.reshape(-1, 1)
    points = corners[0] + s * (corners[1] - corners[0]) + t * (corners[3] - corners[0])
    hit = landed(scene, points)
    return float((hit[:, 2] > corners[0, 2] + 0.03).mean())


def faint(scene: Scene, seen: Camera, upright: Picture) -> dict[str, float]:
    """Median step (of 255, the channel that shows it best) across every edge and card side of a preview."""
    found = {}
    for name, points in scene.plan.opening.edges(61).items():
        found[name] = _step(upright, seen.project(np.column_stack([points[2:-2], np.zeros(57)])))
    for number, item in enumerate(scene.hung, 1):
        corners = item.card.outline()
        t = np.linspace(0.1, 0.9, 41)[:, None]
        for name, a, b in (("bottom", 0, 1), ("right", 1, 2), ("top", 3, 2), ("left", 0, 3)):
            found[f"card {number} {name}"] = _step(upright, seen.project(corners[a] + t * (corners[b] - corners[a])))
    return found


def _step(upright: Picture, line: Array) -> float:
    """Means of five neighbours along the line at 0.8 and 2 pixels on either side, the larger of the two median steps."""
    along = np.gradient(line, axis=0)
    normal = np.stack([-along[:, 1], along[:, 0]], 1) / np.linalg.norm(along, axis=1)[:, None]
    best = 0.0
    for far in (0.8, 1.4, 2.4):
        sides = [_sampled(upright, line + way * far * normal) for way in (-1, 1)]
        step = cv2.blur((sides[1] - sides[0]).reshape(-1, 1, 3), (1, 5)).reshape(-1, 3)
        best = max(best, float(np.median(np.abs(step), axis=0).max()))
    return best


def _sampled(picture: Picture, px: Array) -> Picture:
    maps = (px[:, 0].astype(np.float32)[:, None], px[:, 1].astype(np.float32)[:, None])
    return np.asarray(cv2.remap(picture, *maps, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)[:, 0], np.float32)
