"""The drawing of a planned shot: the opening from the front, references to scale, each size with what it would be known to."""

from __future__ import annotations

import io
import textwrap
from collections.abc import Mapping, Sequence

import numpy as np

from vision.geometry.plan import PlannedShot
from vision.report.drawing import CARD, EDGE, SIZE, Canvas, Points
from vision.report.pictures import LABELS
from vision.units import inches_text

LONG_PX, SHORT_PX = 1300, 1000
"""rows and columns of the drawing"""
HEAD_PX, FOOT_PX, SIDE_PX = 90, 190, 60
LINE_LETTERS = 96
OPENING, WALL = (226, 230, 234), (250, 249, 246)


def draw_plan(
    shot: PlannedShot,
    at_mm: Mapping[str, float],
    u_mm: Mapping[str, float],
    slips_mm: Mapping[str, float],
    *,
    verdicts: Mapping[str, str],
    notes: Sequence[str],
) -> bytes:
    """PNG. `u_mm` and the largest hidden slip `slips_mm` by size; `verdicts` as the judge would give on readings that agree."""
    view = _View(shot)
    sheet = Canvas(np.full((LONG_PX, SHORT_PX, 3), WALL, dtype=np.uint8), unit=1.2)
    w, h = shot.width_mm, shot.height_mm
    box = view.px(np.array([(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)]))
    (x0, y1), (x1, y0) = (np.round(box[i]).astype(int) for i in (0, 2))
    sheet.pixels[y0:y1, x0:x1] = OPENING
    sheet.line(np.vstack([box, box[:1]]) if shot.has_head else box[[3, 0, 1, 2]], EDGE, width=1.6)
    for card in shot.cards:
        outline = view.px(card.corners()[:, :2])
        sheet.line(np.vstack([outline, outline[:1]]), CARD, width=1.6)
    for name, u in u_mm.items():
        ends, at = view.place(name, at_mm)
        if not name.startswith("height"):
            sheet.line(ends, SIZE, width=0.6, dashed=name.startswith("diagonal"))
        lines = [f"{name.replace('_', ' ')}: u {u:.1f} mm", f"hides up to {inches_text(slips_mm[name])}"]
        sheet.label((at[0], at[1]), lines, mark=verdicts[name], anchor=LABELS[name][1])
    title = f"{inches_text(w)} x {inches_text(h)} from {shot.distance_mm / 1000:.2f} m; u is one standard deviation"
    sheet.label((SHORT_PX / 2, 12), [title], anchor=(0.5, 0.0), free=False)
    words = [line for note in notes for line in textwrap.wrap(f"Better: {note}", LINE_LETTERS)]
    if words:
        sheet.label((SHORT_PX / 2, LONG_PX - 10), words, anchor=(0.5, 1.0), free=False)
    out = io.BytesIO()
    sheet.finish().save(out, format="PNG")
    return out.getvalue()


class _View:
    """Millimetres of the wall to pixels of the drawing."""

    def __init__(self, shot: PlannedShot) -> None:
        self.w, self.h = shot.width_mm, shot.height_mm
        corners = np.array([c.corners()[:, :2] for c in shot.cards]).reshape(-1, 2)
        self.low = np.minimum(corners.min(axis=0), [0.0, 0.0]) - 20
        self.high = np.maximum(corners.max(axis=0), [self.w, self.h]) + 20
        size = self.high - self.low
        self.scale = float(min((SHORT_PX - 2 * SIDE_PX) / size[0], (LONG_PX - HEAD_PX - FOOT_PX) / size[1]))
        self.left = (SHORT_PX - self.scale * size[0]) / 2

    def px(self, points: Points) -> Points:
        """Places (n, 2) mm in the drawing."""
        x = self.left + self.scale * (points[:, 0] - self.low[0])
        return np.stack([x, HEAD_PX + self.scale * (self.high[1] - points[:, 1])], axis=1)

    def place(self, name: str, at_mm: Mapping[str, float]) -> tuple[Points, Points]:
        """Ends (2, 2) of a size's line, and where its label stands (2,)."""
        w, h = self.w, self.h
        if name in at_mm:
            y = at_mm[name]
            ends = np.array([(0.0, y), (w, y)])
            return self.px(ends), self.px(ends.mean(axis=0)[None])[0]
        ends = np.array(
            {"diagonal_rising": [(0.0, 0.0), (w, h)], "diagonal_falling": [(0.0, h), (w, 0.0)]}.get(name, [(0.0, 0.0)] * 2)
        )
        across, up = LABELS[name][0]
        return self.px(ends), self.px(np.array([(across * w, up * h)]))[0]
