"""A small network of ours, read once in each thread and asked through OpenCV."""

from __future__ import annotations

import threading
from importlib.resources import files
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

MOST_AT_ONCE = 32
"""windows; a network keeps the memory of the largest batch that it was asked"""


class Network:
    """A network (ONNX) that lies beside this module. Each thread has its own, since one holds its input."""

    def __init__(self, name: str) -> None:
        self._name, self._of_thread = name, threading.local()

    def ask(self, other: Path | None) -> None:
        """Ask another one (ONNX) from now on in this thread, as benchmarks do; None for the program's own."""
        data = (other or files("vision.geometry") / self._name).read_bytes()
        self._of_thread.net = cv2.dnn.readNetFromONNX(np.frombuffer(data, dtype=np.uint8))

    def __call__(self, batch: NDArray[np.float32]) -> NDArray[np.float64]:
        """Its answers to a batch (n, ...), one each."""
        if not hasattr(self._of_thread, "net"):
            self.ask(None)
        net: cv2.dnn.Net = self._of_thread.net
        out = []
        for part in np.split(batch, range(MOST_AT_ONCE, len(batch), MOST_AT_ONCE)):
            net.setInput(part)
            out.append(np.array(net.forward(), dtype=np.float64))
        return np.concatenate(out)
