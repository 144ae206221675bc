"""Six printed fiducials and their design file: sides of each as edges, and the sheet they lie on as the opening.

The fiducials are some 40 px wide with a black border of 3 to 5 px, thinner than what the edge model of a check looks at,
so their sides are read here in a way of their own: where the light crosses the middle between the border's darkest and the
paper's. The picture was reduced and sharpened by nobody knows what, in linear or in encoded values, so both are read: the mean
counts, and half their difference is a shift that the same sides of all fiducials share.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.geometry.adjustment import Solution
from vision.geometry.assemble import Assembly, assemble
from vision.geometry.cards import CardCandidate, CardFacts, CardSpec
from vision.geometry.edges import EdgePoints
from vision.geometry.look import SIDE_CORNERS, CardLook, look
from vision.geometry.measure import solve
from vision.geometry.seeing import see_photo
from vision.geometry.seen import Demands, SeenCard
from vision.photo.intake import Photo
from vision.settings import CardKind, Settings
from vision.settings_cards import PRINT_SCALE_SD

Array = NDArray[np.float64]
SIDE_MM = 25.4
"""mm; 200 px of a design of 2200 x 1700, which is 11 x 8.5 in at 200 px per inch"""
SHARED_FLOOR_PX = 0.05
"""px; the shared shift is not taken to be less than this (half of the settings' clean edge)"""
FLOOR_PX = 0.2
"""px; own shift of either end and sag of each side: the upper end of published floors (0.1 to 0.2, see EdgeSettings), since the
picture is a sharpened reduction"""
POINT_SD_PX = 0.1
"""px; each crossing ("routinely better than 0.1 pixel", Int. J. Optics 2019, 8561380)"""
FLAT_MM = 0.3
"""mm; a sheet on a table (common practice, no source)"""
ACROSS = np.arange(-3, 5, 0.25)
"""px from a side, outward, where its profile is taken"""


@dataclass(frozen=True)
class Read:
    """The adjustment of all fiducials; `numbers` in the order of the cards."""

    assembly: Assembly
    solution: Solution
    numbers: tuple[int, ...]

    @property
    def sides_apart(self) -> tuple[Array, Array]:
        """All 15 distances between centres, counted in sides, and their stated covariance."""
        state, layout = self.solution.state, self.solution.layout
        columns = [c for s in layout.cards for c in (s.start, s.start + 1)] + list(
            range(layout.sizes[0].start, layout.sizes[0].stop)
        )
        at = np.concatenate([state.cards[:, :2].ravel(), SIDE_MM + state.sizes[0]])
        step = 1e-4 * np.eye(len(at))
        J = np.stack([(_apart(at + d) - _apart(at - d)) / 2e-4 for d in step], axis=1)
        return _apart(at), J @ self.solution.inverse()[np.ix_(columns, columns)] @ J.T


def _apart(values: Array) -> Array:
    centres, side = values[:-2].reshape(-1, 2), values[-2:].mean()
    return np.asarray(between(centres) / side)


def between(centres: Array) -> Array:
    """Distances of all pairs of points (n, 2)."""
    first, second = np.triu_indices(len(centres), 1)
    return np.asarray(np.linalg.norm(centres[first] - centres[second], axis=1))


def found(pixels: NDArray[np.uint8]) -> dict[int, Array]:
    """Corners (4, 2) px by number, in the fiducial's own order (OpenCV's 6 x 6 dictionary of 250, refined to sub-pixel)."""
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_6X6_250)
    corners, numbers, _ = cv2.aruco.ArucoDetector(dictionary, parameters).detectMarkers(pixels)
    pairs = zip(np.ravel(numbers), corners, strict=True)
    return {int(n): np.asarray(c[0], np.float64) for n, c in pairs}


def corner_order(design: Array) -> list[int]:
    """Which of a fiducial's corners (4, 2) px are bottom-left, bottom-right, top-right and top-left on the sheet."""
    return [int(np.argmax(design @ v)) for v in ([-1, 1], [1, 1], [1, -1], [-1, -1])]


def kind() -> CardKind:
    """A fiducial as a card: alike in all six, its scale either way as a printer's."""
    sd = SIDE_MM * PRINT_SCALE_SD
    return CardKind(f"{SIDE_MM}x{SIDE_MM}mm", SIDE_MM, SIDE_MM, sd, sd, 0.0, 0.0, "the design file")


def demands() -> Demands:
    """All fiducials in the sheet's plane."""
    return Demands(CardFacts((CardSpec(kind(), None, 0.0, FLAT_MM),), None), True, None, {}, (), 0.0)


def adjusted(photo: Photo, sheet_px: Array, corners: dict[int, Array]) -> Read:
    """All fiducials (number -> corners from bottom-left on) as cards on a sheet with these rough corners."""
    s = Settings()
    s = replace(
        s,
        cards=replace(s.cards, offset_own_sd_mm=FLAT_MM),
        edges=replace(s.edges, bow_sd_mm=FLAT_MM),
        depth=replace(s.depth, arris_step_sd_mm=FLAT_MM),
    )
    looked = look(photo, [kind()], sheet_px, [], [], number=1, has_head=True, settings=s)
    sheet = see_photo(replace(looked, cards=()), 1, demands(), s)
    cards = [_card(i, photo.pixels, c) for i, c in enumerate(corners.values(), 1)]
    assembly = assemble([replace(sheet, cards=tuple(cards))], demands(), s)
    return Read(assembly, solve(assembly, 1e-9), tuple(corners))


def _card(number: int, pixels: NDArray[np.uint8], corners: Array) -> SeenCard:
    sides = tuple(_side(pixels, corners[i], corners[j], corners.mean(axis=0)) for i, j in SIDE_CORNERS)
    card = CardLook(CardCandidate(corners, True, kind(), False), ())  # type: ignore[arg-type]  # no strips: points are given
    return SeenCard(number, 1, card, demands().cards.specs[0], corners, sides, inside=True)


def _side(pixels: NDArray[np.uint8], a: Array, b: Array, inside: Array) -> EdgePoints:
    """One side from corner to corner."""
    value = pixels / 255.0
    linear = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)  # IEC 61966-2-1
    first, second = (_crossings((v @ [0.2126, 0.7152, 0.0722]).astype(np.float32), a, b, inside) for v in (linear, value))
    shared = max(float(np.median(np.linalg.norm(first - second, axis=1))) / 2, SHARED_FLOOR_PX)
    points, along = (first + second) / 2, 2 * SHARES - 1
    bias, sd = float(np.hypot(FLOOR_PX, shared)), np.full(len(points), POINT_SD_PX)
    return EdgePoints(points, sd, along, bias, 1.0, 0.2, 0.0, 1.0, np.zeros(3), common_px=shared)


SHARES = np.linspace(0.15, 0.85, 9)
"""of a side, where it is read: clear of its corners"""


def _crossings(light: NDArray[np.float32], a: Array, b: Array, inside: Array) -> Array:
    """Points (9, 2) px on a side where the light is half way between border and paper."""
    along = (b - a) / np.linalg.norm(b - a)
    outward = np.array([-along[1], along[0]])
    outward = outward if (inside - a) @ outward < 0 else -outward
    out = []
    for share in SHARES:
        at = a + (b - a) * share
        x, y = (at + ACROSS[:, None] * outward).astype(np.float32).T
        profile = cv2.remap(light, x, y, cv2.INTER_CUBIC).ravel()
        border = profile[(ACROSS > -2.6) & (ACROSS < -0.6)].min()
        middle = (border + np.median(profile[ACROSS > 2])) / 2
        rising = np.flatnonzero((profile[:-1] < middle) & (profile[1:] >= middle))
        k = rising[np.argmin(np.abs(ACROSS[rising]))]
        part = (middle - profile[k]) / (profile[k + 1] - profile[k])
        out.append(at + (ACROSS[k] + 0.25 * part) * outward)
    return np.array(out)
