"""What `outline_sight_fit.py` shows its networks, drawn anew in every step from pictures of rooms with truth (PyTorch alone).

Place, turn, size, perspective, mirroring, light and colours (of wall face and alcove apart in a third), blur and noise; the
alcove of one room in the wall face of another along their true edges; seams, joints, shadows and stripes of light beside true
edges; things in front; pictures cut off under the head, and pictures on their side, in which no opening is to be seen.
"""

from __future__ import annotations

import math

import torch
from outline_sight_store import Pictures, applied, chance, either, grid, homography, inward_of
from torch import Tensor
from torch.nn import functional

SIDE, UNIT = 256, 4.5
CORNER_SIDE, CORNER_UNIT = 96, 1.25
STEEPEST, FAR = 1.5, -999.0
MIXED, CORNER_MIXED, APART, SOFTENED = 0.3, 0.35, 0.35, 0.4
"""shares: alcove and wall face of two rooms (whole and corner), face and alcove of other colours each, blurred"""
SEAMS, JOINTS, SHADES, IN_FRONT = 0.25, 0.2, 0.2, 0.25
ON_ITS_SIDE, CORNER_ON_ITS_SIDE, CUT_OFF = 0.07, 0.06, 0.12
WALL_OF, LEVEL_OF = (3, 2, 1, 0), (1, 0, 3, 2)
"""by corner, the other end of its wall and of its curb or head"""


def partners(kind: Tensor) -> Tensor:
    """For each of a batch another one, of its kind (n,) as far as there are any."""
    order = torch.argsort(kind + 0.5 * torch.rand(len(kind), device=kind.device))
    out = torch.empty_like(order)
    out[order] = torch.roll(order, 1)
    return out


def coloured(rgb: Tensor) -> Tensor:
    """Other light and other colours."""
    n, device = len(rgb), str(rgb.device)
    gain = torch.exp(either(device, n, 1, 1, 1) * 0.5 + either(device, n, 3, 1, 1) * 0.18)
    rgb = ((rgb * gain).clamp(0, 1) + 1e-4) ** torch.exp(either(device, n, 1, 1, 1) * 0.3)
    mixed = (chance(device, n, 1, 1) < 0.35).float()
    mix = torch.softmax(torch.randn(n, 3, 3, device=device) * 1.5, 2) * mixed + torch.eye(3, device=device) * (1 - mixed)
    return torch.einsum("bij,bjhw->bihw", mix, rgb)


def developed(seen: Tensor, inside: Tensor) -> Tensor:
    """Other colours, in some of face and alcove apart (`inside` (n, h, w) 0 to 1), blur and noise."""
    n, device = len(seen), str(seen.device)
    share = inside[:, None] * (chance(device, n, 1, 1, 1) < APART).float()
    rgb = coloured(seen[:, :3]) * (1 - share) + coloured(seen[:, :3]) * share
    sd, t = chance(device, n, 1) * 1.1 + 0.05, torch.arange(-3, 4, device=device)[None]
    line = torch.exp(-0.5 * (t / sd) ** 2)
    line = line / line.sum(1, keepdim=True)
    kernel = (line[:, :, None] * line[:, None, :])[:, None].expand(n, 3, 7, 7).reshape(n * 3, 1, 7, 7)
    padded = functional.pad(rgb.reshape(1, n * 3, *rgb.shape[2:]), (3, 3, 3, 3), mode="reflect")
    soft = functional.conv2d(padded, kernel, groups=n * 3).view_as(rgb)
    rgb = torch.where(chance(device, n, 1, 1, 1) < SOFTENED, soft, rgb)
    rgb = rgb + torch.randn_like(rgb) * chance(device, n, 1, 1, 1) * 0.03
    return torch.cat([rgb, seen[:, 3:]], 1)


def with_things(seen: Tensor, largest: float) -> Tensor:
    """A patch of one colour in front of some."""
    n, device = len(seen), str(seen.device)
    cells = grid(seen.shape[-1], device)[None]
    half, middle = chance(device, n, 1, 1, 2) * largest + 2, chance(device, n, 1, 1, 2) * seen.shape[-1]
    hit = ((cells - middle).abs() < half).all(-1) & (chance(device, n, 1, 1) < IN_FRONT)
    rgb = torch.where(hit[:, None], chance(device, n, 3, 1, 1), seen[:, :3])
    return torch.cat([rgb, seen[:, 3:]], 1)


def distracted(seen: Tensor, other: Tensor, inward: Tensor, axes: tuple[Tensor, Tensor], gaps: tuple[float, float]) -> Tensor:
    """Seams with another room `other` beside the true edges, joints along `axes`, a straight shadow or stripe of light.

    `inward` (n, h, w): cells inside of the nearest edge; `axes`: cells from a wall and from a level edge; `gaps`: least and
    greatest distance of a seam. Each is in some of the pictures.
    """
    n, device, side = len(seen), str(seen.device), seen.shape[-1]

    def one() -> Tensor:
        return chance(device, n, 1, 1)

    gap, soft = gaps[0] + (gaps[1] - gaps[0]) * one() ** 1.5, 0.25 + 0.5 * one()
    seam = torch.where(one() < 0.6, torch.sigmoid((-gap - inward) / soft), torch.sigmoid((inward - gap) / soft))
    share = (seam * (one() < SEAMS))[:, None] * (other[:, 3:] > 0.5)
    seen = seen * (1 - share) + other * share
    rgb = seen[:, :3]
    for axis in axes:
        period, wide = gaps[0] * 1.5 + one() * gaps[1] * 3, 0.2 + one() * 0.9
        line = torch.sigmoid((wide / 2 - (torch.remainder(axis + one() * period, period) - period / 2).abs()) / 0.25)
        where = one()
        region = torch.where(where < 0.4, inward < 0, torch.where(where < 0.75, inward > 0, torch.ones_like(inward) > 0))
        line = (line * region * (one() < JOINTS))[:, None] * (0.3 + 0.7 * one()[:, None])
        tone = (rgb.mean((2, 3), keepdim=True) + (one()[:, None] - 0.5) * 0.7).clamp(0, 1)
        rgb = rgb * (1 - line) + line * tone
    angle, cells = one() * 2 * math.pi, grid(side, device)
    field = torch.cos(angle) * (cells[None, ..., 0] - side * one()) + torch.sin(angle) * (cells[None, ..., 1] - side * one())
    wide, soft = side * (0.05 + 0.6 * one()), 0.3 + 2 * one()
    band = torch.sigmoid(field / soft) * torch.sigmoid((wide - field) / soft)
    lit = 1 + band * torch.where(one() < 0.6, -0.6 * one() - 0.1, 0.8 * one()) * (one() < SHADES)
    return torch.cat([(rgb * lit[:, None]).clamp(0, 1), seen[:, 3:]], 1)


def whole(of: Pictures, index: Tensor, *, vary: bool) -> tuple[Tensor, Tensor, Tensor, Tensor, Tensor]:
    """Whole pictures as the network sees them (n, 7, SIDE, SIDE), their corners (n, 4, 2) cells, how far inside of each edge
    (n, 4, SIDE, SIDE) and whether inside (n, SIDE, SIDE) each cell lies, and whether there is a head (n,)."""
    n, device, cells = len(index), of.device, grid(SIDE, of.device)[None].expand(len(index), -1, -1, -1)
    to_picture, size, mirrored, on_side = _placed(of, index, vary=vary)
    to_cells = torch.linalg.inv(to_picture)
    seen = of.seen(index, applied(to_picture, cells), third=True)
    quad, head = applied(to_cells, of.corners[index]), of.head[index].clone()
    quad = torch.where(mirrored[:, None, None], quad[:, [1, 0, 3, 2]], quad)
    feet, heads = quad[:, [0, 1, 1, 0]], quad[:, [0, 1, 2, 3]]
    open_above = feet + torch.tensor([1.0, 1.0, 4.0, 4.0], device=device)[:, None] * (heads - feet)
    cut = (chance(device, n) < CUT_OFF) & (head > 0) & vary
    region = torch.where(((head > 0) & ~cut)[:, None, None], quad, open_above)
    head = head * ~cut
    inward = inward_of(region, cells)
    inside = (inward.amin(1) > 0).float()
    if vary:
        first, second = partners(head), partners(head)
        other = _other_room(of, index, (to_picture, region, cells), first)
        share = torch.sigmoid(inward.amin(1) / 0.5) * ((chance(device, n) < MIXED) & (head == head[first]))[:, None, None]
        share = share[:, None] * other[:, 3:]
        seen = seen * (1 - share) + other * share
        other = _other_room(of, index, (to_picture, region, cells), second)
        other[:, 3] *= (head == head[second])[:, None, None]
        seen = distracted(seen, other, inward.amin(1), (inward[:, 0], inward[:, 2]), (1.2, 7.0))
        seen = developed(seen, torch.sigmoid(inward.amin(1) / 0.4))
        seen = with_things(with_things(seen, 30.0), 30.0)
        upper, lower = quad[:, 2:, 1].amax(1), quad[:, :2, 1].amin(1)
        row = upper + (0.06 + 0.45 * chance(device, n)) * (lower - upper)
        seen = seen * ~(cut[:, None, None] & (cells[..., 1] < row[:, None, None]))[:, None]
    quad = torch.where(on_side[:, None, None], torch.full_like(quad, FAR), quad)
    inward = torch.where(on_side[:, None, None, None], torch.full_like(inward, FAR), inward)
    depth = applied(to_cells, of.depth[index][:, None])
    away = ((cells - depth[:, None]) / (of.f[index] / size / UNIT)[:, None, None, None]).permute(0, 3, 1, 2)
    away = (away + torch.randn(n, 2, 1, 1, device=device) * 0.03 * vary).clamp(-STEEPEST, STEEPEST)
    rgb = (seen[:, :3] - 0.5) * seen[:, 3:]
    x = torch.cat([rgb, seen[:, 3:], away, head[:, None, None, None].expand(n, 1, SIDE, SIDE)], 1)
    return x, quad, inward, inside * ~on_side[:, None, None], head


def _placed(of: Pictures, index: Tensor, *, vary: bool) -> tuple[Tensor, Tensor, Tensor, Tensor]:
    """Homographies (n, 3, 3) of cells to px of pictures, their sizes (n,), which are mirrored and which lie on their side."""
    n, device = len(index), of.device

    def by(much: float) -> Tensor:
        return either(device, n) * much * vary

    mirrored, on_side = (either(device, n) < 0) & vary, (chance(device, n) < ON_ITS_SIDE) & vary
    turn = by(0.06) + on_side * math.pi / 2 * torch.where(either(device, n) < 0, -1.0, 1.0)
    size, aspect, flip = torch.exp(by(0.25)), torch.exp(by(0.08)), torch.where(mirrored, -1.0, 1.0)
    c, s = torch.cos(turn), torch.sin(turn)
    rows = [c * size * aspect * flip, -s * size + by(0.05), by(90.0), s * size * flip, c * size / aspect, by(90.0)]
    turned = torch.stack([*rows, by(1.2e-4), by(1.2e-4), torch.ones_like(c)], 1).view(n, 3, 3)
    move, unit = torch.eye(3, device=device).repeat(n, 1, 1), torch.diag(torch.tensor([UNIT, UNIT, 1.0], device=device))
    move[:, :2, 2] = of.size[index] / 2 - 0.5
    unit[:2, 2] = -UNIT * (SIDE - 1) / 2
    return move @ turned @ unit, size, mirrored, on_side


def _other_room(of: Pictures, index: Tensor, placed: tuple[Tensor, Tensor, Tensor], partner: Tensor) -> Tensor:
    """The partners' pictures with their outlines on these rooms' own."""
    to_picture, region, cells = placed
    onto = to_picture[partner] @ homography(region, region[partner])
    return of.seen(index[partner], applied(onto, cells), third=True)


def round_corners(of: Pictures, index: Tensor, *, vary: bool) -> tuple[Tensor, Tensor, Tensor, Tensor, Tensor, Tensor]:
    """Windows round corners as the network sees them (n, 7, CORNER_SIDE, CORNER_SIDE), the corner's place (n, 2) cells, 1 where
    it is there, -1 where it is not and 0 where neither, how far inside of wall and of level edge, and whether inside of both."""
    n, device, k = len(index), of.device, torch.arange(len(index), device=of.device)
    which = torch.randint(0, 4, (n,), device=device)
    which = torch.where(of.head[index] == 0, which % 2, which)
    corners = of.corners[index]
    true = corners[k, which]
    ways = [
        functional.normalize(corners[k, torch.tensor(end, device=device)[which]] - true, dim=1) for end in (WALL_OF, LEVEL_OF)
    ]
    centre = true + either(device, n, 2) * 20 * CORNER_UNIT
    if vary:
        wrong = of.outlines[index, (chance(device, n) * of.count[index]).long()][k, which]
        near, source = true + either(device, n, 2) * 44 * CORNER_UNIT, chance(device, n, 1)
        elsewhere = torch.where(
            source < 0.9, wrong + either(device, n, 2) * 14 * CORNER_UNIT, chance(device, n, 2) * of.size[index]
        )
        centre = torch.where(source < 0.58, near, elsewhere)
    turned, mirror, on_side = _turned(which, vary=vary)
    fine = (grid(2 * CORNER_SIDE, device) - 0.5) / 2 - (CORNER_SIDE - 1) / 2
    points = centre[:, None, None] + torch.einsum("nij,hwj->nhwi", turned, fine)
    seen = functional.avg_pool2d(of.seen(index, points, third=False), 2)
    back = torch.linalg.inv(turned)
    at = torch.einsum("nij,nj->ni", back, true - centre) + (CORNER_SIDE - 1) / 2
    along = [functional.normalize(torch.einsum("nij,nj->ni", back, way), dim=1) for way in ways]
    wall, level = _inward(at, along[0], along[1]), _inward(at, along[1], along[0])
    top = (which > 1).float()
    if vary:
        frame = torch.stack(ways, 2)
        for mixed in (True, False):
            partner = partners(top)
            onto = frame[partner] @ torch.linalg.inv(frame + 1e-6 * torch.eye(2, device=device))
            other = true[partner][:, None, None] + torch.einsum("nij,nhwj->nhwi", onto, points - true[:, None, None])
            other = functional.avg_pool2d(of.seen(index[partner], other, third=False), 2)
            other[:, 3] *= (top == top[partner])[:, None, None]
            if mixed:
                share = torch.sigmoid(wall / 0.4) * torch.sigmoid(level / 0.4)
                share = torch.where(chance(device, n, 1, 1) < 0.5, share, 1 - share) * (chance(device, n, 1, 1) < CORNER_MIXED)
                share = share[:, None] * (other[:, 3:] > 0.5)
                seen = seen * (1 - share) + other * share
            else:
                seen = distracted(seen, other, torch.minimum(wall, level), (wall, level), (3.0, 22.0))
        seen = with_things(developed(seen, torch.sigmoid(wall / 0.4) * torch.sigmoid(level / 0.4)), 20.0)
    inside = ((wall > 0) & (level > 0) & ~on_side[:, None, None]).float()
    wall, level = (torch.where(on_side[:, None, None], torch.full_like(v, FAR), v) for v in (wall, level))
    what = ((at > 3) & (at < CORNER_SIDE - 4)).all(1).float() - ((at < -3) | (at > CORNER_SIDE + 2)).any(1).float()
    what = torch.where(on_side, -1.0, what)
    away = (centre - of.depth[index]) / of.f[index][:, None]
    away = torch.where(on_side[:, None], away.flip(1) * torch.where(either(device, n, 1) < 0, -1.0, 1.0), away)
    away = torch.stack([away[:, 0] * mirror, away[:, 1]], 1) + torch.randn(n, 2, device=device) * 0.03 * vary
    known = torch.cat([away.clamp(-STEEPEST, STEEPEST), top[:, None]], 1)[:, :, None, None]
    known = known.expand(n, 3, CORNER_SIDE, CORNER_SIDE)
    return torch.cat([(seen[:, :3] - 0.5) * seen[:, 3:], seen[:, 3:], known], 1), at, what, wall, level, inside


def _turned(which: Tensor, *, vary: bool) -> tuple[Tensor, Tensor, Tensor]:
    """Matrices (n, 2, 2) of cells to px, -1 for corners on the right, which are mirrored, else 1, and which lie on their side."""
    n, device = len(which), str(which.device)

    def by(much: float) -> Tensor:
        return either(device, n) * much * vary

    on_side = (chance(device, n) < CORNER_ON_ITS_SIDE) & vary
    turn = by(0.05) + on_side * math.pi / 2 * torch.where(either(device, n) < 0, -1.0, 1.0)
    size, aspect = torch.exp(by(0.3)), torch.exp(by(0.08))
    mirror = torch.where((which == 1) | (which == 2), -1.0, 1.0)
    c, s = torch.cos(turn), torch.sin(turn)
    rows = [c * size * aspect * mirror, -s * size + by(0.05), s * size * mirror, c * size / aspect]
    return torch.stack(rows, 1).view(n, 2, 2) * CORNER_UNIT, mirror, on_side


def _inward(at: Tensor, along: Tensor, to: Tensor) -> Tensor:
    """How far cells (n, CORNER_SIDE, CORNER_SIDE) lie from lines through places (n, 2) along ways (n, 2), to a side (n, 2)."""
    normal = torch.stack([along[:, 1], -along[:, 0]], 1)
    normal = normal * torch.sign((normal * to).sum(1, keepdim=True))
    return ((grid(CORNER_SIDE, str(at.device))[None] - at[:, None, None]) * normal[:, None, None]).sum(-1)
