"""The letter of the outside: what every report must hold, whatever it says. Written from the contract alone."""

from __future__ import annotations

import itertools
import json
import math
from typing import Any

import numpy as np

TOP = {"format", "cards", "sizes", "proportions", "walls", "curb", "not_measured", "readings", "findings", "order"}
SIZES = ["width_top", "width_middle", "width_bottom", "height_left", "height_right", "diagonal_rising", "diagonal_falling"]
WALLS = [
    "lean_left",
    "lean_right",
    "bow_left",
    "bow_right",
    "taper",
    "rack",
    "plumb_rectangle",
    "curb_level",
    "curb_against_head",
]
RATIOS = ["width_over_height", "top_over_bottom_width", "left_over_right_height"]
CODES = {
    "card-missing", "card-kind", "card-plane", "card-bent", "card-cut", "cards-disagree", "tilt-two-ways", "scale-in-doubt",
    "unexplained", "opening-cut", "edge-hidden", "blur", "cue-disagrees", "no-second-witness", "no-readings", "no-metadata",
    "not-an-image", "too-large", "needs-corners", "no-vertical", "no-head", "suspect-reading", "readings-missing",
    "readings-differ", "lean-over-limit", "taper-over-limit", "rectangle-too-narrow", "level-both-walls",
}  # fmt: skip
LATER = {"readings-do-not-close"}
VERDICTS = {"agrees", "suspect", "cannot tell"}
VERTICALS = {"plumb line", "level", "card", "grout", "gravity", "curb", "several"}


def numbers(node: Any, path: str = "") -> list[tuple[str, float]]:
    """Every number with where it stands."""
    if isinstance(node, dict):
        return [x for k, v in node.items() for x in numbers(v, f"{path}.{k}")]
    if isinstance(node, list):
        return [x for k, v in enumerate(node) for x in numbers(v, f"{path}[{k}]")]
    return [(path, float(node))] if isinstance(node, int | float) and not isinstance(node, bool) else []


def present(report: dict[str, Any]) -> set[str]:
    """Names of the quantities that are measured."""
    walls, curb = report["walls"], report["curb"]
    out = {*report["sizes"], *report["proportions"]}
    for side in ("left", "right"):
        out |= {f"{k}_{side}" for k, u in (("lean", "mm_per_m"), ("bow", "mm")) if f"{k}_{u}" in walls.get(side, {})}
    keys = {"taper": "taper_mm_per_m", "rack": "rack_mm_per_m", "plumb_rectangle": "plumb_rectangle_mm"}
    out |= {name for name, key in keys.items() if key in walls}
    keys = {"curb_level": "level_mm_per_m", "curb_against_head": "against_head_mm_per_m"}
    return out | {name for name, key in keys.items() if key in curb}


def breaches(report: dict[str, Any], result: dict[str, Any], truth: dict[str, Any] | None = None) -> list[str]:
    """What in a report goes against the contract, one line each."""
    out = [f"top-level key {k} missing" for k in TOP - set(report)]
    out += [f"not finite: {p}" for p, v in numbers(report) if not math.isfinite(v)]
    rc, order = result["rc"], report["order"]
    expected = 3 if "cannot_measure" in report else {"ready": 0, "hold": 1}[order["status"]]
    out += [f"exit {rc}, expected {expected}"] if rc != expected else []
    try:
        json.loads(result["stdout"], parse_constant=lambda c: (_ for _ in ()).throw(ValueError(c)))
    except ValueError as wrong:
        out.append(f"JSON: {wrong}")
    return [
        *out,
        *_measured(report),
        *_codes(report),
        *_readings(report),
        *_order(report),
        *(_cards(report, truth) if truth else []),
    ]


def _measured(report: dict[str, Any]) -> list[str]:
    out, walls, curb = [], report["walls"], report["curb"]
    for name, size in report["sizes"].items():
        gap = sum(v * v for v in size["budget_mm"].values()) - size["u_mm"] ** 2
        out += [f"{name}: budget off by {gap}"] if abs(gap) > 1e-9 else []
        out += [f"{name}: an other line"] if "other" in size["budget_mm"] else []
        out += [f"{name}: at_mm"] if ("at_mm" in size) != name.startswith("width") else []
        out += [f"{name}: u {size['u_mm']}"] if size["u_mm"] <= 0 else []
    have, listed = present(report), set(report["not_measured"])
    names = {*SIZES, *WALLS, *RATIOS}
    out += [f"neither measured nor listed: {n}" for n in sorted(names - have - listed)]
    out += [f"measured and listed: {n}" for n in sorted(have & listed)]
    out += [f"unknown name {n}" for n in sorted((have | listed) - names)]
    left, right = walls.get("left", {}), walls.get("right", {})
    if "lean_mm_per_m" in left and "lean_mm_per_m" in right and "taper_mm_per_m" in walls:
        gap = walls["taper_mm_per_m"] + left["lean_mm_per_m"] + right["lean_mm_per_m"]
        out += [f"taper identity {gap}"] if abs(gap) > 1e-9 else []
        if "level_mm_per_m" in curb and "rack_mm_per_m" in walls:
            rack = (left["lean_mm_per_m"] - right["lean_mm_per_m"]) / 2 + curb["level_mm_per_m"]
            out += [f"rack identity {walls['rack_mm_per_m'] - rack}"] if abs(walls["rack_mm_per_m"] - rack) > 1e-9 else []
    if "vertical" in walls and walls["vertical"] not in VERTICALS:
        out.append(f"vertical {walls['vertical']}")
    if ("lean_left" in have) != ("vertical" in walls):
        out.append("lean without vertical, or the other way round")
    return out


def _codes(report: dict[str, Any]) -> list[str]:
    out = []
    asked = [*report["not_measured"].items()] + (
        [("cannot_measure", report["cannot_measure"])] if "cannot_measure" in report else []
    )
    for name, entry in asked:
        out += [
            f"{name}: {k} missing or empty"
            for k in ("stage", "code", "found", "needed", "remedy")
            if not str(entry.get(k, "")).strip()
        ]
        out += [f"{name}: code {entry['code']} not in the list"] if entry["code"] not in CODES | LATER else []
    for where, entries in (("findings", report["findings"]), ("reasons", report["order"]["reasons"])):
        for entry in entries:
            out += [
                f"{where}: {k} missing or empty in {entry}" for k in ("code", "text", "next") if not str(entry.get(k, "")).strip()
            ]
            out += [f"{where}: code {entry['code']} not in the list"] if entry["code"] not in CODES | LATER else []
    return out


def _readings(report: dict[str, Any]) -> list[str]:
    out = []
    nullable = {"photo_mm", "u_photo_mm", "difference_mm", "smallest_visible_slip_mm", "smallest_visible_common_slip_mm"}
    for name, r in report["readings"].items():
        for key in {"text", "tape_mm", "u_tape_mm", "verdict", "explanations", *nullable}:
            if key not in r:
                out.append(f"{name}: {key} missing")
            elif r[key] is None and (key not in nullable or name in report["sizes"]):
                out.append(f"{name}: {key} null")
        out += [f"{name}: verdict {r['verdict']}"] if r["verdict"] not in VERDICTS else []
        if r.get("difference_mm") is not None and abs(r["tape_mm"] - r["photo_mm"] - r["difference_mm"]) > 1e-9:
            out.append(f"{name}: difference is not tape less photo")
        for e in r["explanations"]:
            out += [f"{name}: explanation {e}"] if e["code"] not in ("slip", "factor", "constant") or "readings" not in e else []
    return out


def _order(report: dict[str, Any]) -> list[str]:
    order, out = report["order"], []
    out += [f"order.{k} missing" for k in ("status", "reasons", "next") if k not in order]
    if order["status"] == "ready" and (order["reasons"] or [f for f in report["findings"] if f["code"] != "no-metadata"]):
        out.append("ready with reasons or findings")
    if order["status"] == "hold" and not order["reasons"]:
        out.append("hold without a reason")
    widths = {n: r for n, r in report["readings"].items() if n.startswith("width")}
    suspect = any(r["verdict"] == "suspect" for r in widths.values())
    governing = order.get("governing_width_mm")
    if (suspect or not widths) and governing is not None:
        out.append("governing width though a width is suspect or none is given")
    if widths and not suspect:
        least = min(r["tape_mm"] for r in widths.values())
        if governing is None:
            out.append("no governing width though no width is suspect")
        elif abs(governing - least) > 1e-6:
            out.append(f"governing width {governing}, smallest {least}")
    if suspect and "suspect-reading" not in [r["code"] for r in order["reasons"]]:
        out.append("a suspect reading is no reason")
    return out


def _cards(report: dict[str, Any], truth: dict[str, Any]) -> list[str]:
    out = []
    centres = [np.mean(c["corners_px"], 0) for c in report["cards"]]
    for a, b in itertools.pairwise(centres):
        out += [f"cards not left to right: {a} {b}"] if a[0] > b[0] + 0.5 else []
    out += ["card numbers"] if [c["number"] for c in report["cards"]] != list(range(1, len(centres) + 1)) else []
    for card, centre in zip(report["cards"], centres, strict=True):
        near = min(truth["cards"], key=lambda c: float(np.hypot(*(np.mean(c["corners_px"], 0) - centre))))
        ring = np.array(near["corners_px"])
        gap = min(float(np.abs(np.roll(np.array(card["corners_px"]), k, 0) - ring).max()) for k in range(4))
        if card["used"] and gap > 3:
            out.append(f"used card {card['number']} {card['kind']} is {gap:.1f} px from any true one")
        if card["used"] and gap <= 3 and card["kind"] != near["kind"]:
            out.append(f"used card {card['number']} called {card['kind']}, is {near['kind']}")
    return out
