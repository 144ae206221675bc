"""What walls are made of: paints, papers, boards, tiles, stone, brick, plaster. Lists of makers by place."""

from __future__ import annotations

import numpy as np

from sample_images.studio.surfaces import Surface, plain

from . import fourteenth_grain as g

PAINTS = [
    "f2efe6", "e9e4d6", "ffffff", "f7f7f4", "dcd6c6", "cfc8b8", "b9b39f", "d9dfdc", "c4d0cf", "a9bcc0", "7f98a0", "4f6672",
    "34454f", "e6d9c9", "d8bfa6", "c79f7c", "b2714f", "8a4a36", "e9d8d4", "d9b3ab", "a56a63", "dfe4cf", "bcc7a3", "8d9b73",
    "56664a", "2f3d33", "efe2b0", "e4c667", "c9952f", "d5cfe0", "9a90b0", "5b5470", "8c8c8a", "5a5a58", "2c2d2e", "d2d2d0",
]  # fmt: skip
GLAZES = [
    "f4f4f1", "ecebe4", "fafafa", "e2e0d8", "d5d9d6", "c9d5d3", "9fbab6", "6f9792", "3d6a68", "244547", "a8c0d4", "5f86a8",
    "2f4f77", "e7d6c3", "cdb091", "b68c64", "8f6a4a", "efe6da", "d9c9b4", "bdb6a8", "a19b90", "77736c", "4e4b48", "2a2a2b",
    "e3b7ae", "c27a6d", "8e3f38", "b9c48f", "7b8f4e", "46592f", "dcc465", "e9e9ef",
]  # fmt: skip
GROUTS = ["e8e6e0", "cfcac0", "a9a49b", "7d7a75", "4a4846", "2b2b2b", "f5f5f2", "b59f86"]
BRICKS = ["9c4f3a", "8a4030", "b0694c", "c28a63", "7a3b30", "a87d60", "d2c0a4", "e9e4dc", "6f5348", "bda58a"]
STONES = ["a79f90", "8d8a82", "c2b8a0", "7a756d", "b5a186", "95907f", "6b6d6b", "d0c9b8", "8f7f6a", "5c5d5e"]
WOODS = ["b58a5c", "8a5f38", "d3b285", "6b4528", "e0cba6", "4a3222", "a8794a", "c79b6b", "9c8a74", "efe4d2"]
BATH_SIZES = (
    (25, 25), (48, 48), (98, 98), (150, 75), (200, 100), (150, 150), (200, 200), (250, 80), (240, 60), (300, 100), (300, 75),
    (330, 250),
    (400, 250), (300, 300), (600, 300), (600, 150), (450, 450), (600, 600), (900, 300), (1200, 600), (50, 150), (100, 400), (200,
    600),
)  # fmt: skip


def _pick(rng: np.random.Generator, codes: list[str]) -> np.ndarray:
    return g.colour(str(rng.choice(codes))) * rng.uniform(0.9, 1.04)


def painted(rng: np.random.Generator, rgb: np.ndarray | None = None) -> Surface:
    """Emulsion, chalk or gloss: roller stipple, brush marks or nothing."""
    rgb = _pick(rng, PAINTS) if rgb is None else rgb
    kind = rng.integers(4)
    spread = ((3.0, 3.0), (2.0, 40.0), (50.0, 2.0), (30.0, 30.0))[kind]
    field = 0.7 * g.cloud(rng, (640, 640), spread) + 0.8 * g.cloud(rng, (640, 640), (70, 70))
    picture = rgb * (1 + rng.uniform(0.004, 0.03) * field[..., None])
    shine = float(rng.uniform(0.2, 0.45)) if rng.random() < 0.25 else None
    relief = 0.5 + 0.12 * g.cloud(rng, (640, 640), (1.5, 1.5)) if rng.random() < 0.4 else None
    return g.material(picture, (640, 640), shine=shine, relief=relief, depth_mm=float(rng.uniform(0.1, 0.5)))


def plaster(rng: np.random.Generator) -> Surface:
    """Bare, troweled, limewashed or rough-cast plaster."""
    rgb = _pick(rng, ["d9cbb6", "c9a58c", "e6dfd2", "b7b2a8", "efece4", "cdb79a", "9b978f"])
    scale = float(rng.choice([3.0, 9.0, 28.0]))
    bumps = g.cloud(rng, (768, 768), (scale, scale * rng.uniform(1, 3)))
    washed = g.cloud(rng, (768, 768), (60, 40))
    picture = rgb * (1 + rng.uniform(0.02, 0.09) * washed + 0.03 * bumps)[..., None]
    return g.material(picture, (1100, 1100), relief=0.5 + 0.16 * bumps, depth_mm=float(rng.uniform(0.5, 0.35 * scale + 0.6)))


def concrete(rng: np.random.Generator) -> Surface:
    """Cast in boards or in sheets with tie holes; or microcement."""
    rgb = _pick(rng, ["a3a29d", "8b8a86", "bab6ad", "70706e", "c9c4ba"])
    field = g.sheet(1200, 1200, 0.8)
    tone = 0.07 * g.cloud(rng, field.shape, (50, 50)) + 0.03 * g.cloud(rng, field.shape, (2, 2))
    relief = 0.5 + 0.05 * g.cloud(rng, field.shape, (2, 2))
    kind = rng.integers(3)
    if kind == 0:
        number, joint = np.floor(field.y / 120).astype(int), np.minimum(field.y % 120, 120 - field.y % 120)
        tone = tone + g.per_piece(rng, number, 0.08, 0)[..., 0] - 1 - 0.25 * (joint < 2)
        relief = relief - 0.3 * (joint < 2)
    elif kind == 1:
        hole = np.hypot(field.x % 600 - 300, field.y % 400 - 200) < 11
        tone, relief = tone - 0.5 * hole - 0.2 * (field.x % 600 < 2), relief - 0.4 * hole
    return g.material(rgb * (1 + tone)[..., None], (1200, 1200), relief=relief, depth_mm=2.0)


def tiles(rng: np.random.Generator, rgb: np.ndarray | None = None, size: tuple[float, float] | None = None) -> Surface:
    """Glazed or stone-like tiles of all sizes in all bonds."""
    w, h = size or BATH_SIZES[rng.integers(len(BATH_SIZES))]
    kind = str(rng.choice(["stack", "half", "third", "upright", "upright half", "slant", "herring", "basket", "comb"],
                          p=[0.3, 0.22, 0.08, 0.1, 0.08, 0.05, 0.07, 0.04, 0.06]))  # fmt: skip
    if kind == "slant":
        field, laid = g.slanting(min(w, h, 200))
    elif kind == "herring":
        field, laid = g.herringbone(float(rng.choice([50, 75, 100])), int(rng.integers(2, 5)))
    elif kind == "basket":
        field, laid = g.basket(float(rng.choice([100, 150, 200])), int(rng.integers(2, 4)))
    elif kind == "comb":
        field, laid = g.honeycomb(float(rng.choice([35, 60, 120, 200])))
    else:
        made = g.rows((w, h), {"half": 0.5, "upright half": 0.5, "third": 1 / 3}.get(kind, 0.0))
        field, laid = g.turned(made) if "upright" in kind else made
    rgb = _pick(rng, GLAZES) if rgb is None else rgb
    joint = float(rng.choice([1.2, 1.5, 2, 2, 3, 3, 4, 5]))
    return laid_pieces(rng, (field, laid), rgb, joint)


def laid_pieces(rng: np.random.Generator, made: tuple[g.Sheet, g.Laid], rgb: np.ndarray, joint: float) -> Surface:
    """Glaze, veins, grout and a pillowed rim over a pattern of pieces."""
    field, (number, far) = made
    glaze = rgb * g.per_piece(rng, number, float(rng.choice([0.01, 0.02, 0.05, 0.14, 0.3], p=[0.3, 0.3, 0.2, 0.15, 0.05])))
    style = rng.integers(5)
    if style == 1:  # veined
        vein = np.exp(-((g.cloud(rng, field.shape, (60, 60)) / rng.uniform(0.05, 0.2)) ** 2))
        glaze = glaze * (1 - rng.uniform(0.15, 0.5) * vein[..., None])
    elif style == 2:  # stone or cement flecks
        glaze = glaze * (1 + 0.07 * g.cloud(rng, field.shape, (9, 14)) + 0.05 * g.cloud(rng, field.shape, (1, 1)))[..., None]
    elif style == 3 and rng.random() < 0.5:  # two colours by turns
        glaze = np.where((number % 2 == 0)[..., None], glaze, glaze * _pick(rng, GLAZES) * 1.4)
    ground = _pick(rng, GROUTS) * (1 + 0.06 * g.cloud(rng, field.shape, (5, 5)))[..., None]
    gap = g.cut(far, joint, field.px_per_mm)
    pillow = np.clip(far / rng.choice([2.0, 3.0, 9.0]), 0, 1) - 0.8 * gap[..., 0]
    wavy = float(rng.choice([0, 0.05, 0.25])) * g.cloud(rng, field.shape, (25, 25))
    shine = float(rng.choice([0.05, 0.1, 0.15, 0.3])) if rng.random() < 0.8 else None
    return g.material(
        glaze * (1 - gap) + ground * gap,
        (field.width, field.height),
        shine=shine,
        relief=pillow + wavy,
        depth_mm=float(rng.uniform(0.3, 1.4)),
        shift=tuple(rng.uniform(0, 400, 2)),
    )


def brick(rng: np.random.Generator) -> Surface:
    """Bricks bare, painted over or slurried."""
    made = g.rows(((225, 75), (240, 62), (300, 60), (210, 140))[rng.integers(4)], float(rng.choice([0.5, 0.5, 1 / 3, 0.25, 0])))
    field, (number, far) = made
    rgb = _pick(rng, BRICKS)
    body = rgb * g.per_piece(rng, number, float(rng.uniform(0.06, 0.3)))
    rough = g.cloud(rng, field.shape, (3, 3))
    body = body * (1 + 0.12 * rough + 0.1 * g.cloud(rng, field.shape, (20, 30)))[..., None]
    gap = g.cut(far + 0.8 * g.cloud(rng, field.shape, (4, 4)), 10, 0.5)
    mortar = _pick(rng, ["c9c0b0", "9d968a", "e4dfd4", "5d5953"]) * (1 + 0.1 * rough)[..., None]
    if rng.random() < 0.3:  # painted over
        one = _pick(rng, PAINTS)
        body, mortar = one * (1 + 0.03 * rough)[..., None], one * (0.95 + 0.02 * rough)[..., None]
    relief = np.clip(far / 7, 0, 1) + 0.06 * rough
    picture = body * (1 - gap) + mortar * gap
    return g.material(picture, (field.width, field.height), relief=relief, depth_mm=float(rng.uniform(1.5, 5)))


def stone(rng: np.random.Generator) -> Surface:
    """Rubble, ashlar or slate in courses."""
    kind = rng.integers(3)
    if kind == 0:
        made = g.rubble(rng, (float(rng.uniform(120, 300)), float(rng.uniform(70, 200))), wild=float(rng.uniform(0.2, 0.42)))
    elif kind == 1:
        made = g.rows((float(rng.choice([400, 500, 650])), float(rng.choice([200, 260, 300]))), 0.5, 1200)
    else:
        made = g.rubble(rng, (260, 40), wild=0.3)
    field, (number, far) = made
    body = _pick(rng, STONES) * g.per_piece(rng, number, float(rng.uniform(0.06, 0.22)))
    rough = g.cloud(rng, field.shape, (2, 3)) + 1.5 * g.cloud(rng, field.shape, (12, 16))
    gap = g.cut(far, float(rng.uniform(3, 16)), 0.6)
    mortar = _pick(rng, ["cfc6b4", "a49c8e", "7d776d", "e6e0d4"])
    picture = body * (1 + 0.06 * rough)[..., None] * (1 - gap) + mortar * (1 + 0.04 * rough)[..., None] * gap
    relief = np.clip(far / 14, 0, 1) + 0.05 * rough
    return g.material(picture, (field.width, field.height), relief=relief, depth_mm=float(rng.uniform(2, 8)))


def slab(rng: np.random.Generator) -> Surface:
    """Marble, terrazzo or plain composite: one piece."""
    rgb = _pick(rng, ["efece6", "d8d4cc", "bdb9b2", "8f8b85", "4c4a49", "2a2a2c", "cbb79b", "7e8a80"])
    if rng.random() < 0.35:
        _, (number, _) = g.rubble(rng, (16, 16), 420, 0.45)
        chips = np.where((number % 3 == 0)[..., None], rgb, _pick(rng, STONES) * g.per_piece(rng, number, 0.35))
        return g.material(chips, (420, 420), shine=0.12)
    bent = g.cloud(rng, (768, 768), (50, 80))
    vein = np.exp(-((bent / rng.uniform(0.04, 0.25)) ** 2)) * rng.choice([-0.4, -0.2, 0.5])
    picture = rgb * (1 + vein + 0.05 * g.cloud(rng, (768, 768), (40, 40)))[..., None]
    return g.material(picture, (1500, 1500), shine=float(rng.choice([0.06, 0.15, 0.3])))


def wood(rng: np.random.Generator, upright: bool = True, rgb: np.ndarray | None = None) -> Surface:
    """Grained timber in one piece, bare, stained or painted."""
    rgb = _pick(rng, WOODS) if rgb is None else rgb
    wave = 2.2 * g.cloud(rng, (1024, 512), (160, 24)) + np.linspace(0, float(rng.integers(6, 18)), 512, endpoint=False)[None]
    rings = 0.5 + 0.5 * np.sin(2 * np.pi * wave)
    picture = rgb * (1 - rng.uniform(0.05, 0.3) * rings**2 + 0.05 * g.cloud(rng, (1024, 512), (60, 1)))[..., None]
    size = (240.0, 900.0)
    if not upright:
        picture, size = picture.transpose(1, 0, 2), (900.0, 240.0)
    return g.material(picture, size, shine=float(rng.uniform(0.15, 0.45)) if rng.random() < 0.7 else None)


def gloss(rng: np.random.Generator) -> Surface:
    """Painted joinery."""
    return painted(
        rng, _pick(rng, ["f7f5ef", "ffffff", "e9e6dc", "dad5c8", "3c4a48", "27313a", "7d8a80", "a9b4b0", "8a3b32", "c9c3b4"])
    )


def boards(rng: np.random.Generator) -> Surface:
    """Matchboard, shiplap or battens, upright or lying."""
    pitch = float(rng.choice([70, 90, 100, 120, 145, 200]))
    count = max(2, round(900 / pitch))
    field = g.sheet(count * pitch, 900)
    number = np.floor(field.x / pitch).astype(int)
    far = np.minimum(field.x % pitch, pitch - field.x % pitch)
    if rng.random() < 0.5:
        picture = _pick(rng, PAINTS) * g.per_piece(rng, number, 0.015)
    else:
        grain = g.cloud(rng, field.shape, (70, 1.5))
        picture = _pick(rng, WOODS) * g.per_piece(rng, number, 0.1) * (1 + 0.09 * grain)[..., None]
    gap = g.cut(far, float(rng.uniform(1, 6)), field.px_per_mm)
    picture = picture * (1 - rng.uniform(0.3, 0.8) * gap)
    relief, size = np.clip(far / rng.uniform(3, 12), 0, 1), (field.width, field.height)
    if rng.random() < 0.35:
        picture, relief, size = picture.transpose(1, 0, 2), relief.T, size[::-1]
    return g.material(picture, size, relief=relief, depth_mm=float(rng.uniform(1, 5)), shine=0.35 if rng.random() < 0.4 else None)


def panels(rng: np.random.Generator) -> Surface:
    """Raised and fielded panels or plain frames of beading: many upright lines."""
    w, h = float(rng.choice([320, 420, 560])), float(rng.choice([500, 700, 900]))
    field = g.sheet(w, h, 1.4)
    rim = np.minimum(np.minimum(field.x, w - field.x), np.minimum(field.y, h - field.y))
    at = float(rng.uniform(40, 75))
    relief = 0.5 - 0.5 * ((rim > at) & (rim < at + 14)) + 0.4 * np.clip((rim - at - 14) / 40, 0, 1)
    picture = np.broadcast_to(_pick(rng, PAINTS), (*field.shape, 3)) * (1 - 0.12 * (np.abs(rim - at) < 1.2))[..., None]
    return g.material(picture, (w, h), relief=relief, depth_mm=6.0, shine=0.4, shift=tuple(rng.uniform(0, 400, 2)))


def paper(rng: np.random.Generator) -> Surface:
    """Wallpaper: stripes, trellis, sprigs, waves, checks, blots."""
    w = float(rng.choice([90, 130, 170, 260, 340]))
    field = g.sheet(w, w, 2.5, 640)
    x, y = field.x / w, field.y / w
    kind = rng.integers(7)
    tau = 2 * np.pi
    if kind == 0:
        mask = (x % 1 < rng.uniform(0.1, 0.6)) | (np.abs(x - 0.8) < 0.03)
    elif kind == 1:
        mask = np.abs((x + y) % 0.5 - 0.25) < 0.03
        mask |= np.abs((x - y) % 0.5 - 0.25) < 0.03
    elif kind == 2:
        petals = 0.2 * (1 + 0.45 * np.cos(rng.integers(4, 8) * np.arctan2(y - 0.5, x - 0.5)))
        mask = np.hypot(x - 0.5, y - 0.5) < petals
        mask |= np.hypot(np.mod(x + 0.5, 1) - 0.5, np.mod(y + 0.5, 1) - 0.5) < 0.09
    elif kind == 3:
        mask = np.sin(tau * (y * 3 + 0.25 * np.sin(tau * x))) > rng.uniform(0, 0.8)
    elif kind == 4:
        mask = ((x % 0.5 < 0.25) ^ (y % 0.5 < 0.25)) | (x < 0.03)
    elif kind == 5:
        mask = g.cloud(rng, field.shape, (22, 22)) > rng.uniform(0.2, 1)
    else:
        mask = np.cos(tau * x) * np.cos(tau * y) + 0.4 * np.cos(3 * tau * x) * np.cos(2 * tau * y) > 0.2
    ground = _pick(rng, PAINTS)
    ink = (
        g.near_grey(ground, _pick(rng, PAINTS))
        if rng.random() < 0.3
        else ground * rng.uniform(0.5, 1.2) * 0.7 + 0.3 * _pick(rng, PAINTS)
    )
    picture = np.where(mask[..., None], ink, ground) * (1 + 0.01 * g.cloud(rng, field.shape, (1, 1)))[..., None]
    return g.material(picture, (w, w), shift=tuple(rng.uniform(0, 300, 2)))


def woven(rng: np.random.Generator) -> Surface:
    """Cloth for curtains, towels, rugs."""
    rgb = _pick(rng, PAINTS)
    field = g.sheet(160, 160, 2.5)
    stripe = (field.x % 80 < rng.uniform(4, 40)) if rng.random() < 0.5 else np.zeros(field.shape, bool)
    weave = 0.05 * g.cloud(rng, field.shape, (1, 3))
    return g.material(np.where(stripe[..., None], _pick(rng, PAINTS), rgb) * (1 + weave)[..., None], (160, 160))


PLACES: dict[str, tuple[tuple[g.Maker, float], ...]] = {
    "bath": ((tiles, 7), (slab, 1.2), (painted, 1.5), (plaster, 0.4), (concrete, 0.6), (boards, 0.3)),
    "room": ((painted, 4), (paper, 2), (plaster, 1), (boards, 1.2), (panels, 0.8), (brick, 0.7), (concrete, 0.4), (tiles, 0.6)),
    "cellar": ((brick, 3), (stone, 3), (plaster, 1.2), (concrete, 1), (painted, 0.5)),
    "porch": ((plaster, 1.5), (brick, 1.5), (stone, 1.5), (boards, 1.5), (painted, 1), (concrete, 0.4)),
    "hearth": ((brick, 2), (stone, 1.5), (slab, 1.5), (tiles, 1.5), (plaster, 0.7), (concrete, 0.5)),
    "floor": ((tiles, 2.5), (wood, 1.5), (boards, 1.5), (concrete, 0.8), (slab, 0.8), (stone, 0.4)),
}


def chosen(rng: np.random.Generator, place: str) -> Surface:
    makers, weights = zip(*PLACES[place], strict=True)
    p = np.array(weights) / sum(weights)
    return makers[int(rng.choice(len(makers), p=p))](rng)


def plain_wood(rng: np.random.Generator) -> Surface:
    """Split or sawn timber without a pattern."""
    return plain(tuple(_pick(rng, WOODS)))
