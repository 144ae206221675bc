"""What an earlier door or curtain left in the opening: a rod from wall to wall, a frame along both walls."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.errors import Finding
from vision.geometry.trace_beside import STEP, beside, steps_across
from vision.geometry.trace_lines import Line, View, across, sampled, saturated
from vision.geometry.trace_quads import Quad, with_edge, with_walls

Array = NDArray[np.float64]
ROD = (18.0 / 2400.0, 35.0 / 1500.0)
"""of the opening's height; a rod of 18 to 35 mm in an opening of 1.5 to 2.4 m (common practice, no source). A joint is thinner"""
THINNEST_PX = 2.5
"""px of the small picture; thinner, nothing of a bar's own colour is seen"""
ROD_REACH = 0.3
"""of the opening's height below the head; lower a bar is a shelf or a grip"""
ROD_STEP = 0.5
"""px of the small picture"""
BLOCKS = 20
"""parts of the width that are each looked at"""
PROFILE_PX = (4.0, 16.0)
"""px of the small picture; a frame's profile of 20 to 45 mm"""
ALIKE = 0.4
"""score under which two colours are one surface in changing light"""
UNLIKE = 0.5
"""score over which two colours are two surfaces"""
GOES_ON = 0.5
"""of the curb's change of colour; so much of it is seen up to the wall under a frame"""
BELOW_PX = np.arange(1.5, 4.1, 0.5)
"""px under the curb's line, where its front is"""
PARTS, ASIDE_PX, OWN_PX = 32, np.arange(-2.5, 2.51, STEP), 1.0
"""places along a curb; px of the small picture across it that are sampled, and within which a change of colour is its own"""
UP_TO_PX, NOISE = np.arange(0.75, 3.6, 0.25), 1e-4
"""px along the curb from its corners; of full range, squared, a change of colour that is as good as none"""
SAME_PX = 1.5
"""px; a frame is as wide as its inner border is off the wall"""
MOST_BROKEN = 0.2
"""share of a bar's length over which it may not be told from what is behind it"""


def rod(view: View, quad: Quad, name: str) -> tuple[Finding, ...]:
    """A finding where a bar of even thickness runs from wall to wall under the head."""
    if not quad.head or not _rod(view, quad):
        return ()
    return (
        Finding(
            "edge-hidden",
            f"{name}: a bar runs across the opening below the head, perhaps a curtain rod; it was not taken for the head.",
            "Take it down before the photo, or look whether the head's line in the picture is right.",
        ),
    )


def _rod(view: View, quad: Quad) -> bool:
    """Whether under the head a band of even height differs all along from what is above and below, which are alike."""
    h, w = view.square.small.shape[:2]
    head, bottom = quad.head[0].line, quad.curb[0].line.at
    down = np.arange(1.0, ROD_REACH * (bottom - head.at), ROD_STEP)
    left, right = (float(across(line, head.at, h)) for line in (quad.left, quad.right))
    x = np.linspace(left + 3.0, right - 3.0, BLOCKS * 4)
    rows = across(head, x, w)[:, None] + down
    colours = sampled(view.square, np.repeat(x[:, None], len(down), axis=1), rows)
    mean = colours.reshape(BLOCKS, 4, len(down), 3).mean(axis=1)
    total = np.concatenate([np.zeros((BLOCKS, 1, 3)), np.cumsum(mean, axis=1)], axis=1)
    gap, near = 2, 4
    thinnest, thickest = (share * (bottom - head.at) / ROD_STEP for share in ROD)
    for thick in range(round(max(thinnest, THINNEST_PX / ROD_STEP)), round(thickest) + 1):
        i = np.arange(gap + near, len(down) - thick - gap - near)
        if len(i) == 0:
            break
        bar = (total[:, i + thick - 1] - total[:, i + 1]) / (thick - 2)
        above = (total[:, i - gap] - total[:, i - gap - near]) / near
        below = (total[:, i + thick + gap + near] - total[:, i + thick + gap]) / near
        differs = np.minimum(saturated(bar - above), saturated(bar - below))
        told = (differs > UNLIKE) & (saturated(above - below) < differs - 0.1)
        if float(told.mean(axis=0).max()) > 1 - MOST_BROKEN:
            return True
    return False


def old_frame(view: View, quad: Quad) -> bool:
    """Whether a frame stands inside the outline, or the outline is a frame's inner border: a frame stands on the curb, which goes
    on under it to the wall, whereas a trim stands beside the curb."""
    if _frame(view, quad) is not None:
        return True
    lines = beside(view, quad)
    curbs = [quad.curb[0].line, *(one.line for one in lines["curb"])]
    walls = [(a, b) for a in lines["left"] for b in lines["right"] if max(a.inward, b.inward) < 0]
    outer = [(with_walls(quad, a.line, b.line), -(a.inward + b.inward) / 2) for a, b in walls]
    every = [(with_edge(one, "curb", curb), wide) for one, wide in outer for curb in curbs]
    if not every:
        return False
    goes_on = [_curb_to_the_ends(view, one.corners(view)) >= GOES_ON for one, _ in every]
    found = [(_frame(view, one), one, wide) for (one, wide), on in zip(every, goes_on, strict=True) if on]
    return any(w is not None and abs(w - wide) < SAME_PX and _on_the_curb(view, one, wide) for w, one, wide in found)


def _curb_to_the_ends(view: View, corners: Array) -> float:
    """How much of the curb's change of colour is seen up to the fainter of its corners (4, 2): all of it 1, none 0."""
    a, b = corners[:2]
    along = (b - a) / np.linalg.norm(b - a)
    u = 0.03 + 0.94 * (np.arange(PARTS) + 0.5)[:, None] / PARTS
    step, place = _across_curb(view, a * (1 - u) + b * u)
    own = np.abs(place) <= OWN_PX
    change = step[:, own][:, int(saturated(step)[:, own].mean(axis=0).argmax())].mean(axis=0)
    size = float(change @ change) + NOISE
    shares = []
    for corner, way in ((a, 1), (b, -1)):
        end = _across_curb(view, corner + way * along * UP_TO_PX[:, None])[0].mean(axis=0)[own]
        shares.append(float((end @ change).max()) / size)
    return min(shares)


def _across_curb(view: View, points: Array) -> tuple[Array, Array]:
    """Changes of colour (n, m, 3) from below upward across points (n, 2) of the curb, and where (m,) they are, px."""
    x, y = np.repeat(points[:, :1], len(ASIDE_PX), axis=1), points[:, 1:] - ASIDE_PX
    return steps_across(sampled(view.square, x, y), ASIDE_PX)


def _on_the_curb(view: View, quad: Quad, wide: float) -> bool:
    """Whether what is seen under strips so wide inside both walls is rather the curb's front than the face, as under a trim."""
    (left, right), curb = quad.corners(view)[:2, 0], quad.curb[0].line

    def below(x: Array) -> Array:
        """Mean colour (3,) under the curb's line."""
        y = across(curb, x, view.square.small.shape[1])[:, None] + BELOW_PX
        return np.asarray(sampled(view.square, np.repeat(x[:, None], len(BELOW_PX), axis=1), y).mean(axis=(0, 1)))

    front = below(np.linspace(left + 2 * wide, right - 2 * wide, BLOCKS))
    for wall, inward in ((left, 1), (right, -1)):
        under, face = (below(np.sort(wall + way * inward * np.linspace(1, wide - 1, BLOCKS))) for way in (1, -1))
        if float(np.linalg.norm(under - front)) > float(np.linalg.norm(under - face)):
            return False
    return True


def _frame(view: View, quad: Quad) -> float | None:
    """Width (px) of a strip of one colour and width along both walls, with no line into the depth across it; or None."""
    left, right = _profile(view, quad, quad.left, 1), _profile(view, quad, quad.right, -1)
    if left is None or right is None:
        return None
    (a, colour_a), (b, colour_b) = left, right
    same = abs(a - b) <= 0.25 * max(a, b) + 0.5 and float(saturated(colour_a - colour_b)) < 0.8
    return (a + b) / 2 if same and not _reveals(view, quad, a, b) else None


def _reveals(view: View, quad: Quad, a: float, b: float) -> bool:
    """Whether strips of widths `a` and `b` (px) are rather two side walls of one depth, each seen as wide as the eye is
    beside it, than the two equal profiles of a frame."""
    middle = (quad.left.at + quad.right.at) / 2
    eye = float(np.clip((view.square.depth[0] - middle) / (quad.right.at - quad.left.at), -0.5, 0.5))
    off_equal, off_walls = abs(a - b) / 2, abs((a - b) / 2 - eye * (a + b))
    return off_walls < min(off_equal, SAME_PX / 2) and abs(eye) * (a + b) > SAME_PX / 2


def _profile(view: View, quad: Quad, line: Line, side: int) -> tuple[float, Array] | None:
    """Width (px) and colour of a strip beside a wall's edge that ends at the same distance all along, or None."""
    h = view.square.small.shape[0]
    top = quad.head[0].line.at if quad.head else quad.top
    y = np.linspace(top + 4.0, quad.curb[0].line.at - 4.0, 24 * 5)
    offsets = np.arange(0.75, PROFILE_PX[1] + 4.0, 0.5)
    x = across(line, y, h)[:, None] + side * offsets
    colours = sampled(view.square, x, np.repeat(y[:, None], len(offsets), axis=1)).reshape(24, 5, len(offsets), 3).mean(axis=1)
    box = 4
    total = np.concatenate([np.zeros((24, 1, 3)), np.cumsum(colours, axis=1)], axis=1)
    i = np.arange(box, len(offsets) - box + 1)
    step = saturated((total[:, i + box] - 2 * total[:, i] + total[:, i - box]) / box)
    width = offsets[i] - 0.25
    mean = step.mean(axis=0)
    k = int(mean.argmax())
    if width[k] < PROFILE_PX[0] or width[k] > PROFILE_PX[1] or np.mean(step[:, k] > UNLIKE) < 1 - MOST_BROKEN:
        return None
    beyond = colours[:, (offsets > width[k] + 1.5) & (offsets < width[k] + 4.0)].mean(axis=1)
    strip = colours[:, 1 : max(int((width[k] - 0.75) / 0.5) - 1, 2)]
    if float(np.mean(saturated(strip.mean(axis=1) - beyond) > UNLIKE)) < 1 - MOST_BROKEN:
        return None
    even = float(np.mean(saturated(strip.mean(axis=1) - strip.mean(axis=(0, 1))) < 0.75))
    return (float(width[k]), strip.mean(axis=(0, 1))) if even > 1 - MOST_BROKEN else None
