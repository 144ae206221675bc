"""What each flat room is: layout, opening, cards, finishes, camera and readings, all from one generator."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from fractions import Fraction
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.scenes.flat_looks import draw_look
from tests.benchmarks.scenes.flat_paint import Look
from tests.benchmarks.scenes.flat_rooms import Camera, Opening

F = NDArray[Any]
RNG = np.random.Generator
COUNTS = {"one": 3, "sheet": 5, "two": 6, "four": 6, "letters": 6, "custom": 4, "plumb": 3, "lean": 3}
COUNTS |= {"back": 2, "proud": 2, "unstated": 2}
LAYOUTS = [(layout, number + 1) for layout, count in COUNTS.items() for number in range(count)]  # 42, of which 2 open above
NOMINAL = {"id-1": (85.6, 53.98), "a4": (210.0, 297.0), "letter": (215.9, 279.4)}
SLOTS = {"lb": (-1, 0.12), "lm": (-1, 0.5), "lt": (-1, 0.86), "rb": (1, 0.12), "rm": (1, 0.5), "rt": (1, 0.86)}
OFFSET = {"proud": -25.0, "unstated": -12.0}


@dataclass(frozen=True)
class Room:
    """All that a photo is made from, and its truth."""

    opening: Opening
    camera: Camera
    look: Look
    size: tuple[int, int]
    focal35: float
    turned: bool
    quality: int
    truth: dict[str, Any]


def draw(layout: str, number: int, rng: RNG, seed: int) -> Room:
    """One room; the truth uses `rng` first, so that looks never move it."""
    use = str(rng.choice(["shower", "shower", "tub", "door", "window"]))
    if layout in ("back", "plumb", "lean"):
        use = "shower"
    opening = _opening(rng, use, layout, number)
    depth = {"window": 150.0, "tub": 760.0}.get(use, float(rng.uniform(700, 1000)))
    cards = _cards(rng, layout, opening, depth, {"door": -12.0, "shower": -87.0}.get(use, -470.0))
    camera, size, focal35 = _camera(rng, opening, cards)
    string = _string(rng, opening, layout)
    cards = _numbered(cards, camera)
    truth: dict[str, Any] = {"scene": f"flat_{layout}_{number:02d}", "layout": layout, "use": use, **opening.truth()}
    truth["corners_px"] = camera.project(np.c_[opening.corners(), np.zeros(4)]).tolist()
    truth["cards"] = [{k: v for k, v in c.items() if k != "points"} for c in cards]
    truth["camera"] = {
        "f_px": camera.f,
        "cx": camera.cx,
        "cy": camera.cy,
        "k1": camera.k1,
        "position_mm": camera.position.tolist(),
    }
    truth["camera"] |= {"rotation": camera.rotation.tolist(), "oblique_deg": _oblique(camera, opening)}
    truth["opening"] = asdict(opening)
    truth["honest"] = layout != "unstated"
    truth["command_options"] = _options(rng, cards, opening, string, camera, depth)
    truth["unit"] = str(rng.choice(["in", "in", "mm"]))
    truth["readings"], truth["slip"] = _readings(rng, truth)
    look = draw_look(np.random.default_rng(seed), use, opening, cards, string, depth)
    for told, card in zip(truth["cards"], cards, strict=True):
        told |= {k: card[k] for k in ("style", "rim_over_wall")}
    truth["finishes"] = {n: [f.kind, f.rgb, f.size] for n in ("wall", "inside", "front", "sill") for f in [getattr(look, n)]}
    truth["edges"] = {"faces": look.faces, "arris": look.arris, "seam": look.seam, "trim_mm": look.trim, "cap_mm": look.cap}
    return Room(opening, camera, look, size, focal35, bool(rng.random() < 0.15), int(rng.integers(88, 96)), truth)


def _opening(rng: RNG, use: str, layout: str, number: int) -> Opening:
    sizes = {"shower": (800, 1650, 1850, 2100), "tub": (1400, 1650, 1400, 1600), "door": (700, 900, 1980, 2080)}
    w0, w1, h0, h1 = sizes.get(use, (700, 1400, 900, 1300))
    big = 6.0 if layout == "lean" else 1.5
    lean = rng.normal(0, big, 2)
    bow, slopes = rng.normal(0, 1.0, 2), rng.normal(0, 1.5, 2)
    head = not (use == "shower" and layout in ("letters", "four") and number <= 3)
    return Opening(float(rng.uniform(w0, w1)), float(rng.uniform(h0, h1)), *map(float, (*lean, *bow, *slopes)), head=head)


def _cards(rng: RNG, layout: str, opening: Opening, depth: float, floor: float) -> list[dict[str, Any]]:
    corner = [["lb", "rt"], ["lt", "rb"]][int(rng.integers(2))]
    side = [str(rng.choice(["lm", "rm"]))]
    paper = str(rng.choice(["letter", "letter", "a4"]))
    custom = f"{int(rng.integers(90, 200))}x{int(rng.integers(120, 260))}mm"
    kinds = {"one": ("id-1", side), "sheet": (paper, side), "two": ("id-1", corner), "four": ("id-1", ["lb", "lt", "rb", "rt"])}
    kinds |= {"custom": (custom, corner), "plumb": ("letter", corner), "lean": ("letter", corner), "back": ("letter", ["back"])}
    kind, slots = kinds.get(layout, ("letter", corner))
    out = []
    for k, slot in enumerate(slots):
        nominal = NOMINAL.get(kind) or tuple(float(s) for s in kind[:-2].split("x"))
        spread = {"id-1": (0.06, 0.03), "letter": (0.7, 0.7), "a4": (0.7, 0.7)}.get(kind, (0.3, 0.3))
        true = [float(n + rng.normal(0, s)) for n, s in zip(nominal, spread, strict=True)]
        long_level = bool(rng.random() < (0.75 if kind == "id-1" else 0.3))
        w, h = (max(true), min(true)) if long_level else (min(true), max(true))
        w, h = (w, h) if kind in NOMINAL else (true[0], true[1])
        out.append(_card(rng, kind, true, (w, h), slot, opening, depth, layout, k, floor))
    return out


def _card(
    rng: RNG,
    kind: str,
    true: list[float],
    wh: tuple[float, float],
    slot: str,
    opening: Opening,
    depth: float,
    layout: str,
    k: int,
    floor: float,
) -> dict[str, Any]:
    thick = 0.76 if kind == "id-1" else 0.1
    offset = -(thick + abs(float(rng.normal(0, 0.3))))
    if k == 0 and layout in OFFSET:
        offset = OFFSET[layout] + float(rng.normal(0, 1.5))
    if slot == "back":
        offset = depth - 0.2
        x, y = opening.width * float(rng.uniform(0.35, 0.65)), opening.height * float(rng.uniform(0.35, 0.6))
    else:
        way, share = SLOTS[slot]
        gap = float(rng.uniform(25, 110)) + wh[0] / 2
        y = max(opening.height * (share + float(rng.uniform(-0.08, 0.08))), wh[1] / 2 + floor)
        x = -gap + float(opening.left(np.float64(y))) if way < 0 else gap + float(opening.right(np.float64(y)))
    turn = float(np.radians(rng.normal(0, 1.5)))
    c, s = np.cos(turn), np.sin(turn)
    local = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * np.array(wh) / 2
    flat = local @ np.array([[c, s], [-s, c]]) + (x, y)
    return {"kind": kind, "size_mm": true, "upright_mm": wh, "offset_mm": offset, "centre_mm": (x, y), "turn_rad": turn,
            "points": np.c_[flat, np.full(4, -offset)], "slot": slot}  # fmt: skip


def _camera(rng: RNG, opening: Opening, cards: list[dict[str, Any]]) -> tuple[Camera, tuple[int, int], float]:
    points = np.vstack([np.c_[opening.corners(), np.zeros(4)], *[c["points"] for c in cards]])
    low, high = points[:, :2].min(0), points[:, :2].max(0)
    span, mid = high - low, (low + high) / 2
    size = (4032, 3024) if span[0] > 1.05 * span[1] else (3024, 4032)
    focal35, floor = float(rng.choice([23, 24, 26, 26, 27])), rng.uniform(950, 1650)
    k1, centre = float(np.clip(rng.normal(0, 0.008), -0.02, 0.02)), rng.normal(0, 15, 2)
    f = focal35 * float(np.hypot(*size)) / 43.2666 * float(rng.normal(1, 0.02))
    curb = {True: 120.0, False: 900.0}[opening.height > 1350]
    for attempt in range(4000):
        z = float(rng.uniform(1800, 3200)) if attempt < 3000 else 3200.0
        yaw = np.radians(float(np.clip(rng.normal(0, 8), -20, 20)) * (0.3 if attempt >= 3000 else 1))
        place = np.array([mid[0] + z * np.tan(yaw), floor - curb, z])
        aim = np.array([*(mid + rng.normal(0, 60, 2)), 0.0]) - place
        aim /= np.linalg.norm(aim)
        right = np.cross(aim, [0, 1, 0])
        right /= np.linalg.norm(right)
        down, roll = np.cross(aim, right), np.radians(float(rng.normal(0, 1.2)))
        turned = np.array([np.cos(roll) * right + np.sin(roll) * down, np.cos(roll) * down - np.sin(roll) * right, aim])
        camera = Camera(f, size[0] / 2 - 0.5 + centre[0], size[1] / 2 - 0.5 + centre[1], k1, turned, place)
        px = camera.project(points)
        reach = (px.max(0) - px.min(0)) / np.array(size)
        if (px.min(0) > 70).all() and (px.max(0) < np.array(size) - 70).all() and reach.max() > (0.62 if attempt < 2000 else 0.4):
            return camera, size, focal35
    raise ValueError(f"no camera sees it all: {span}")


def _oblique(camera: Camera, opening: Opening) -> float:
    to = np.array([opening.width / 2, opening.height / 2, 0]) - camera.position
    return float(np.degrees(np.arccos(-to[2] / np.linalg.norm(to))))


def _string(rng: RNG, opening: Opening, layout: str) -> tuple[float, float, float, float, float] | None:
    if not (layout in ("plumb", "lean") or (layout in ("letters", "four") and rng.random() < 0.4)):
        return None
    x = opening.width * float(rng.uniform(0.3, 0.7))
    return x, float(rng.normal(0, 0.2e-3)), 110.0, opening.height + (60 if not opening.head else 0), float(rng.uniform(0.7, 1.2))


def _numbered(cards: list[dict[str, Any]], camera: Camera) -> list[dict[str, Any]]:
    for card in cards:
        card["corners_px"] = camera.project(card["points"]).tolist()
    cards = sorted(cards, key=lambda c: (np.mean(c["corners_px"], 0)[0], np.mean(c["corners_px"], 0)[1]))
    return [{"number": n + 1, **c} for n, c in enumerate(cards)]


def _options(rng: RNG, cards: list[dict[str, Any]], opening: Opening, string: Any, camera: Camera, depth: float) -> list[str]:
    out: list[str] = []
    for card in cards:
        many, kind = len(cards) > 1, card["kind"]
        if kind == "id-1":
            if card["number"] == 1:
                out += ["--card", "id-1"]
            continue
        text = kind + (f"#{card['number']}" if many else "")
        if card["slot"] == "back":
            text += f"@{card['offset_mm'] + rng.normal(0, 3):.0f}+-4"
        elif card["offset_mm"] < -20:
            text += f"@{card['offset_mm'] + rng.normal(0, 1.5):.0f}+-2"
        stated = [s + float(rng.normal(0, 0.25)) for s in card["size_mm"]]
        out += ["--card", text + f"={stated[0]:.1f}x{stated[1]:.1f}mm+-0.3"]
    if string:
        x, lean, y0, y1, _ = string
        ends = np.array([[x + lean * (y1 - y0 - 150), y1 - 150, 0], [x, y0 + 60, 0]])
        (a, b), (c, d) = np.rint(camera.project(ends) + rng.uniform(-8, 8, (2, 2))).astype(int)
        out += ["--plumb-line", f"{a},{b} {c},{d}"]
    return out if opening.head else [*out, "--no-head", "--height", f"{opening.height:.0f} mm"]


def _text(mm: float, unit: str) -> str:
    if unit == "mm":
        return f"{mm:.0f}"
    sixteenths = round(mm / 25.4 * 16)
    rest = Fraction(sixteenths % 16, 16)
    return f"{sixteenths // 16}" + (f" {rest}" if rest else "")


def _readings(rng: RNG, truth: dict[str, Any]) -> tuple[dict[str, str], dict[str, Any] | None]:
    read = {n: mm + float(np.clip(rng.normal(0, 0.5), -1, 1)) for n, mm in truth["sizes_mm"].items()}
    slip: dict[str, Any] | None = None
    if rng.random() < 0.5:
        name, kind = str(rng.choice(sorted(read))), str(rng.choice(["inch", "inch", "three eighths", "transposed"]))
        add = {"inch": 25.4, "three eighths": 9.525}.get(kind, 0.0) * float(rng.choice([-1, 1]))
        if kind == "transposed":
            whole = f"{read[name]:.0f}" if truth["unit"] == "mm" else f"{int(read[name] / 25.4)}"
            pairs = [i for i in range(1 if len(whole) > 2 else 0, len(whole) - 1) if whole[i] != whole[i + 1]]
            if pairs:
                i = pairs[0]
                swapped = int(whole[:i] + whole[i + 1] + whole[i] + whole[i + 2 :])
                add = (swapped - int(whole)) * (1.0 if truth["unit"] == "mm" else 25.4)
            else:
                kind, add = "inch", 25.4
        read[name] += add
        slip = {"reading": name, "kind": kind, "amount_mm": add}
    return {n: _text(mm, truth["unit"]) for n, mm in read.items()}, slip


def readings_text(truth: dict[str, Any]) -> str:
    """The readings file."""
    lines = "\n".join(f'{n} = "{t}"' for n, t in truth["readings"].items())
    return f'# {truth["scene"]}\nunit = "{truth["unit"]}"\n\n[readings]\n{lines}\n'
