"""What is known to be vertical or level, each with its own sd and its own line in the budget, and whether they contradict.

In the curb's frame up is (g, 1). A plumb line, a standing level and a joint have the slope g, what lies level the slope -g; a
phone's gravity vector ties g to the camera's turn. Joints of one wall start from one line, so they share most of their error.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve

from vision.errors import Finding
from vision.geometry.adjustment import Solution
from vision.geometry.line_model import SLOPE
from vision.geometry.lines import SeenLine
from vision.geometry.model import G, Layout, State
from vision.geometry.opening import VerticalSeen
from vision.geometry.priors import Prior
from vision.geometry.seen import Demands, SeenPhoto
from vision.settings import CueSettings

Array = NDArray[np.float64]
ALL_JOINTS = "the joints"
CURB = "the curb"
CONTRADICTED = 3.0
"""standard deviations at which a vertical contradicts the others"""
NAMES = {"grout": "joint", "level": "level", "back": "line that runs back"}
"""what each kind of marked line is called in findings and pictures"""
LEAST_REDUNDANCY = 1e-6
"""share of a vertical that the others control; under this nothing controls it"""


def vertical_priors(
    layout: Layout,
    photos: Sequence[SeenPhoto],
    demands: Demands,
    models: Mapping[int, int],
    *,
    state: State,
    settings: CueSettings,
) -> list[Prior]:
    """All of them; the curb only where nothing else is there, because it would pull its own level toward zero."""
    gravity = layout.opening.start + G
    level = {models[c.number]: c.number for p in photos for c in p.used if c.number in demands.level_cards}
    out = [
        _prior((s.start + 1, gravity), -1.0, settings.plumb_line_sd_mm_per_m, "plumb line", f"plumb line {i}")
        for i, s in enumerate(layout.plumb, 1)
    ]
    out += [
        _prior((layout.cards[k].start + 2, gravity), 1.0, settings.level_card_sd_mm_per_m, "level card", f"card {n}")
        for k, n in sorted(level.items())
    ]
    lines = [line for p in photos for line in p.lines]
    places = [s.start + SLOPE for s in layout.lines]
    out += [
        _prior((at, gravity), _sign(line), settings.level_sd_mm_per_m, "level", f"level {i}")
        for i, (line, at) in enumerate(_of(lines, places, "level"), 1)
    ]
    out += _joint_priors(_of(lines, places, "grout"), gravity, settings)
    for i, photo in enumerate(photos):
        if photo.look.down is not None:
            out.append(_gravity_prior(layout.cameras[i].start, gravity, state.cameras[i].R, photo, settings))
    if not out and demands.level_curb:
        out.append(Prior((gravity,), (1.0,), 0.0, settings.curb_sd_mm_per_m / 1000, "vertical, curb", ((CURB, 1.0),)))
    return out


def kinds_of_vertical(photos: Sequence[SeenPhoto], demands: Demands) -> set[str]:
    """The kinds that take part, in the contract's words."""
    kinds = set()
    for photo in photos:
        kinds |= {line.facts.kind for line in photo.lines if line.facts.kind in ("grout", "level")}
        if photo.plumb:
            kinds.add("plumb line")
        if any(c.number in demands.level_cards for c in photo.used):
            kinds.add("card")
        if photo.look.down is not None:
            kinds.add("gravity")
    return kinds or ({"curb"} if demands.level_curb else set())


def _sign(line: SeenLine) -> float:
    """A lying line's slope is minus gravity's."""
    return 1.0 if line.facts.lying else -1.0


def _of(lines: Sequence[SeenLine], places: Sequence[int], kind: str) -> list[tuple[SeenLine, int]]:
    return [(line, at) for line, at in zip(lines, places, strict=True) if line.facts.kind == kind]


def _prior(columns: tuple[int, int], sign: float, sd_mm_per_m: float, kind: str, name: str) -> Prior:
    return Prior(columns, (1.0, sign), 0.0, sd_mm_per_m / 1000, f"vertical, {kind}", ((name, 1.0),))


def _joint_priors(lines: Sequence[tuple[SeenLine, int]], gravity: int, settings: CueSettings) -> list[Prior]:
    """Joints that share an error and have one each: whitened by the inverse of their covariance's Cholesky factor."""
    n = len(lines)
    if not n:
        return []
    signs = np.array([_sign(line) for line, _ in lines])
    common, own = settings.grout_common_sd_mm_per_m / 1000, settings.grout_own_sd_mm_per_m / 1000
    # turning the wall's grid turns standing joints one way and lying ones, as slopes, the other
    covariance = common**2 * np.outer(signs, signs) + own**2 * np.eye(n)
    whitening = np.linalg.inv(np.linalg.cholesky(covariance))
    columns = (*(at for _, at in lines), gravity)
    out = []
    for row in whitening:
        names = [(f"joint {i}", float(v)) for i, v in enumerate(row, 1)] if n > 1 else []
        off = (*names, (ALL_JOINTS, float(row @ -signs)))
        out.append(Prior(columns, (*(float(v) for v in row), float(row @ signs)), 0.0, 1.0, "vertical, grout", off))
    return out


def _gravity_prior(camera: int, gravity: int, R: Array, photo: SeenPhoto, settings: CueSettings) -> Prior:
    """Up as the phone felt it, turned into the opening's frame; linear in the camera's turn away from this R."""
    up = -np.asarray(photo.look.down)
    u = R.T @ up
    du = np.stack([-(R.T @ np.cross(e, up)) for e in np.eye(3)])
    slope = float(u[0] / u[1])
    turn = (du[:, 0] - slope * du[:, 1]) / u[1]
    columns = (camera, camera + 1, camera + 2, gravity)
    sd = settings.gravity_sd_mm_per_m / 1000
    name = f"gravity of photo {photo.look.number}"
    return Prior(columns, (*(float(v) for v in turn), -1.0), -slope, sd, "vertical, gravity", ((name, 1.0),))


def vertical_scores(solution: Solution) -> list[VerticalSeen]:
    """Every vertical that others control, held against them (w-test on its being out of true)."""
    first = solution.rows_by_edge[-1].stop if solution.rows_by_edge else 0
    off: dict[str, Array] = {}
    for i, prior in enumerate(solution.priors):
        for name, amount in prior.off:
            off.setdefault(name, np.zeros(len(solution.priors)))[i] = amount / prior.sd
    if len(off) < 2:
        return []
    J, r = solution.J[first:], solution.residuals[first:]
    scale = 1 / np.sqrt(np.sum(solution.J**2, axis=0))
    N = cho_factor((solution.J * scale).T @ (solution.J * scale))
    out = []
    for name, g in off.items():
        through = (J * scale).T @ g
        whole = float(g @ g)
        controlled = whole - float(through @ cho_solve(N, through))
        if controlled > LEAST_REDUNDANCY * whole:
            out.append(VerticalSeen(name, 1000 * float(g @ r) / controlled, 1000 / float(np.sqrt(controlled))))
    return out


def followed_verticals(photos: Sequence[SeenPhoto]) -> list[dict[str, Array]]:
    """By photo: the ends (2, 2) px of each vertical that was followed, by the name that it has in `vertical_scores`."""
    count: Counter[str] = Counter()
    out: list[dict[str, Array]] = []
    for photo in photos:
        lines = [("plumb line", points) for _, points in photo.plumb]
        lines += [(NAMES[line.facts.kind], line.points) for line in photo.lines]
        out.append({})
        for name, points in lines:
            count[name] += 1
            straight = np.polynomial.Polynomial.fit
            along, ends = points.along, np.array([points.along.min(), points.along.max()])
            xy = [straight(along, points.points_px[:, k], 1)(ends) for k in (0, 1)]
            out[-1][f"{name} {count[name]}"] = np.stack(xy, axis=1)
    return out


def vertical_word(photos: Sequence[SeenPhoto], demands: Demands) -> str | None:
    """The one kind of vertical that takes part, "several", or None."""
    kinds = kinds_of_vertical(photos, demands)
    return None if not kinds else kinds.pop() if len(kinds) == 1 else "several"


def odd_verticals(solution: Solution, demands: Demands, settings: CueSettings) -> list[Finding]:
    """A finding where verticals contradict each other beyond three sd, a curb said to be level among them."""
    scores = vertical_scores(solution)
    curb = _curb_score(solution, demands, settings)
    odd = sorted((s for s in (*scores, *curb) if abs(s.score) > CONTRADICTED), key=lambda s: -abs(s.score))
    if not odd:
        return []
    worst = odd[0]
    fact = (
        f"The verticals in the photo contradict each other: {worst.name} is {abs(worst.off_mm_per_m):.1f} mm/m off all others "
        f"({abs(worst.score):.1f} standard deviations)."
    )
    remedy = "Check that the plumb line hangs free and that levels and cards were set with care, and take the photo again."
    return [Finding("cue-disagrees", fact, remedy)]


def _curb_score(solution: Solution, demands: Demands, settings: CueSettings) -> list[VerticalSeen]:
    """A curb said to be level beside better verticals: it takes no part, but they may contradict it."""
    used = any(prior.source.startswith("vertical, ") and prior.off for prior in solution.priors)
    itself = any(prior.source == "vertical, curb" for prior in solution.priors)
    if not demands.level_curb or itself or not used:
        return []
    at = solution.layout.opening.start + G
    sd = float(np.hypot(1000 * np.sqrt(solution.inverse()[at, at]), settings.curb_sd_mm_per_m))
    return [VerticalSeen(CURB, 1000 * float(solution.state.opening[G]), sd)]
