"""The neutral record in which both witnesses testify: a mean and a covariance kept as named sources of error."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Gaussian:
    """Quantities with a joint normal uncertainty, split by source.

    `mean` has shape (n,); each source is a signed factor matrix F of shape (n, k) that multiplies k unit variables, and
    the covariance is the sum of F F' over the sources. The same source name in two records means the same k variables.
    """

    names: tuple[str, ...]
    mean: Array
    sources: Mapping[str, Array]

    def __post_init__(self) -> None:
        n = len(self.names)
        if len(set(self.names)) != n:
            raise ValueError(f"names repeat: {self.names}")
        if self.mean.shape != (n,):
            raise ValueError(f"mean has shape {self.mean.shape}, needed ({n},)")
        for source, factor in self.sources.items():
            if factor.ndim != 2 or factor.shape[0] != n:
                raise ValueError(f"source {source!r} has shape {factor.shape}, needed ({n}, k)")
            if not np.all(np.isfinite(factor)):
                raise ValueError(f"source {source!r} is not finite")
        if not np.all(np.isfinite(self.mean)):
            raise ValueError("mean is not finite")

    @property
    def covariance(self) -> Array:
        """Joint covariance, shape (n, n)."""
        total = np.zeros((len(self.names), len(self.names)))
        for factor in self.sources.values():
            total += factor @ factor.T
        return total

    @property
    def sd(self) -> Array:
        """Standard deviations, shape (n,)."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))

    def index(self, name: str) -> int:
        """Position of `name`; KeyError where it is absent."""
        try:
            return self.names.index(name)
        except ValueError:
            raise KeyError(name) from None

    def value(self, name: str) -> float:
        """Mean of one quantity."""
        return float(self.mean[self.index(name)])

    def u(self, name: str) -> float:
        """Standard deviation of one quantity."""
        return float(np.sqrt(sum(v * v for v in self.budget(name).values())))

    def budget(self, name: str) -> dict[str, float]:
        """Standard deviation of one quantity by source; the squares add up to its variance."""
        i = self.index(name)
        return {source: float(np.linalg.norm(factor[i])) for source, factor in self.sources.items()}

    def select(self, names: Sequence[str]) -> Gaussian:
        """The record of some of the quantities, in the order given."""
        rows = [self.index(name) for name in names]
        return Gaussian(tuple(names), self.mean[rows], {s: f[rows] for s, f in self.sources.items()})

    def propagate(self, jacobian: Array, names: Sequence[str], mean: Array) -> Gaussian:
        """First-order propagation (JCGM 100, 5.1.2 and H.2) to new quantities with this jacobian, shape (m, n)."""
        return Gaussian(tuple(names), np.asarray(mean, dtype=np.float64), {s: jacobian @ f for s, f in self.sources.items()})

    def with_source(self, source: str, factor: Array) -> Gaussian:
        """The same record with one more, independent source."""
        if source in self.sources:
            raise ValueError(f"source {source!r} is there already")
        return Gaussian(self.names, self.mean, {**self.sources, source: factor})

    def joined(self, other: Gaussian) -> Gaussian:
        """Both records under one another; sources of the same name are the same variables (a missing one is zero)."""
        sources: dict[str, Array] = {}
        for source in dict.fromkeys([*self.sources, *other.sources]):
            mine, theirs = self.sources.get(source), other.sources.get(source)
            columns = (mine if mine is not None else theirs).shape[1]  # type: ignore[union-attr]
            parts = [
                np.zeros((len(one.names), columns)) if factor is None else factor
                for one, factor in ((self, mine), (other, theirs))
            ]
            sources[source] = np.vstack(parts)
        return Gaussian((*self.names, *other.names), np.concatenate([self.mean, other.mean]), sources)

    def minus(self, other: Gaussian) -> Gaussian:
        """The difference self - other over the names of `self`; a source that both share enters once, with its sign."""
        theirs = other.select(self.names)
        sources: dict[str, Array] = {}
        for source in [*self.sources, *(s for s in theirs.sources if s not in self.sources)]:
            mine, their = self.sources.get(source), theirs.sources.get(source)
            if mine is not None and their is not None:
                if mine.shape != their.shape:
                    raise ValueError(f"shared source {source!r} has {mine.shape[1]} and {their.shape[1]} variables")
                sources[source] = mine - their
            elif mine is not None:
                sources[source] = mine
            elif their is not None:
                sources[source] = -their
        return Gaussian(self.names, self.mean - theirs.mean, sources)
