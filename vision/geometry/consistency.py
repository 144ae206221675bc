"""Which cards carry the scale, do they agree with each other, and is the other tilt of a small card as good?"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve

from vision.errors import CannotMeasure
from vision.geometry.adjustment import HUBER, Solution
from vision.geometry.assemble import Assembly, without_camera_motion
from vision.geometry.camera import Camera
from vision.geometry.model import BL, BR, CL, CR, H0, SH, W0, State
from vision.geometry.seen import SeenCard, SeenPhoto, opening_width_by
from vision.geometry.start import PlaneView, mirrored

Array = NDArray[np.float64]
FAR_OFF = 0.08
"""relative; a scale this far from the others is not a card's in the same plane (first views are good to a percent or two)"""
ODD_CARD = 4.5
"""standard deviations of a card's own scale against all the rest; about one in 150 000 by chance"""
ODD_SIDE = 3.5
"""standard deviations of one side of a card against all the rest, beyond which its own doubt is taken to be as large"""
MOST_ODD_SIDES = 6
"""sides; where more than so many contradict the rest, something else is wrong"""
TILT_MARGIN = 12.0
"""difference of cost under which two tilts cannot be told apart"""
HOPELESS = 40
"""margins; a tilt that is worse by as much, and gains under one in a step, does not come back in the steps that are left"""
SPREAD_SHARE = 0.35
"""cards nearer together than this share of the opening leave the tilt to their own shape"""
SAME_SIZE = 0.01
"""relative; two tilts that give the same sizes to this are one"""


def choose_cards(photos: Sequence[SeenPhoto]) -> tuple[list[SeenPhoto], bool]:
    """The photos with the cards that carry the scale marked; True where only cards of unknown plane are left.

    Raises CannotMeasure: card-missing, cards-disagree.
    """
    cards = [c for p in photos for c in p.used]
    if not cards:
        raise CannotMeasure(
            "cards",
            "card-missing",
            found=f"{photos[0].look.name}: no reference card",
            needed="a flat card or sheet of known size in the opening's plane",
            remedy="tape a sheet or a bank-size blank flat beside the opening, or mark the card's corners",
        )
    unknown = {c.number for c in cards if c.plane_unknown}
    floating = {c.number for c in cards if c.floats}
    if len(unknown | floating) < len(cards):  # beside a card on the wall, what floats in the opening is something else
        unknown |= floating
    refused = len(unknown) == len(cards)
    kept = list(photos) if refused else [p.leaving_out(unknown) for p in photos]
    return [p.leaving_out(_wild_cards(kept)) for p in kept], refused


def _wild_cards(photos: Sequence[SeenPhoto]) -> set[int]:
    """Cards whose implied scale is far from that of most others: a picture frame is no card."""
    implied = [(c, opening_width_by(c, p)) for p in photos for c in p.used]
    widths = np.array([w for _, w in implied])

    def support(i: int) -> tuple[bool, int]:
        return implied[i][0].look.candidate.stated, int(np.sum(np.abs(widths / widths[i] - 1) < FAR_OFF))

    best = max(range(len(implied)), key=support)
    far = [i for i in range(len(implied)) if abs(widths[i] / widths[best] - 1) >= FAR_OFF]
    if any(support(i) == support(best) for i in far):
        numbers = " and ".join(str(c.number) for c, _ in implied)
        raise CannotMeasure(
            "cards",
            "cards-disagree",
            found=f"cards {numbers} that make the opening {widths.min():.0f} and {widths.max():.0f} mm wide",
            needed="cards that agree on the scale",
            remedy="look at the numbers in the picture; state the kinds with --card, or mark the true cards' corners",
        )
    return {implied[i][0].number for i in far}


def card_scale_scores(solution: Solution, assembly: Assembly) -> Array:
    """For each card how many sd its own scale is off against all other evidence (w-test on a scale of that card's edges)."""
    J, r = solution.J, _weighted_residuals(solution)
    scale = 1 / np.sqrt(np.sum(J**2, axis=0))
    Js = J * scale
    N = cho_factor(Js.T @ Js)
    scores = np.zeros(len(assembly.nominal.cards))
    for k, card in enumerate(assembly.nominal.cards):
        g = np.zeros(len(r))
        at = solution.layout.sizes[card.size_group].start
        for observation, rows in zip(assembly.observations, solution.rows_by_edge, strict=True):
            if observation.edge[:2] == ("card", k):
                g[rows] = J[rows, at] * card.kind.width_mm + J[rows, at + 1] * card.kind.height_mm
        projected = g - Js @ cho_solve(N, Js.T @ g)
        norm = float(projected @ projected)
        scores[k] = float(projected @ r) / np.sqrt(norm) if norm > 1e-12 else 0.0
    return scores


def _weighted_residuals(solution: Solution) -> Array:
    """Residuals times the robust weights' square root, as the Jacobian's rows are."""
    r = solution.residuals.copy()
    points = _points(solution)
    size = np.abs(r[:points])
    r[:points] *= np.sqrt(np.where(size > HUBER, HUBER / np.maximum(size, 1e-12), 1.0))
    return r


def _points(solution: Solution) -> int:
    return solution.rows_by_edge[-1].stop if solution.rows_by_edge else 0


def exclude_odd_cards(
    photos: Sequence[SeenPhoto], assembly: Assembly, solution: Solution, again: Callable[[Sequence[SeenPhoto]], Assembly]
) -> tuple[list[SeenPhoto], Assembly, Solution]:
    """Leave out the card that contradicts at least two others; two that contradict each other are refused (cards-disagree)."""
    kept = list(photos)
    while True:
        scores = np.abs(card_scale_scores(solution, assembly))
        if len(scores) < 2 or scores.max() < ODD_CARD:
            return kept, assembly, solution
        if len(scores) == 2:
            numbers = " and ".join(str(c.number) for p in kept for c in p.used)
            raise CannotMeasure(
                "adjustment",
                "cards-disagree",
                found=f"cards {numbers} that contradict each other ({scores.max():.1f} sd in scale)",
                needed="cards that agree",
                remedy="check kinds, measured lengths and that both lie flat in the opening's plane",
            )
        worst = int(np.argmax(scores))
        kept = [p.leaving_out({n for n, k in assembly.models.items() if k == worst}) for p in kept]
        assembly = again(kept)
        solution = assembly.problem.solve(assembly.start, assembly.camera_priors)


def side_scores(solution: Solution, assembly: Assembly) -> dict[int, tuple[float, float]]:
    """For each observed side of a card, by its observation's number: its shift (px) against all other evidence, in sd too."""
    first = _points(solution)
    priors = solution.J[first:]
    N = cho_factor(solution.J.T @ solution.J + 1e-12 * np.diag(np.diag(solution.J.T @ solution.J)))
    out = {}
    for i, observation in enumerate(assembly.observations):
        if observation.edge[0] != "card":
            continue
        at = solution.layout.nuisance[i].start
        g = np.zeros(len(solution.J))
        g[first:] = priors[:, at] + priors[:, at + 1]
        through = solution.J.T @ g
        information = float(g @ g - through @ cho_solve(N, through))
        if information > 1e-9:
            pull = float(g @ solution.residuals)
            out[i] = pull / information, pull / np.sqrt(information)
    return out


def loosen_odd_sides(
    photos: Sequence[SeenPhoto], assembly: Assembly, solution: Solution, again: Callable[[Sequence[SeenPhoto]], Assembly]
) -> tuple[list[SeenPhoto], Assembly, Solution]:
    """Where one side of a card contradicts all the rest (a shadow's border taken for the card's), its doubt grows to match."""
    kept = list(photos)
    for _ in range(MOST_ODD_SIDES):
        scores = side_scores(solution, assembly)
        if not scores:
            break
        worst = max(scores, key=lambda i: abs(scores[i][1]))
        shift, score = scores[worst]
        if abs(score) < ODD_SIDE:
            break
        kept = _loosened(kept, assembly, worst, abs(shift))
        assembly = again(kept)
        solution = assembly.problem.solve(assembly.start, assembly.camera_priors)
    return kept, assembly, solution


def _loosened(photos: Sequence[SeenPhoto], assembly: Assembly, number: int, shift_px: float) -> list[SeenPhoto]:
    """The photos with the bias of one observed side of a card widened by a shift."""
    (_, model, side), photo = assembly.observations[number].edge, assembly.observations[number].photo
    out = list(photos)
    cards = []
    for card in out[photo].cards:
        points = card.sides[side]
        if card.used and assembly.models.get(card.number) == model and points is not None:
            wider = replace(points, bias_sd_px=float(np.hypot(points.bias_sd_px, shift_px)))
            card = replace(card, sides=tuple(wider if k == side else s for k, s in enumerate(card.sides)))
        cards.append(card)
    out[photo] = replace(out[photo], cards=tuple(cards))
    return out


def require_one_tilt(photos: Sequence[SeenPhoto], assembly: Assembly, solution: Solution) -> None:
    """Try the mirrored tilt where the cards are close together; CannotMeasure (tilt-two-ways) where the cost cannot decide."""
    if len(photos) != 1:
        return
    used = photos[0].used
    centres = np.array([c.corners_px.mean(axis=0) for c in used])
    size = float(np.abs(photos[0].corners_px[2] - photos[0].corners_px[0]).max())
    if float(np.ptp(centres, axis=0).max()) > SPREAD_SHARE * size:
        return
    start = _mirrored_start(solution.state, photos[0], assembly)
    if start is None:
        return
    try:
        other = assembly.problem.solve(start, assembly.camera_priors, settled=TILT_MARGIN)
        if other.cost > solution.cost + HOPELESS * TILT_MARGIN:
            return
        other = assembly.problem.solve(other.state, assembly.camera_priors)
    except (CannotMeasure, np.linalg.LinAlgError):
        return
    here, there = solution.state.opening, other.state.opening
    if abs(here[W0] / there[W0] - 1) < SAME_SIZE and abs(here[H0] / there[H0] - 1) < SAME_SIZE:
        return
    if other.cost < solution.cost + TILT_MARGIN:
        raise CannotMeasure(
            "adjustment",
            "tilt-two-ways",
            found=f"two tilts of the wall that fit the card alike, making the opening {here[W0]:.0f} or {there[W0]:.0f} mm wide",
            needed="references far enough apart to tell them apart",
            remedy="put a second card at the opposite corner, or a larger sheet, and take the photo again",
        )


def _mirrored_start(state: State, photo: SeenPhoto, assembly: Assembly) -> State | None:
    """The state with the plane's normal mirrored at the ray through the cards; everything else follows from the rays."""
    used: tuple[SeenCard, ...] = photo.used
    pixel = np.mean([c.corners_px.mean(axis=0) for c in used], axis=0)
    camera = state.cameras[0]
    view = PlaneView(camera.R, camera.t, without_camera_motion(camera))
    rays = view.camera.rays(np.vstack([photo.corners_px, pixel[None], *[c.corners_px for c in used]]))
    anchor = rays[4] * ((view.R[:, 2] @ view.origin) / (rays[4] @ view.R[:, 2]))
    normal = mirrored(view, pixel).R[:, 2]
    depth = (normal @ anchor) / (rays @ normal)
    if np.any(depth <= 0) or np.any(depth > 8 * anchor[2]):
        return None
    points = rays * depth[:, None]
    across = (points[1] - points[0]) / np.linalg.norm(points[1] - points[0])
    R = np.column_stack([across, np.cross(normal, across), normal])
    plane = (points - points[0]) @ R[:, :2]
    _, br, tr, tl = plane[:4]
    if min(br[0], tl[1], tr[1]) <= 0:
        return None
    opening = state.opening.copy()
    opening[[W0, BL, CL, BR, CR]] = br[0], tl[0] / tl[1], 0.0, (tr[0] - br[0]) / tr[1], 0.0
    if assembly.nominal.has_head:
        slope = (tr[1] - tl[1]) / (tr[0] - tl[0])
        opening[[H0, SH]] = tl[1] - slope * tl[0], slope
    cards = state.cards.copy()
    for k, card in enumerate(used):
        at = plane[5 + 4 * k : 9 + 4 * k]
        d = (at[1] + at[2] - at[0] - at[3]) / 2
        cards[assembly.models[card.number], :3] = [*at.mean(axis=0), np.arctan2(d[1], d[0])]
    turned = Camera(R, points[0], camera.f, camera.cx, camera.cy, camera.k1, camera.k2)
    return replace(state, cameras=(turned,), opening=opening, cards=cards, nuisance=np.zeros_like(state.nuisance), foot={})
