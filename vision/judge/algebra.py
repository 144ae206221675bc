"""Least squares for the judge: explaining columns, what they leave over, and the sizes of what they explain.

    M(A) = C^-1 - C^-1 A (A' C^-1 A)^-1 A' C^-1        T(A) = d' M(A) d
    b    = (A' C^-1 A)^-1 A' C^-1 d                    cov(b) = (A' C^-1 A)^-1

Only C, the covariance of the differences d, is ever inverted. All of it is done on whitened columns L^-1 A, C = L L'.
"""

from __future__ import annotations

import numpy as np
from scipy.linalg import solve_triangular

from vision.gaussian import Array

DEPENDENT = 1e-9
"""relative; a whitened direction weaker than this against the others is the same direction up to rounding"""


def whiten(C: Array, A: Array) -> Array:
    """L^-1 A with C = L L'; C of shape (n, n) and positive definite, A of shape (n,) or (n, k)."""
    return np.asarray(solve_triangular(np.linalg.cholesky(C), A, lower=True))


def reduced_precision(C: Array, A: Array) -> Array:
    """M(A), shape (n, n), for columns A of shape (n, k), k may be 0; columns that repeat others are harmless."""
    n = C.shape[0]
    W = whiten(C, np.eye(n))
    Q = basis(W @ A)
    R = W - Q @ (Q.T @ W)
    return np.asarray(R.T @ R)


def amounts(C: Array, A: Array, d: Array) -> tuple[Array, Array]:
    """How much of each column explains d: b of shape (k,) and its standard deviations. A must have full column rank."""
    B = whiten(C, A)
    N_inv = np.linalg.inv(B.T @ B)
    b = N_inv @ (B.T @ whiten(C, d))
    return np.asarray(b), np.asarray(np.sqrt(np.diag(N_inv)))


def spans(A: Array, B: Array) -> bool:
    """Whether the columns of B, shape (n, j), all lie in the space of the columns of A, shape (n, k)."""
    unit = B / np.linalg.norm(B, axis=0)
    Q = basis(A)
    return bool(np.all(np.linalg.norm(unit - Q @ (Q.T @ unit), axis=0) <= DEPENDENT))


def basis(A: Array) -> Array:
    """Orthonormal basis of the space of the columns of A, shape (n, rank)."""
    norms = np.linalg.norm(A, axis=0)
    A, norms = A[:, norms > 0], norms[norms > 0]
    if A.shape[1] == 0:
        return A
    U, singular, _ = np.linalg.svd(A / norms, full_matrices=False)
    return np.asarray(U[:, singular > DEPENDENT * singular[0]])
