"""References of the eighth rooms: bank-size cards and sheets of paper, their prints, and how they hang on the wall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.benchmarks.scenes.eighth_looks import RGB, Look, Surface, bitmap, coated, field
from tests.benchmarks.scenes.eighth_plan import Deal

from studio.shapes import Builder, placed, rounded_rectangle  # isort: skip  # on the path since eighth_looks
from studio.things import Card  # isort: skip

ID1 = (85.60, 53.98)
PAPER = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
THICK = {"id-1": 0.8, "a4": 0.1, "letter": 0.1}
RULE_SD = 0.15
STATED_SD = 0.5
INKS: tuple[RGB, ...] = ((0.04, 0.07, 0.2), (0.3, 0.03, 0.05), (0.02, 0.16, 0.1), (0.05, 0.05, 0.06), (0.35, 0.16, 0.02))
GROUNDS: tuple[RGB, ...] = (
    (0.80, 0.80, 0.78),
    (0.78, 0.76, 0.68),
    (0.05, 0.16, 0.36),
    (0.42, 0.06, 0.07),
    (0.04, 0.26, 0.18),
    (0.06, 0.06, 0.07),
    (0.62, 0.52, 0.12),
    (0.38, 0.40, 0.44),
    (0.55, 0.26, 0.06),
    (0.20, 0.10, 0.30),
)
PRINTS = ("blank", "bars", "hills", "net", "chip", "halves", "rosette", "number", "photo", "frame")
PAGES = ("blank", "typed", "table", "sketch", "grid", "tinted", "drawing")


@dataclass(frozen=True)
class Ref(Card):
    """A reference whose body has the thickness said here."""

    print_name: str = ""

    @property
    def front_z_mm(self) -> float:
        return self.back_z_mm + THICK[self.kind]


def draw_refs(deal: Deal, near: list[Look], rng: np.random.Generator) -> tuple[list[Ref], list[str]]:
    """References about (0, 0), and the command line's options for them."""
    count = {"four": 4, "opposite": 2, "oneside": 2, "letters": 2}.get(deal.layout, 1)
    if deal.layout not in ("sheet", "letters"):
        stated = round(float(rng.uniform(1.4, 1.8)), 1)
        pack = [float(n + np.clip(rng.normal(0, 0.04), -0.1, 0.1)) for n in ID1]
        refs = [_bank(pack, stated, near, rng) for _ in range(count)]
        return refs, ["--card", f"id-1@-{stated:g}+-{STATED_SD:g}"]
    kind = str(rng.choice(["a4", "letter"]))
    stated, options, sheets = round(float(rng.uniform(0.7, 1.0)), 1), [], []
    for number in range(1, count + 1):
        size = tuple(float(n + np.clip(rng.normal(0, 0.8), -1.8, 1.8)) for n in PAPER[kind])
        read = [round(side + float(rng.normal(0, RULE_SD)), 1) for side in size]
        which = f"{kind}#{number}" if count > 1 else kind
        options += ["--card", f"{which}@-{stated:g}+-{STATED_SD:g}={read[0]:g}x{read[1]:g}mm+-{RULE_SD:g}"]
        page = str(rng.choice(PAGES))
        front = Surface({"type": "diffuse", "reflectance": bitmap(page_print(page, rng)[::-1], "clamp")})
        back = off_wall(stated, (0.12, 2.0), rng) - THICK[kind]
        tape = coated((0.7, 0.68, 0.5), 0.3) if rng.random() < 0.6 else None
        sheets.append(
            Ref(kind, (size[0], size[1]), (0, 0), front, float(np.clip(rng.normal(0, 0.9), -2.5, 2.5)), back, None, tape, page)
        )
    return sheets, options


def off_wall(stated: float, between: tuple[float, float], rng: np.random.Generator) -> float:
    """The front's true distance from the wall plane: normal about what is stated, never inside the wall."""
    while True:
        value = stated + float(rng.normal(0, 0.5))
        if between[0] <= value <= between[1]:
            return round(value, 4)


def _bank(pack: list[float], stated: float, near: list[Look], rng: np.random.Generator) -> Ref:
    size = [float(side + rng.normal(0, 0.01)) for side in pack]
    for _ in range(50):
        ground = np.array(GROUNDS[rng.integers(len(GROUNDS))]) * rng.uniform(0.85, 1.05)
        if all(np.abs(np.log((ground + 0.02) / (np.array(look.rgb) + 0.02))).max() > 0.25 for look in near):
            break
    name = str(rng.choice(PRINTS))
    picture = bank_print(name, tuple(ground), rng)
    standing = bool(rng.random() < 0.22)
    if standing:
        size, picture = size[::-1], np.rot90(picture)
    gloss = float(np.exp(rng.uniform(np.log(0.06), np.log(0.3))))
    body = {"type": "roughplastic", "alpha": gloss, "nonlinear": True, "diffuse_reflectance": bitmap(picture[::-1], "clamp")}
    back = off_wall(stated, (0.81, 2.5), rng) - THICK["id-1"]
    turn = float(np.clip(rng.normal(0, 1.2), -3.5, 3.5))
    return Ref("id-1", (size[0], size[1]), (0, 0), Surface(body), turn, back, None, None, name)


def bank_print(name: str, ground: RGB, rng: np.random.Generator) -> np.ndarray:
    """A print of our own for a bank-size card, row 0 on top."""
    ny, nx = 432, 685
    y, x = np.mgrid[0:ny, 0:nx] / ny
    out = np.tile(np.array(ground), (ny, nx, 1))
    light = np.array((0.8, 0.79, 0.75)) if np.mean(ground) < 0.35 else np.array(INKS[rng.integers(5)])

    def put(where: np.ndarray, colour: np.ndarray) -> None:
        out[where] = colour

    if name == "bars":
        put((np.mod(x + 0.4 * y, 0.3) < 0.11) & (y > 0.3) & (y < 0.72), light)
    elif name == "hills":
        for k in range(3):
            put(y > 0.45 + 0.15 * k + 0.08 * np.sin(3.1 * x + 2.1 * k + rng.uniform(0, 6)), np.array(ground) * (0.8 - 0.2 * k))
    elif name == "net":
        put(
            (np.abs(np.mod(x * 9 + np.sin(y * 9), 1) - 0.5) < 0.06) | (np.abs(np.mod(y * 9 + np.sin(x * 7), 1) - 0.5) < 0.06),
            light,
        )
    elif name == "chip":
        put((np.abs(x - 0.24) < 0.1) & (np.abs(y - 0.45) < 0.085), np.array((0.6, 0.48, 0.2)))
        put(
            (np.abs(np.mod(y, 0.05) - 0.025) < 0.004) & (np.abs(x - 0.24) < 0.1) & (np.abs(y - 0.45) < 0.085),
            np.array((0.2, 0.15, 0.05)),
        )
        put((np.abs(y - 0.72) < 0.03) & (np.mod(x, 0.065) < 0.04) & (x > 0.12) & (x < 1.45) & (np.mod(x, 0.35) < 0.28), light)
    elif name == "halves":
        put(x + 0.5 * y > float(rng.uniform(0.7, 1.2)), np.array(GROUNDS[rng.integers(len(GROUNDS))]))
    elif name == "rosette":
        r, a = np.hypot(x - 1.1, y - 0.5), np.arctan2(y - 0.5, x - 1.1)
        put((np.abs(r - 0.3 * (1 + 0.3 * np.cos(6 * a))) < 0.03) | (r < 0.08), light)
    elif name == "number":
        for row in (0.22, 0.62, 0.78):
            put(
                (np.abs(y - row) < 0.035) & (np.mod(x * 1.0, 0.055) < 0.033) & (x > 0.15) & (x < 0.15 + rng.uniform(0.5, 1.2)),
                light,
            )
    elif name == "photo":
        put((np.abs(x - 0.33) < 0.17) & (np.abs(y - 0.5) < 0.25), np.array((0.45, 0.5, 0.55)))
        put(np.hypot(x - 0.33, y - 0.43) < 0.08, np.array((0.5, 0.34, 0.25)))
        put((np.hypot(x - 0.33, (y - 0.8) * 0.9) < 0.14) & (y < 0.75), np.array((0.12, 0.14, 0.2)))
        put((np.mod(y, 0.11) < 0.03) & (y > 0.25) & (y < 0.75) & (x > 0.62) & (x < 1.35), light)
    elif name == "frame":
        inner = np.minimum.reduce([x, y, x.max() - x, 1 - y])
        put((inner > 0.06) & (inner < 0.1), light)
    shade = 1 + 0.12 * rng.normal() * (y - 0.5) + 0.004 * field(rng, (ny, nx), (1.5, 1.5))
    return np.clip(out * shade[..., None], 0.01, 0.86)


def page_print(name: str, rng: np.random.Generator) -> np.ndarray:
    """A sheet, row 0 on top; the rim stays as white as the paper."""
    ny, nx = 1120, 800
    y, x = np.mgrid[0:ny, 0:nx] / nx
    tint = np.array(
        [(0.66, 0.74, 0.8), (0.8, 0.74, 0.5), (0.62, 0.76, 0.6)][rng.integers(3)] if name == "tinted" else (0.82, 0.82, 0.82)
    )
    out = np.tile(tint, (ny, nx, 1))
    inside = (x > 0.12) & (x < 0.88) & (y > 0.14) & (y < 1.26)
    ink = np.array(INKS[rng.integers(5)])
    if name in ("typed", "tinted"):
        line = np.floor(y / 0.034).astype(int)
        stop = rng.uniform(0.5, 0.86, 64)[line % 64] * (rng.random(64) > 0.15)[line % 64]
        word = np.mod(x + rng.random(64)[line % 64], 0.085) < 0.07
        letters = field(rng, (ny, nx), (3.0, 1.6)) > 0.1
        out[inside & (x < stop) & (np.mod(y, 0.034) < 0.016) & word & letters] = ink
    elif name == "table":
        out[inside & ((np.mod(y, 0.1) < 0.004) | (np.mod(x, 0.19) < 0.004))] = ink
        out[inside & (y < 0.2)] = 0.5
    elif name == "grid":
        out[(np.mod(x, 0.024) < 0.0025) | (np.mod(y, 0.024) < 0.0025)] = (0.5, 0.6, 0.75)
    elif name in ("sketch", "drawing"):
        for _ in range(7):
            cx, cy, r = rng.uniform(0.3, 0.7), rng.uniform(0.35, 1.05), rng.uniform(0.05, 0.2)
            shape = np.hypot(x - cx, y - cy) if name == "sketch" else np.maximum(np.abs(x - cx), 0.6 * np.abs(y - cy))
            out[inside & (np.abs(shape - r) < 0.004)] = ink
    return np.clip(out * (1 + 0.006 * field(rng, (ny, nx), (30, 30)))[..., None], 0.01, 0.88)


def hang(build: Builder, ref: Ref) -> None:
    """The body at its place; a sheet's upper corners under tape where it has some."""
    width, height = ref.size_mm
    outline = rounded_rectangle(width, height, 3.18 if ref.kind == "id-1" else 0.0)
    white = coated((0.74, 0.74, 0.72), 0.3) if ref.kind == "id-1" else coated((0.8, 0.8, 0.8), 0.6)
    build.slab(outline, THICK[ref.kind], placed(*ref.centre_mm, ref.back_z_mm, ref.turn_deg), ref.surface, white)
    if ref.tape is None:
        return
    strip = rounded_rectangle(15.0, 44.0, 0.0)
    for across in (-0.32, 0.34):
        shift = placed(0, 0, 0, ref.turn_deg)[:3, :3] @ np.array([across * width, 0.5 * height, 0.0])
        where = (ref.centre_mm[0] + float(shift[0]), ref.centre_mm[1] + float(shift[1]), ref.front_z_mm)
        build.slab(strip, 0.06, placed(*where, ref.turn_deg + 9 * across), ref.tape)
