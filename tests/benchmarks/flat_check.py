"""Holds the program, as a black box, to the truth of the flat rooms: runs the command, keeps its JSON, tabulates.

    python -m tests.benchmarks.flat_check [--scenes DIR] [--only NAME] [--tabulate]

Corners are drawn within 10 px of the truth (sd 4 px, clipped), lengths of sheets as the truth's `command_options` state them.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import time
import zlib
from pathlib import Path
from typing import Any

import numpy as np

from tests.benchmarks.flat_letter import breaches
from tests.benchmarks.scenes.flat_rooms import Opening

COMMAND = [sys.executable, "-c", "from api.cli import main; main()", "check"]


def corners_option(truth: dict[str, Any], sd: float = 4.0, limit: float = 10.0) -> str:
    """Rough corners as a person would give them; the same for the same scene."""
    rng = np.random.default_rng(zlib.crc32(truth["scene"].encode()))
    shifts = np.clip(rng.normal(0, sd, (4, 2)), -limit, limit)
    return " ".join(f"{x:.0f},{y:.0f}" for x, y in np.array(truth["corners_px"]) + shifts)


def marked_cards(truth: dict[str, Any]) -> list[str]:
    """All cards pointed out by hand within 3 px, in the order of their numbers."""
    rng, out = np.random.default_rng(zlib.crc32(truth["scene"].encode()) + 1), []
    for card in truth["cards"]:
        points = np.array(card["corners_px"]) + np.clip(rng.normal(0, 1.5, (4, 2)), -3, 3)
        out += ["--card-corners", f"{card['kind']} " + " ".join(f"{x:.0f},{y:.0f}" for x, y in points)]
    return out


def run(photo: Path, out: Path, within: float | None, marked: bool, corners: bool = True) -> None:
    """One check; writes JSON, exit code, standard error and seconds to `out`."""
    truth = json.loads(photo.with_suffix(".json").read_text())
    options = ["--readings", str(photo.with_suffix(".readings.toml")), *truth["command_options"]]
    rough = corners_option(truth, within / 3, 0.75 * within) if within else corners_option(truth)
    extra = ["--corners-within", f"{within:g}"] if within else []
    extra += marked_cards(truth) if marked else []
    call = [*COMMAND, str(photo), *options, *(["--corners", rough] if corners else []), *extra, "--json", "-"]
    start = time.monotonic()
    done = subprocess.run(call, capture_output=True, text=True, check=False)
    result = {
        "call": call[3:],
        "rc": done.returncode,
        "stdout": done.stdout,
        "stderr": done.stderr,
        "s": time.monotonic() - start,
    }
    (out / f"{photo.stem}.result.json").write_text(json.dumps(result))


def errors(truth: dict[str, Any], report: dict[str, Any]) -> dict[str, tuple[float, float]]:
    """Measured less true and stated u, by quantity (mm, mm/m or ratio)."""
    opening = Opening(**truth["opening"])
    out: dict[str, tuple[float, float]] = {}
    for name, size in report["sizes"].items():
        true = opening.width_at(size["at_mm"]) if name.startswith("width") else truth["sizes_mm"][name]
        out[name] = (size["value_mm"] - true, size["u_mm"])
    for name, ratio in report["proportions"].items():
        true = truth["walls"][name]
        out[name] = (ratio["value"] - true, ratio["u"])
    walls, curb, true = report["walls"], report["curb"], truth["walls"]
    for side in ("left", "right"):
        for key, unit in (("lean", "mm_per_m"), ("bow", "mm")):
            got = walls.get(side, {})
            if f"{key}_{unit}" in got:
                out[f"{key}_{side}"] = (got[f"{key}_{unit}"] - true[f"{key}_{side}"], got[f"u_{key}_{unit}"])
    for holder, key, name in (
        (walls, "taper_mm_per_m", "taper"),
        (walls, "rack_mm_per_m", "rack"),
        (walls, "plumb_rectangle_mm", "plumb_rectangle"),
        (curb, "level_mm_per_m", "curb_level"),
        (curb, "against_head_mm_per_m", "curb_against_head"),
    ):
        if key in holder:
            out[name] = (holder[key] - true[name], holder[f"u_{key}"])
    return out


def judged(truth: dict[str, Any], report: dict[str, Any]) -> str:
    """What became of the planted slip, or of clean readings."""
    verdicts = {n: r["verdict"] for n, r in report["readings"].items()}
    suspects = [n for n, v in verdicts.items() if v == "suspect"]
    slip = truth["slip"]
    if slip is None:
        return f"clean: BLAMED {suspects}" if suspects else f"clean: {list(verdicts.values()).count('agrees')} agree"
    name = slip["reading"]
    told = f"{slip['kind']} {slip['amount_mm']:+.0f} {name}: "
    seen = report["readings"].get(name, {}).get("smallest_visible_slip_mm")
    limit = f" (visible from {seen:.1f})" if seen else ""
    if suspects == [name]:
        return told + "named alone"
    if name in suspects:
        return told + f"named with {[s for s in suspects if s != name]}"
    if suspects:
        return told + f"BLAMED INSTEAD {suspects}"
    return told + f"{verdicts.get(name)}{limit}; cannot tell {list(verdicts.values()).count('cannot tell')}"


def tabulate(scenes: Path, out: Path, only: str) -> None:
    """Prints one block per photo, then the pooled figures."""
    pooled: dict[str, list[float]] = {}
    for path in sorted(scenes.glob(f"flat_{only}*.jpg")):
        truth = json.loads(path.with_suffix(".json").read_text())
        if not (out / f"{path.stem}.result.json").exists():
            continue
        result = json.loads((out / f"{path.stem}.result.json").read_text())
        print(f"\n{path.stem} {truth['use']} oblique {truth['camera']['oblique_deg']:.0f} rc {result['rc']} {result['s']:.0f} s")
        try:
            report = json.loads(result["stdout"])
        except ValueError:
            print("   NO JSON:", result["stderr"][-400:])
            continue
        for line in breaches(report, result, truth):
            print("   BREACH", line)
        if "cannot_measure" in report:
            c = report["cannot_measure"]
            print(f"   refused {c['stage']}/{c['code']}: {c['found']} | {c['remedy']}")
        found = errors(truth, report)
        line = [
            f"{n.replace('width', 'w').replace('height', 'h')} {e:+.1f}/{u:.1f}"
            for n, (e, u) in found.items()
            if n in report["sizes"]
        ]
        print("   sizes ", "  ".join(line))
        rest = {n: v for n, v in found.items() if n not in report["sizes"] and v[1] > 0}
        print("   others", "  ".join(f"{n} {e / u:+.1f}u" for n, (e, u) in rest.items()))
        print("   cards ", [(c["kind"], c["used"]) for c in report["cards"]], "of", len(truth["cards"]))
        print(
            "   codes ",
            [f["code"] for f in report["findings"]],
            "| order",
            report["order"]["status"],
            [r["code"] for r in report["order"]["reasons"]],
        )
        print("   slip  ", judged(truth, report))
        beyond = {n: round(e / u, 1) for n, (e, u) in found.items() if u > 0 and abs(e / u) > 3}
        if beyond:
            print("   BEYOND", beyond)
        if truth["honest"]:
            for n, (e, u) in found.items():
                pooled.setdefault(n, []).append(e / u)
                pooled.setdefault(f"layout {truth['layout']}", []).append(e / u)
    everything = np.concatenate([v for k, v in pooled.items() if not k.startswith("layout")] or [np.zeros(0)])
    far = np.sum(abs(everything) > 3)
    print(f"\npooled {len(everything)} numbers: squared error over u {np.mean(everything**2):.2f}, beyond 3 u: {far}")
    for name, values in sorted(pooled.items()):
        z = np.array(values)
        print(f"  {name:26s} n {len(z):3d}  mean square {np.mean(z**2):.2f}  worst {z[np.argmax(abs(z))]:+.1f}")


def summary(scenes: list[Path], runs: str) -> None:
    """One line per layout over several sets of photos: measured, refused, widths, squared error over u, slips."""
    rows: dict[str, dict[str, list[Any]]] = {}
    for path in sorted(p for s in scenes for p in s.glob("flat_*.jpg")):
        truth, kept = json.loads(path.with_suffix(".json").read_text()), path.parent / runs / f"{path.stem}.result.json"
        if not kept.exists():
            continue
        row = rows.setdefault(truth["layout"], {"w": [], "u": [], "z": [], "refused": [], "slip": [], "clean": []})
        result = json.loads(kept.read_text())
        if not result["stdout"]:
            row["refused"].append(f"exit {result['rc']}")
            continue
        report = json.loads(result["stdout"])
        found = errors(truth, report)
        row["refused"].append(report["cannot_measure"]["code"] if "cannot_measure" in report else None)
        row["w"] += [e for n, (e, u) in found.items() if n in report["sizes"] and n.startswith("width")]
        row["u"] += [u for n, (e, u) in found.items() if n in report["sizes"] and n.startswith("width")]
        row["z"] += [e / u for e, u in found.values()]
        suspects = [n for n, r in report["readings"].items() if r["verdict"] == "suspect"]
        if "cannot_measure" not in report:
            slip = truth["slip"]["reading"] if truth["slip"] else None
            row["slip" if slip else "clean"].append("alone" if suspects == [slip] else "blamed" if suspects else "unnamed")
    for layout, row in rows.items():
        w, z, codes = np.array(row["w"] or [np.nan]), np.array(row["z"] or [np.nan]), [c for c in row["refused"] if c]
        rms = float(np.sqrt(np.mean(w**2)))
        print(f"{layout:9s} {len(row['refused']):2d} photos, refused {len(codes)} {sorted(codes)}; widths rms {rms:.1f}", end=" ")
        print(
            f"worst {np.abs(w).max():.1f} u {np.mean(row['u'] or [np.nan]):.1f}; z2 {np.mean(z**2):.2f} n {len(z)} beyond 3",
            end=" ",
        )
        print(f"{np.sum(np.abs(z) > 3)}; slips {[(k, row['slip'].count(k)) for k in sorted(set(row['slip']))]}", end=" ")
        print(f"clean {[(k, row['clean'].count(k)) for k in sorted(set(row['clean']))]}")


def main() -> None:
    """Runs what is asked for, then tabulates."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scenes", type=Path, default=Path("flat"), help="folder that flat_rooms.py wrote")
    parser.add_argument("--out", type=Path, default=Path("flat/out"), help="where results are kept")
    parser.add_argument("--only", default="")
    parser.add_argument("--within", type=float, help="mark the corners within three quarters of it and state --corners-within PX")
    parser.add_argument("--marked", action="store_true", help="point out every card with --card-corners")
    parser.add_argument("--no-corners", action="store_true", help="let the program find the outline")
    parser.add_argument("--tabulate", action="store_true")
    parser.add_argument("--missing", action="store_true")
    parser.add_argument("--summary", nargs="*", type=Path, help="only the table over these folders of photos")
    parser.add_argument("--runs", default="out", help="sub-folder of the results for --summary")
    args = parser.parse_args()
    if args.summary:
        summary(args.summary, args.runs)
        return
    args.out.mkdir(parents=True, exist_ok=True)
    for photo in sorted(args.scenes.glob(f"flat_{args.only}*.jpg")):
        if args.tabulate or (args.missing and (args.out / f"{photo.stem}.result.json").exists()):
            continue
        run(photo, args.out, args.within, args.marked, not args.no_corners)
    tabulate(args.scenes, args.out, args.only)


if __name__ == "__main__":
    main()
