"""Pictures of rooms on the graphics card, and what is computed of them for `outline_sight_draw.py` (PyTorch alone)."""

from __future__ import annotations

import io
import pickle
from pathlib import Path

import numpy as np
import torch
from PIL import Image
from torch import Tensor
from torch.nn import functional

CANVAS, THIRD, OUTLINES = 1184, 3, 64
"""px of the largest picture each way, what it is reduced by for the whole, and outlines of lines that are kept"""


class Pictures:
    """All pictures on the device, as they are and a third of the size, with their truth."""

    def __init__(self, paths: list[Path], device: str) -> None:
        records = [one for path in paths for one in pickle.loads(path.read_bytes())]
        n, self.device = len(records), device
        self.hands = np.array([r["hand"] for r in records])
        full = np.zeros((n, CANVAS, CANVAS, 3), np.uint8)
        self.size = torch.zeros(n, 2)
        for k, r in enumerate(records):
            picture = np.asarray(Image.open(io.BytesIO(r["jpg"])).convert("RGB"))[:CANVAS, :CANVAS]
            full[k, : picture.shape[0], : picture.shape[1]] = picture
            self.size[k] = torch.tensor([picture.shape[1], picture.shape[0]])
        self.full, self.size = torch.from_numpy(full).to(device), self.size.to(device)
        whole = CANVAS // THIRD * THIRD
        parts = self.full[:, :whole, :whole].split(64)
        small = [functional.avg_pool2d(part.permute(0, 3, 1, 2).float(), THIRD).round().byte() for part in parts]
        self.third = torch.cat(small).permute(0, 2, 3, 1).contiguous()

        def told(name: str) -> Tensor:
            return torch.tensor(np.array([r[name] for r in records]), dtype=torch.float32, device=device)

        self.corners, self.depth, self.f, self.head = told("corners"), told("depth"), told("f"), told("head")
        self.outlines, self.count = torch.zeros(n, OUTLINES, 4, 2, device=device), torch.zeros(n, device=device)
        for k, r in enumerate(records):
            some = np.asarray(r["cand"], np.float32)[:OUTLINES] if len(r["cand"]) else r["corners"][None]
            self.outlines[k, : len(some)], self.count[k] = torch.from_numpy(some).to(device), len(some)

    def weights(self, without: list[str]) -> Tensor:
        """How often each is shown: authors by the root of their photos."""
        out = np.zeros(len(self.hands))
        for hand in set(self.hands) - set(without):
            these = self.hands == hand
            out[these] = 1 / np.sqrt(these.sum())
        return torch.from_numpy(out / out.sum()).to(self.device)

    def seen(self, index: Tensor, points: Tensor, *, third: bool) -> Tensor:
        """Colours and where there are any (n, 4, h, w) at px (n, h, w, 2) of pictures (n,)."""
        of, by = (self.third, THIRD) if third else (self.full, 1)
        points = (points + 0.5) / by - 0.5
        high, wide = of.shape[1:3]
        low = points.floor()
        x, y = low[..., 0], low[..., 1]
        a, b = ((points - low)[..., k, None] for k in (0, 1))
        which = index[:, None, None]

        def at(x: Tensor, y: Tensor) -> Tensor:
            return of[which, y.clamp(0, high - 1).long(), x.clamp(0, wide - 1).long()].float()

        colour = (at(x, y) * (1 - a) + at(x + 1, y) * a) * (1 - b) + (at(x, y + 1) * (1 - a) + at(x + 1, y + 1) * a) * b
        last = self.size[index][:, None, None] / by - 1
        there = ((points >= 0) & (points <= last)).all(-1)[:, None].float()
        return torch.cat([colour.permute(0, 3, 1, 2) / 255 * there, there], 1)


def chance(device: str, *size: int) -> Tensor:
    """0 to 1."""
    return torch.rand(*size, device=device)


def either(device: str, *size: int) -> Tensor:
    """-1 to 1."""
    return torch.rand(*size, device=device) * 2 - 1


def grid(side: int, device: str) -> Tensor:
    """x and y (side, side, 2) of the cells."""
    line = torch.arange(side, device=device).float()
    y, x = torch.meshgrid(line, line, indexing="ij")
    return torch.stack([x, y], -1)


def homography(a: Tensor, b: Tensor) -> Tensor:
    """Of quadrilaterals (n, 4, 2) to others, (n, 3, 3)."""
    one, none = torch.ones_like(a[..., 0]), torch.zeros_like(a[..., 0])
    x, y, u, v = a[..., 0], a[..., 1], b[..., 0], b[..., 1]
    rows = [
        torch.stack([x, y, one, none, none, none, -u * x, -u * y], 2),
        torch.stack([none, none, none, x, y, one, -v * x, -v * y], 2),
    ]
    eye = torch.eye(8, device=a.device, dtype=torch.double)
    h = torch.linalg.solve(torch.cat(rows, 1).double() + 1e-9 * eye, torch.cat([u, v], 1).double())
    return torch.cat([h, torch.ones_like(h[:, :1])], 1).view(-1, 3, 3).float()


def applied(h: Tensor, points: Tensor) -> Tensor:
    """Homographies (n, 3, 3) of points (n, ..., 2)."""
    flat = torch.cat([points, torch.ones_like(points[..., :1])], -1).reshape(len(points), -1, 3) @ h.transpose(1, 2)
    w = flat[..., 2:]
    w = torch.where(w.abs() < 1e-4, torch.full_like(w, 1e-4), w)
    return (flat[..., :2] / w).reshape(points.shape)


def inward_of(quad: Tensor, points: Tensor) -> Tensor:
    """How far inside of left, right, curb and head (n, 4, h, w) of quadrilaterals (n, 4, 2) points (n, h, w, 2) lie."""
    out = []
    for i, j in ((3, 0), (1, 2), (0, 1), (2, 3)):
        way = functional.normalize(quad[:, j] - quad[:, i], dim=1)
        normal = torch.stack([way[:, 1], -way[:, 0]], 1)
        normal = normal * torch.sign(((quad.mean(1) - quad[:, i]) * normal).sum(1, keepdim=True))
        out.append(((points - quad[:, i, None, None]) * normal[:, None, None]).sum(-1))
    return torch.stack(out, 1)
