"""Which cards carry the scale, do they agree with each other, and is the other tilt of a small card as good?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve

from vision.errors import CannotMeasure, Finding
from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly, without_camera_motion
from vision.geometry.camera import Camera
from vision.geometry.model import BL, BR, CL, CR, H0, SH, W0, State
from vision.geometry.seen import SeenCard, SeenPhoto, opening_width_by
from vision.geometry.shapes import is_sheet
from vision.geometry.start import PlaneView, mirrored
from vision.geometry.tidiness import untidiness

Array = NDArray[np.float64]
FAR_OFF = 0.08
"""relative; a scale this far from the others is not a card's in the same plane (first views are good to a percent or two)"""
TILT_MARGIN = 12.0
"""difference of cost under which two tilts cannot be told apart"""
HOPELESS = 40
"""margins; a tilt that is worse by as much, and gains under one in a step, does not come back in the steps that are left"""
MOST_ROUNDS, STILL_FALLING = 4, 0.1
"""adjustments from the mirrored tilt, one after the other, while the cost falls: a slow one is on its way to the first tilt"""
SPREAD_SHARE = 0.35
"""cards nearer together than this share of the opening leave the tilt to their own shape"""
PLANE_UNKNOWN = "it is seen inside the opening, and how far behind its plane is not stated"
TIDY, TIDIER = 0.25, 3.0
"""of the step: how uneven a card is at most that is believed against another one; and how many times less tidy that must be"""
SAME_SIZE, SAME_SD = 0.01, 0.5
"""relative, and in stated standard deviations; two tilts that give the same sizes to this are one"""


def choose_cards(photos: Sequence[SeenPhoto]) -> tuple[list[SeenPhoto], bool, list[Finding]]:
    """The photos with the cards that carry the scale marked; True where only cards of unknown plane are left; and what to say.

    Raises CannotMeasure: card-missing, cards-disagree.
    """
    cards = [c for p in photos for c in p.used]
    if not cards:
        raise CannotMeasure(
            "cards",
            "card-missing",
            found=f"{photos[0].look.name}: no reference card",
            needed="a flat card or sheet of known size in the opening's plane",
            remedy="tape a sheet or a bank-size blank flat beside the opening; if one is there, mark its corners with "
            "card-corners",
        )
    unknown = {c.number: PLANE_UNKNOWN for c in cards if c.plane_unknown}
    floating = {c.number: "it is seen inside the opening, where nothing lies in its plane" for c in cards if c.floats}
    if len(unknown | floating) < len(cards):  # beside a card on the wall, what floats in the opening is something else
        unknown |= floating
    refused = len(unknown) == len(cards)
    kept = list(photos) if refused else [p.leaving_out(unknown) for p in photos]
    wild, found = _wild_cards(kept)
    return [p.leaving_out(wild) for p in kept], refused, found


def _wild_cards(photos: Sequence[SeenPhoto]) -> tuple[dict[int, str], list[Finding]]:
    """Cards whose implied scale is far from that of most others, and by how much: a picture frame is no card.

    Of two that contradict each other the one that alone looks like a card is taken, and a finding holds.
    """
    implied = [(c, opening_width_by(c, p)) for p in photos for c in p.used]
    widths = np.array([w for _, w in implied])
    tells = np.array([not c.look.by_scale for c, _ in implied])  # what was chosen by a scale does not speak for it

    def support(i: int) -> tuple[bool, int]:
        return implied[i][0].look.candidate.stated, int(np.sum(tells & (np.abs(widths / widths[i] - 1) < FAR_OFF)))

    best = max(range(len(implied)), key=support)
    far = [i for i in range(len(implied)) if abs(widths[i] / widths[best] - 1) >= FAR_OFF]
    found: list[Finding] = []
    if any(support(i) == support(best) for i in far):
        chosen = _tidiest([c for c, _ in implied])
        if chosen is None:
            numbers = " and ".join(str(c.number) for c, _ in implied)
            raise CannotMeasure(
                "cards",
                "cards-disagree",
                found=f"cards {numbers} that make the opening {widths.min():.0f} and {widths.max():.0f} mm wide",
                needed="cards that agree on the scale",
                remedy="look at the numbers in the picture; state the kinds with --card, or mark the true cards' corners with "
                "card-corners",
            )
        best = chosen
        far = [i for i in range(len(implied)) if abs(widths[i] / widths[best] - 1) >= FAR_OFF]
        found = [_taken(implied[best], [implied[i] for i in far])]
    said = "by it the opening would be {:.0f} mm wide, by {} {:.0f}: another size, off the wall, or no card"
    who = f"card {implied[best][0].number}" if found else "most others"
    return {implied[i][0].number: said.format(widths[i], who, widths[best]) for i in far}, found


def _tidiest(cards: Sequence[SeenCard]) -> int | None:
    """Which of these alone looks like a card, None where it is not plain: paper is lighter than the wall."""
    lighter = [
        not is_sheet(card.spec.kind) or np.median([s.step[0] for s in card.sides if s is not None] or [0.0]) > 0 for card in cards
    ]
    rank = [untidiness(card.look, card.corners_px) for card in cards]
    best = min(range(len(cards)), key=lambda i: rank[i])
    others = [r for i, r in enumerate(rank) if i != best]
    plain = lighter[best] and rank[best] < TIDY and all(r > TIDIER * rank[best] for r in others)
    return best if plain else None


def _taken(best: tuple[SeenCard, float], others: Sequence[tuple[SeenCard, float]]) -> Finding:
    """What is said of the choice; each card with the width (mm) of the opening that it implies."""
    number, width = best[0].number, best[1]
    would = " and ".join(f"by card {c.number} it would be about {w:.0f} mm" for c, w in others)
    return Finding(
        "cards-disagree",
        f"By card {number} the opening is about {width:.0f} mm wide, {would}; card {number} was taken, "
        "which alone is as even along its border as a card, before one wall.",
        "Look at the numbers in the picture: if another one is the card, mark its corners (card-corners).",
    )


def _points(solution: Solution) -> int:
    return solution.rows_by_edge[-1].stop if solution.rows_by_edge else 0


def side_scores(solution: Solution, assembly: Assembly) -> dict[int, tuple[float, float]]:
    """For each observed side of a card, by its observation's number: its shift (px) against all other evidence, in sd too.

    Of the whole side or of either end alone, whichever is odder: a joint that goes on from a side leads it astray at one end.
    """
    first = _points(solution)
    priors = solution.J[first:]
    N = cho_factor(solution.J.T @ solution.J + 1e-12 * np.diag(np.diag(solution.J.T @ solution.J)))
    out = {}
    for i, observation in enumerate(assembly.observations):
        if observation.edge[0] != "card":
            continue
        at = solution.layout.nuisance[i].start
        g = np.zeros((len(solution.J), 3))
        g[first:] = np.stack([priors[:, at] + priors[:, at + 1], priors[:, at], priors[:, at + 1]], axis=1)
        through = solution.J.T @ g
        information = np.sum(g * g, axis=0) - np.sum(through * cho_solve(N, through), axis=0)
        pull = solution.residuals @ g
        scores = np.where(information > 1e-9, pull / np.sqrt(np.maximum(information, 1e-9)), 0.0)
        if np.any(information > 1e-9):
            odd = int(np.argmax(np.abs(scores)))
            out[i] = float(pull[odd] / information[odd]), float(scores[odd])
    return out


def loosened(photos: Sequence[SeenPhoto], assembly: Assembly, number: int, shift_px: float) -> list[SeenPhoto]:
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
        for _ in range(MOST_ROUNDS):
            before, other = other.cost, assembly.problem.solve(other.state, assembly.camera_priors, bent_valley=True)
            if before - other.cost < STILL_FALLING:
                break
    except (CannotMeasure, np.linalg.LinAlgError):
        return
    here, there = solution.state.opening, other.state.opening
    sd = np.sqrt(np.diag(solution.inverse()))[solution.layout.opening]
    if all(abs(here[k] - there[k]) < max(SAME_SIZE * here[k], SAME_SD * sd[k]) for k in (W0, H0)):
        return
    if other.cost < solution.cost + TILT_MARGIN:
        raise CannotMeasure(
            "adjustment",
            "tilt-two-ways",
            found=f"two tilts of the wall that fit the card alike, making the opening {here[W0]:.0f} or {there[W0]:.0f} mm wide",
            needed="references far enough apart to tell them apart",
            remedy="put a second card at the opposite corner, or a larger sheet, and take the photo again; "
            "if one is there already, mark its corners with card-corners",
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
