"""References, plumb line and what people leave about in the ninth rooms."""

from __future__ import annotations

import mitsuba as mi
import numpy as np

from sample_images.studio.shapes import Builder, placed, rounded_rectangle
from sample_images.studio.surfaces import Surface

from .ninth_finishes import enamel, pick, plaster, wood
from .ninth_plan import Plan, PlumbLine, Reference
from .ninth_prints import card_face, sheet_face
from .ninth_textures import clear_tape, glossy, matt, metal, shade

Pair = tuple[float, float]
BRIGHTS = ("b23a2e", "2e5e8c", "e0b23c", "4d7a58", "efece4", "3a3a3d", "c9774a", "88a7b5", "d8cfc0", "7b5a86")


def fix_reference(build: Builder, card: Reference) -> None:
    """A thin body with its print, its rim and its tape."""
    rng = np.random.default_rng(card.seed)
    if card.kind == "id-1":
        face = card_face(rng, card.style)
        gloss = float(rng.choice([0.12, 0.22, 0.35]))
        front = glossy(face[::-1].copy(), gloss, (1.0, 1.0))
        rim = enamel("e8e6e0", 0.4) if face.mean() > 0.12 else enamel("2a2a2c", 0.4)
        _body(build, card, front, rim)
    else:
        page = sheet_face(rng, card.style, card.size_mm)
        _body(build, card, matt(page[::-1].copy(), (1.0, 1.0)), matt(shade("f0eee8")))
        _tapes(build, card, rng)


def _body(build: Builder, card: Reference, front: Surface, rim: Surface) -> None:
    w, h = card.size_mm
    if card.wave[0]:
        u, v = np.meshgrid(np.linspace(0, 1, 25), np.linspace(0, 1, 33))
        points = card.front(u.ravel(), v.ravel())
        n = u.shape[1]
        first = (np.arange(32)[:, None] * n + np.arange(n - 1)[None, :]).ravel()
        faces = np.concatenate([np.stack([first, first + 1, first + n + 1], 1), np.stack([first, first + n + 1, first + n], 1)])
        build.mesh(points, faces, np.column_stack([u.ravel(), v.ravel()]), front)
        return
    outline = rounded_rectangle(w, h, card.radius_mm)
    place = placed(*card.centre_mm, card.gap_mm, card.turn_deg)
    build.slab(outline, card.thickness_mm, place, front, rim)


def _tapes(build: Builder, card: Reference, rng: np.random.Generator) -> None:
    tape = {"clear": clear_tape()}.get(card.tape) or matt(shade(str(pick(rng, ("d8c590", "e6dcb8", "3f6f9c", "efeae0")))))
    places = {
        "corners": [(0.03, 0.02, 45), (0.97, 0.02, -45), (0.97, 0.98, 45), (0.03, 0.98, -45)],
        "sides": [(0.0, 0.5, 0), (1.0, 0.5, 0)],
        "top": [(0.3, 1.0, 90), (0.7, 1.0, 90)],
    }.get(card.tape, [(0.5, 1.0, 90), (0.5, 0.0, 90)])
    long, wide = float(rng.uniform(36, 52)), float(rng.choice([12.0, 19.0]))
    strip = rounded_rectangle(long, wide, 0.0)
    highest = card.gap_mm + card.thickness_mm + card.wave[0] + 0.06
    for u, v, turn in places:
        x, y, _ = card.front(np.array(u), np.array(v))
        turned = card.turn_deg + turn + float(rng.normal(0, 4))
        place = placed(float(x), float(y), highest, turned)
        if card.tape == "clear":  # a film lets light through, which the builder's two-sided surfaces cannot
            film = mi.ScalarTransform4f(place) @ mi.ScalarTransform4f().scale([long / 2, wide / 2, 1.0])
            build.add({"type": "rectangle", "to_world": film, "bsdf": tape.bsdf})
        else:
            build.slab(strip, 0.08, place, tape)


def hang_line(build: Builder, line: PlumbLine, hooked: bool) -> None:
    x, z = line.x_mm, line.z_mm
    build.rod((x, line.bottom_mm + 70, z), (x, line.top_mm, z), line.thickness_mm / 2, matt(shade(line.colour)))
    weight = metal("c2a15c", 0.3)
    build.capped_rod((x, line.bottom_mm + 14, z), (x, line.bottom_mm + 70, z), min(8.0, z + 4), weight)
    build.ball((x, line.bottom_mm + 12, z), 6.0, weight)
    if hooked:
        build.capped_rod((x, line.top_mm, -2.0), (x, line.top_mm, z + 4), 1.4, metal("b0b0b0", 0.3))


class Wall:
    """Free places on the wall face: nothing is put over the references or near the opening."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.taken = [(*(r.centre_mm), r.reach[0] + 110, r.reach[1] + 110) for r in plan.references]
        low, high = plan.opening.corners.min(axis=0), plan.opening.corners.max(axis=0)
        off = plan.edge.clear_of + 70
        middle, half = (low + high) / 2, (high - low) / 2 + off
        tall = half[1] if plan.four_sided else 5000.0
        self.taken.append((float(middle[0]), float(middle[1]), float(half[0]), float(tall)))

    def place(self, rng: np.random.Generator, half: Pair, heights: Pair) -> Pair | None:
        """The middle of a free rectangle, its height counted from the floor."""
        for _ in range(25):
            left, right = -self.plan.room[0] + 40, self.plan.opening.width_mm + self.plan.room[1] - 40
            x = float(rng.uniform(left + half[0], right - half[0]))
            y = self.plan.floor_y + float(rng.uniform(*heights))
            if all(abs(x - a) > w + half[0] or abs(y - b) > h + half[1] for a, b, w, h in self.taken):
                self.taken.append((x, y, *half))
                return x, y
        return None


def switch(build: Builder, x: float, y: float, rng: np.random.Generator) -> None:
    build.box((x - 42, y - 42, 0), (x + 42, y + 42, 8), enamel("f0eee8", 0.2))
    build.box((x - 26, y - 30, 8), (x + 26, y + 30, 12), enamel("f6f5f1", 0.15))


def hung_towel(build: Builder, x: float, y: float, rng: np.random.Generator) -> None:
    """A towel on a hook: gathered at the top, wider below."""
    build.capped_rod((x, y, 0), (x, y, 46), 9, metal())
    cloth = plaster(rng, str(pick(rng, BRIGHTS)), 0.05)
    across, rows = np.linspace(-1, 1, 61), np.linspace(0, 1, 30)
    width, length = float(rng.uniform(110, 170)), float(rng.uniform(480, 720))
    lines = []
    for r in rows:
        spread = width * (0.18 + 0.82 * np.sqrt(r))
        fold = 16 * (0.4 + 0.6 * r) * np.sin(9 * across + 2 * r + 1)
        lines.append(np.column_stack([x + spread * across, y - 4 - length * r + 12 * np.abs(across), 34 + fold + 12 * r]))
    for k in range(len(rows) - 1):
        uv = [np.column_stack([across * width, np.full(61, -length * rows[j])]) for j in (k, k + 1)]
        build.strip(lines[k], lines[k + 1], uv[0], uv[1], cloth)


def picture(build: Builder, x: float, y: float, rng: np.random.Generator) -> None:
    w, h = float(rng.uniform(90, 170)), float(rng.uniform(110, 190))
    build.box((x - w, y - h, 0), (x + w, y + h, 18), wood(rng))
    art = sheet_face(rng, str(pick(rng, ("plan", "list"))), (150.0, 200.0)) * np.array(shade(str(pick(rng, BRIGHTS)))) * 2.2
    left, right, low, high, z = x - w + 16, x + w - 16, y - h + 16, y + h - 16, 18.5
    corners = np.array([[left, low, z], [right, low, z], [right, high, z], [left, high, z]])
    glazed = glossy(np.clip(art[::-1], 0.02, 0.85).copy(), 0.1, (1.0, 1.0))
    build.quad(corners, glazed, np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]]))


def bottle(build: Builder, x: float, y: float, z: float, rng: np.random.Generator) -> None:
    body, tall, wide = enamel(str(pick(rng, BRIGHTS)), 0.2), float(rng.uniform(110, 220)), float(rng.uniform(22, 36))
    build.capped_rod((x, y, z), (x, y + tall, z), wide, body)
    build.capped_rod((x, y + tall, z), (x, y + tall + 26, z), wide * 0.5, enamel("ecebe6", 0.2))
    label = enamel(str(pick(rng, BRIGHTS)), 0.4)
    build.rod((x, y + 0.3 * tall, z), (x, y + 0.7 * tall, z), wide + 0.4, label)


def bucket(build: Builder, x: float, y: float, z: float, rng: np.random.Generator) -> None:
    surface = enamel(str(pick(rng, BRIGHTS)), 0.25)
    build.rod((x, y, z), (x, y + 250, z), 130, surface)
    build.disc((x, y + 12, z), np.array([0, 1.0, 0]), 129, surface)
    build.rod((x - 130, y + 245, z), (x + 130, y + 245, z), 3, metal())


def crate(build: Builder, x: float, y: float, z: float, rng: np.random.Generator) -> None:
    w, h, d = (float(rng.uniform(a, b)) for a, b in ((120, 210), (160, 320), (100, 160)))
    build.box((x - w, y, z - d), (x + w, y + h, z + d), plaster(rng, str(pick(rng, ("b08d62", "c2a57e", "8d6a44"))), 0.02))
    build.box((x - 24, y + 0.3, z - d - 0.3), (x + 24, y + h + 0.4, z + d + 0.4), enamel("cdb98a", 0.3))


def mat(build: Builder, x: float, y: float, z: float, rng: np.random.Generator) -> None:
    w, d = float(rng.uniform(270, 400)), float(rng.uniform(180, 260))
    build.box((x - w, y, z - d), (x + w, y + 9, z + d), plaster(rng, str(pick(rng, BRIGHTS)), 0.12))


def stool(build: Builder, x: float, y: float, z: float, rng: np.random.Generator) -> None:
    timber = wood(rng)
    build.capped_rod((x, y + 400, z), (x, y + 432, z), 165, timber)
    for sx, sz in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        build.rod((x + sx * 140, y, z + sz * 140), (x + sx * 95, y + 405, z + sz * 95), 15, timber)


def ladder(build: Builder, x: float, y: float, z: float, rng: np.random.Generator) -> None:
    rail = metal("b9bbbd", 0.35)
    for side in (-190, 190):
        build.rod((x + side, y, z + 420), (x + side * 0.8, y + 1500, z), 17, rail)
    for k in range(1, 6):
        t = k / 6
        half = 190 * (1 - 0.2 * t)
        build.rod((x - half, y + 1500 * t, z + 420 * (1 - t)), (x + half, y + 1500 * t, z + 420 * (1 - t)), 13, rail)


def plant(build: Builder, x: float, y: float, z: float, rng: np.random.Generator) -> None:
    build.capped_rod((x, y, z), (x, y + 150, z), 85, matt(shade("a8603f")))
    leaf = enamel("4f7a45", 0.35)
    for _ in range(26):
        way = rng.normal(0, 1, 2)
        tip = (x + 110 * way[0], y + 330 + 110 * float(rng.uniform(-1, 1)), z + 60 * way[1])
        build.rod((x, y + 140, z), tip, 4.5, leaf)
        build.ball(tip, float(rng.uniform(14, 30)), leaf)
