"""How far the program is off on path-traced photos with exact truth, beside the textbook method on the same photos.

    python -m tests.benchmarks.accuracy [--draws 1] [SCENE ...]

One line a scene: the error of each width and height in mm and in stated standard deviations, then rms and worst by layout. The
textbook method refines one card's four corners, takes one homography, and is even given the opening's true corners.
Single draws of rough corners in a disc of 15 px at 12 megapixels; nothing here sets or tunes the program.
"""

from __future__ import annotations

import argparse
import json
from collections import defaultdict
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps

from api.points import card_corners, plumb_line
from vision.check import CardCorners, CheckRequest, PlumbLine, TapeFacts, check, to_json

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = (ROOT / "sample_images", ROOT / "tests" / "benchmarks" / "scenes")
SHOWN = ("width_top", "width_middle", "width_bottom", "height_left", "height_right")
NOMINAL_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4), "id-1": (85.60, 53.98)}
ROUGH_PX = 15.0

Truth = dict[str, object]


def scenes(names: list[str]) -> list[tuple[Path, dict]]:  # type: ignore[type-arg]
    """Photos with their truth, those named or all."""
    found = [p for folder in FOLDERS for p in sorted(folder.glob("*.jpg")) if p.with_suffix(".json").exists()]
    return [(p, json.loads(p.with_suffix(".json").read_text())) for p in found if not names or p.stem in names]


def asked(path: Path, truth: dict, draw: int) -> CheckRequest:  # type: ignore[type-arg]
    """The request of one draw of rough corners, with the options that the scene names."""
    rng = np.random.default_rng([draw, len(path.stem)])
    scale = min(1.0, float(np.hypot(truth["image"]["width"], truth["image"]["height"])) / 5040)
    exact = np.array(truth["opening"]["corners_px"])
    r, turn = ROUGH_PX * scale * np.sqrt(rng.random(4)), rng.random(4) * 2 * np.pi
    rough = exact + np.stack([r * np.cos(turn), r * np.sin(turn)], axis=1)
    words = list(truth["command_options"])
    pairs = [(w, words[i + 1]) for i, w in enumerate(words[:-1]) if w.startswith("--") and w != "--no-head"]
    return CheckRequest(
        photos=((path.stem, path.read_bytes()),),
        tape=TapeFacts(),
        cards=tuple(v for k, v in pairs if k == "--card"),
        card_corners=tuple(CardCorners(*card_corners(v)) for k, v in pairs if k == "--card-corners"),
        corners=(tuple((float(x), float(y)) for x, y in rough),),  # type: ignore[arg-type]
        plumb_lines=tuple(PlumbLine(*plumb_line(v)) for k, v in pairs if k == "--plumb-line"),
        head="--no-head" not in words,
        height=next((v for k, v in pairs if k == "--height"), None),
    )


def textbook(path: Path, truth: dict) -> dict[str, float]:  # type: ignore[type-arg]
    """Widths and heights by one card's refined corners and one homography, with the opening's true corners."""
    card = next((c for c in truth["cards"] if c["kind"] in NOMINAL_MM), None)
    if card is None:
        return {}
    with Image.open(path) as image:
        grey = np.asarray(ImageOps.exif_transpose(image).convert("L"))
    start = np.array(card["corners_px"], dtype=np.float32).reshape(-1, 1, 2)
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 40, 0.001)
    found = cv2.cornerSubPix(grey, start.copy(), (7, 7), (-1, -1), stop).reshape(4, 2)
    w, h = NOMINAL_MM[card["kind"]]
    sides = np.linalg.norm(np.roll(found, -1, axis=0) - found, axis=1)
    if (sides[0] + sides[2] > sides[1] + sides[3]) != (w > h):
        w, h = h, w
    H = cv2.getPerspectiveTransform(found.astype(np.float32), np.array([[0, 0], [w, 0], [w, h], [0, h]], dtype=np.float32))
    corners = np.array(truth["opening"]["corners_px"], dtype=np.float64).reshape(-1, 1, 2)
    bl, br, tr, tl = cv2.perspectiveTransform(corners, H).reshape(4, 2)
    out = {"width_bottom": br - bl, "width_top": tr - tl, "height_left": tl - bl, "height_right": tr - br}
    return {name: float(np.linalg.norm(v)) for name, v in out.items()}


def layout(truth: dict) -> str:  # type: ignore[type-arg]
    """Number and kind of the references, with a star where their lengths are stated."""
    kinds = [c["kind"] for c in truth["cards"]]
    measured = any("=" in w for w in truth["command_options"])
    return f"{len(kinds)} {kinds[0] if kinds else 'none'}{'*' if measured else ''}"


def row(errors: dict[str, float], stated: dict[str, float] | None = None) -> str:
    """Errors in mm, and in standard deviations behind a slash."""
    cells = []
    for name in SHOWN:
        if name not in errors:
            cells.append(f"{'-':>13}")
        elif stated:
            cells.append(f"{errors[name]:+7.2f} /{errors[name] / stated[name]:+4.1f}")
        else:
            cells.append(f"{errors[name]:+13.1f}")
    return " ".join(cells)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("scenes", nargs="*")
    parser.add_argument("--draws", type=int, default=1, help="draws of the rough corners for each scene")
    options = parser.parse_args()
    by_layout: dict[str, list[NDArray[np.float64]]] = defaultdict(list)
    book: dict[str, list[float]] = defaultdict(list)
    print(f"{'scene':28} {'references':11} " + " ".join(f"{n:>13}" for n in SHOWN) + "   (mm / stated sds)")
    for path, truth in scenes(options.scenes):
        true, kind, measured = truth["sizes_mm"], layout(truth), False
        for draw in range(options.draws):
            data = to_json(check(asked(path, truth, draw)))
            if "cannot_measure" in data or not data["sizes"]:
                why = data.get("cannot_measure", {"code": "no scale"})["code"]
                print(f"{path.stem[:28]:28} {kind:11} refused: {why}")
                continue
            measured = True
            sizes = {n: s for n, s in data["sizes"].items() if n in true and n in SHOWN}
            errors = {n: s["value_mm"] - true[n] for n, s in sizes.items()}
            stated = {n: s["u_mm"] for n, s in sizes.items()}
            by_layout[kind] += [np.array([errors[n], stated[n]]) for n in errors if n.startswith("width")]
            print(f"{path.stem[:28]:28} {kind:11} {row(errors, stated)}")
        off = {n: v - true[n] for n, v in textbook(path, truth).items() if n in true}
        if off:
            print(f"{'   textbook method':28} {'':11} {row(off)}")
        if measured:  # the summary compares both on the same photos
            book[kind] += [e for n, e in off.items() if n.startswith("width")]
    head = ("references", "widths", "rms mm", "worst mm", "mean u mm", "rms error/u", "textbook rms")
    print("\n" + " ".join(f"{h:>12}" for h in head))
    for kind, rows in sorted(by_layout.items()):
        e, u = np.array(rows).T
        textbook_rms = float(np.sqrt(np.mean(np.square(book[kind])))) if book[kind] else float("nan")
        rms, worst = float(np.sqrt(np.mean(e**2))), float(np.abs(e).max())
        z = float(np.sqrt(np.mean((e / u) ** 2)))
        print(f"{kind:>12} {len(e):12d} {rms:12.2f} {worst:12.2f} {float(u.mean()):12.2f} {z:12.2f} {textbook_rms:12.1f}")
    print("* lengths of the card measured and stated")


if __name__ == "__main__":
    main()
