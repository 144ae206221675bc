"""The path-traced photos with their truth: where they are, whether they are the right ones, and how a check of one is asked for.

A scene is NAME.jpg with NAME.json (truth, options) and NAME.readings.toml beside it; rough corners are drawn within a disc of
15 px at 12 megapixels.
"""

from __future__ import annotations

import hashlib
import json
import math
import re
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np

from api.points import card_corners, plumb_line
from vision.check import CardCorners, CheckRequest, PlumbLine, TapeFacts, facts_from_toml
from vision.geometry.opening import SIZES

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = (ROOT / "sample_images", ROOT / "tests" / "benchmarks" / "scenes")
NUMBERED = ("third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth")
SETS = ("rooms", "other_rooms", *(f"{number}_rooms" for number in NUMBERED))
SUMS = tuple(FOLDERS[1] / f"{name}.sha256" for name in SETS)
ROUGH_PX = 15.0
DIAGONAL_12MP_PX = 5040.0
ROOMS = ("sheet", "opposite", "four", "letters")
"""layouts of the random rooms, as their truth names them"""
IN_PLANE_MM = 10.0
"""mm; a card further from the opening plane than this is not in it (tape and curl make some millimetres)"""
OPTIONS = ("as stated", "defaults")
"""the scene's own options, or the kinds of card alone, so that the default priors must cover the rest"""
CLOSE, CLOSE_PX, STATED_PX = "marked closely", 3.0, 4.0
"""the scene's own options with corners that are off by at most so many px, and how well they are then stated to be marked"""
WALLS = (
    ("lean_left", "lean_left_mm_per_m"),
    ("lean_right", "lean_right_mm_per_m"),
    ("taper", "taper_mm_per_m"),
    ("rack", "rack_mm_per_m"),
    ("bow_left", "bow_left_mm"),
    ("bow_right", "bow_right_mm"),
    ("curb_level", "curb_level_mm_per_m"),
    ("curb_against_head", "curb_against_head_mm_per_m"),
    ("plumb_rectangle", "plumb_rectangle_mm"),
)
"""quantity -> key of the truth"""


@dataclass(frozen=True)
class Scene:
    """One photo and where its truth is."""

    photo: Path

    @property
    def name(self) -> str:
        return self.photo.stem

    @cached_property
    def truth(self) -> dict[str, Any]:
        return dict(json.loads(self.photo.with_suffix(".json").read_text()))

    @cached_property
    def readings(self) -> TapeFacts:
        """What was read on site; nothing where there is no such file."""
        path = self.photo.with_suffix(".readings.toml")
        return facts_from_toml(path.read_text()) if path.exists() else TapeFacts()

    @property
    def stated(self) -> dict[str, list[str]]:
        """The scene's options and their values."""
        words = self.truth["command_options"]
        found: dict[str, list[str]] = {}
        for word, value in zip(words, [*words[1:], ""], strict=True):
            if word.startswith("--"):
                found.setdefault(word, []).append(value)
        return found

    @property
    def layout(self) -> str:
        """The random rooms' own key; else number and kind of the references, with a star where their lengths are stated."""
        if "layout" in self.truth:
            return str(self.truth["layout"])
        kinds = [card["kind"] for card in self.truth["cards"]]
        return f"{len(kinds)} {kinds[0] if kinds else 'none'}{'*' if self.lengths_stated else ''}"

    @property
    def is_room(self) -> bool:
        """One of the random rooms: lengths and offsets stated as the accuracy table asks."""
        return "layout" in self.truth

    @property
    def lengths_stated(self) -> bool:
        return any("=" in card for card in self.stated.get("--card", ()))

    @property
    def references(self) -> int:
        """Cards in the plane of the opening."""
        return sum(abs(card["offset_mm"]) <= IN_PLANE_MM for card in self.truth["cards"])

    @property
    def distance_mm(self) -> float:
        """From the camera to the plane of the opening."""
        return float(self.truth["camera"]["position_mm"][2])

    def true(self) -> dict[str, float]:
        """True sizes (mm) and true quantities of walls and curb (mm/m and mm)."""
        out = {name: float(value) for name, value in self.truth["sizes_mm"].items() if name in SIZES and value is not None}
        opening = self.truth["opening"]
        return out | {name: float(opening[key]) for name, key in WALLS if opening.get(key) is not None}

    def request(self, draw: int, options: str) -> CheckRequest:
        """The check with one draw of rough corners, with the scene's readings and these OPTIONS; CLOSE marks corners closely."""
        cards = tuple(self.stated.get("--card", ()))
        if options == "defaults":
            cards = tuple(dict.fromkeys(re.split("[#@=]", card)[0] for card in cards))
        return CheckRequest(
            photos=((self.photo.name, self.photo.read_bytes()),),
            tape=self.readings,
            cards=cards,
            card_corners=tuple(CardCorners(*card_corners(v)) for v in self.stated.get("--card-corners", ())),
            corners=(self._rough(draw, CLOSE_PX if options == CLOSE else ROUGH_PX),),  # type: ignore[arg-type]  # four of them
            corners_within_px=STATED_PX if options == CLOSE else None,
            plumb_lines=tuple(PlumbLine(*plumb_line(v)) for v in self.stated.get("--plumb-line", ())),
            head="--no-head" not in self.stated,
            height=next(iter(self.stated.get("--height", ())), None),
        )

    def _rough(self, draw: int, within_px: float = ROUGH_PX) -> tuple[tuple[float, float], ...]:
        """The true corners, each moved uniformly within a disc."""
        rng = np.random.default_rng([draw, zlib.crc32(self.name.encode())])
        image = self.truth["image"]
        reach = within_px * min(1.0, math.hypot(image["width"], image["height"]) / DIAGONAL_12MP_PX)
        r, turn = reach * np.sqrt(rng.random(4)), rng.random(4) * 2 * np.pi
        moved = np.array(self.truth["opening"]["corners_px"]) + np.stack([r * np.cos(turn), r * np.sin(turn)], axis=1)
        return tuple((float(x), float(y)) for x, y in moved)


def scenes(names: Sequence[str] = (), folders: Sequence[Path] = ()) -> list[Scene]:
    """The committed scenes and those of more folders, those named or all."""
    found = [p for folder in (*FOLDERS, *folders) for p in sorted(folder.glob("*.jpg")) if p.with_suffix(".json").exists()]
    return [Scene(p) for p in found if not names or p.stem in names]


def differences(folders: Sequence[Path]) -> list[str]:
    """What these folders lack of the rooms that SUMS list, or have otherwise; a set is listed by its folder's name."""
    out: list[str] = []
    listed = dict(reversed(line.split()) for path in SUMS for line in path.read_text().splitlines())
    for folder in folders:
        its = {name: digest for name, digest in listed.items() if name.split("/")[0] == folder.name}
        if not its:
            out.append(f"{folder}: no set of this name in {' or '.join(path.name for path in SUMS)}, so nothing is checked")
        for name, digest in its.items():
            path = folder / name.split("/")[1]
            if not path.exists():
                out.append(f"{name}: missing")
            elif hashlib.sha256(path.read_bytes()).hexdigest() != digest:
                out.append(f"{name}: differs from the one listed")
        extra = sorted({f"{folder.name}/{p.name}" for p in folder.glob("*.jpg")} - set(its)) if its else []
        out += [f"{name}: not listed" for name in extra]
    return out
