"""Slips planted in readings of a scene, judged against the photo of that very scene."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.stats import norm

from tests.benchmarks.edge_truth import Array, Scene
from tests.judge.simulation import INCH, speaks, suspects
from vision.gaussian import Gaussian
from vision.judge.compare import compare
from vision.settings import JudgeSettings
from vision.tape.readings import READING_NAMES, TAPE_SOURCE, Entry, TapeFacts, read_tape
from vision.units import inches_text

SLIPS_IN = (1 / 8, 1 / 4, 3 / 8, 1 / 2, 1.0)
"""in; on one reading of seven, long or short"""


def planted(scene: Scene, stated: Gaussian, rng: np.random.Generator) -> Array:
    """For each slip whether its reading was touched and whether its own test alone was over; predicted power; clean suspects.

    Shape (3 x 5 + 1,). The tape that reads here is another than that which measured the cards, so nothing is shared; readings
    carry the errors that the tape's record states.
    """
    photo = stated.select(READING_NAMES)
    true = scene.opening.quantities(scene.at_mm)
    sizes = np.array([true[n] for n in READING_NAMES])
    facts = TapeFacts(tuple(Entry(n, inches_text(mm)) for n, mm in zip(READING_NAMES, sizes, strict=True)))
    read = read_tape(facts).gaussian
    read = replace(read, sources={f"{s} on site" if s == TAPE_SOURCE else s: f for s, f in read.sources.items()})
    P = np.linalg.inv(photo.covariance + read.covariance)
    critical, texts = JudgeSettings().w_critical, dict(zip(READING_NAMES, (e.text for e in facts.entries), strict=True))
    touched, own, power = [], [], []
    for inches in (0.0, *SLIPS_IN):
        errors = sum((f @ rng.standard_normal(f.shape[1]) for f in read.sources.values()), np.zeros(len(sizes)))
        i, slip = int(rng.integers(len(sizes))), float(rng.choice([-1.0, 1.0])) * inches * INCH
        taped = replace(read, mean=sizes + errors + slip * np.eye(len(sizes))[i])
        comparison = compare(photo, taped, texts)
        if not inches:
            clean = len(suspects(comparison))
            continue
        verdict = comparison.readings[READING_NAMES[i]]
        d, sharp = taped.mean - photo.mean, float(np.sqrt(P[i, i]))
        touched.append(speaks(comparison) and (bool(verdict.explanations) or bool(comparison.findings)))
        own.append(abs(float(P[i] @ d)) / sharp > critical)
        power.append(norm.cdf(abs(slip) * sharp - critical) + norm.cdf(-abs(slip) * sharp - critical))
    return np.array([*touched, *own, *power, clean], dtype=np.float64)
