"""Draws a tile and small image steps that the renderer's files share."""

import functools

import torch
import torch.nn.functional as F


def uniform(b, low, high, device):
    return torch.rand(b, 1, 1, 1, device=device) * (high - low) + low


def chance(b, share, device):
    return (torch.rand(b, 1, 1, 1, device=device) < share).float()


def blur(x, sigma):
    """Gaussian blur with one sigma (b,) px a tile, mirrored at the rims; two matrix products a tile, which a GPU does faster than many filters."""
    h, w = x.shape[2:]
    return gauss(h, sigma)[:, None] @ x @ gauss(w, sigma)[:, None].transpose(2, 3)


def gauss(n, sigma):
    """Matrices (b, n, n) that blur a column of n px."""
    at = torch.arange(n, device=sigma.device, dtype=torch.float32)
    apart, mirrored = at[:, None] - at, at[:, None] + at
    scale = -0.5 / sigma.reshape(-1, 1, 1).clamp(min=0.05) ** 2
    weight = torch.exp(scale * apart**2) + torch.exp(scale * mirrored**2) * (at > 0) + torch.exp(scale * (2 * (n - 1) - mirrored) ** 2) * (at < n - 1)
    return weight / weight.sum(2, keepdim=True)


@functools.lru_cache(maxsize=32)
def enlarging(cells, size, device):
    """Matrix (size, cells) of bicubic enlargement."""
    unit = torch.eye(cells, device=device)[None, :, :, None].transpose(1, 2)
    return F.interpolate(unit, (size, 1), mode='bicubic', align_corners=False)[0, :, :, 0].T.contiguous()


def smooth(small, size):
    """(..., rows, columns) enlarged bicubically to (..., size, size) by two matrix products."""
    rows, columns = small.shape[-2:]
    return enlarging(rows, size, small.device) @ small @ enlarging(columns, size, small.device).T


def smooth_noise(b, channels, size, cells, device):
    """Noise of unit variance or so, smooth over size / cells px."""
    return smooth(torch.randn(b, channels, cells, cells, device=device), size)


def identity_grid(b, h, w, device):
    y, x = torch.meshgrid((torch.arange(h, device=device) + 0.5) * 2 / h - 1, (torch.arange(w, device=device) + 0.5) * 2 / w - 1, indexing='ij')
    return torch.stack([x, y], -1)[None].expand(b, h, w, 2)
