"""Photographed displays by their looks: beats, bands, grain; display.py builds one from its parts.

Every function takes and gives rgb (b, 3, h, w) in 0..1 and draws its strength for each tile of the batch from torch's generator.
"""

import torch
import torch.nn.functional as F

from basics import chance, identity_grid, smooth_noise, uniform


def moire(x):
    """A photographed screen: its pixel grid beats with the sensor's, a little apart for each primary; line scan bands."""
    b, _, h, w = x.shape
    device = x.device
    grid = identity_grid(b, h, w, device) * w / 2
    warp = smooth_noise(b, 2, h, 3, device) * uniform(b, 0, 4, device)
    gx, gy = grid[..., 0] + warp[:, 0], grid[..., 1] + warp[:, 1]
    pattern = torch.ones_like(x)
    for axis in (0, 1):
        period = torch.exp(torch.rand(b, 1, 1, device=device) * 3.6 + 0.8)
        angle = (torch.rand(b, 1, 1, device=device) - 0.5) * 1.2 + axis * 1.5708
        phase = (torch.cos(angle) * gx + torch.sin(angle) * gy) * 6.2832 / period
        depth = 0.02 + 0.18 * torch.rand(b, 1, 1, 1, device=device) ** 2
        for c in range(3):
            shift = c * (2.1 if axis == 0 else 0.4) * torch.rand(b, 1, 1, device=device)
            pattern[:, c] = pattern[:, c] + depth[:, 0] * torch.sin(phase + shift)
    fine = uniform(b, 0, 0.25, device) * torch.cos(3.1416 * identity_grid(b, h, w, device)[..., 0] * w / 2 / (1 + torch.rand(b, 1, 1, device=device)))[:, None]
    return (x * (pattern + fine) + uniform(b, 0, 0.1, device)).clamp(0, 1)


def bands(x):
    """Coloured moire: bands in which one primary after the other is lost, of any width and way, bent, never quite periodic, full of grain."""
    b, _, h, w = x.shape
    device = x.device
    grid = identity_grid(b, h, w, device) * w / 2
    for _ in range(2):
        period = torch.exp(uniform(b, 1.6, 6, device) * 0.5 + uniform(b, 2.6, 5.6, device) * 0.5)[:, 0]
        angle = uniform(b, 0, 3.1416, device)[:, 0]
        cycles = (torch.cos(angle) * grid[..., 0] + torch.sin(angle) * grid[..., 1]) / period
        # Bent by a part of a cycle, and, as lenses and slant do it, wider on one side than on the other or round like contours.
        bend = smooth_noise(b, 1, h, 3, device)[:, 0] * (uniform(b, 0, 1, device) ** 2 * 1.3)[:, 0]
        far = identity_grid(b, h, w, device)
        curve = sum(far[..., i] * far[..., j] * torch.randn(b, 1, 1, device=device) for i, j in ((0, 0), (0, 1), (1, 1)))
        curve = curve * (chance(b, 0.4, device) * uniform(b, 0, 1, device) ** 2)[:, 0] * (w / period).clamp(max=12) * 0.4
        phase = 6.2832 * (cycles + bend + curve + torch.rand(b, 1, 1, device=device))
        apart = uniform(b, 0, 1.3, device)[:, 0]
        narrow = (torch.exp(uniform(b, -1, 2.8, device)) * chance(b, 0.7, device))[:, 0]
        where = torch.sigmoid(smooth_noise(b, 1, h, 4, device) * 2 + uniform(b, -1, 3, device))
        depth = chance(b, 0.6, device) * uniform(b, 0, 1, device) ** 1.5 * where
        grain = uniform(b, 0, 0.8, device) * torch.randn_like(x)
        for c in range(3):
            wave = torch.cos(phase + 2.0944 * c * apart)
            peak = torch.where(narrow > 0.3, torch.exp(narrow * (wave - 1)), 0.5 + 0.5 * wave)[:, None]
            lost = (0.8 * depth * peak * (1 + grain[:, c : c + 1])).clamp(-0.3, 0.9)
            x = torch.cat([x[:, :c], x[:, c : c + 1] * (1 - lost), x[:, c + 1 :]], 1)
    return x


def speckle(x):
    """Coloured grain of a display's dots seen by a sensor of about their pitch: strong in patches and bands, cut off at white."""
    b, _, h, w = x.shape
    device = x.device
    where = torch.sigmoid(smooth_noise(b, 1, h, 4, device) * 3 + uniform(b, -2, 3, device))
    grain = torch.randn_like(x) + uniform(b, 0, 1, device) * torch.randn_like(x[:, :1])
    rows, columns = F.avg_pool2d(grain, (3, 1), 1, (1, 0)) * 1.7, F.avg_pool2d(grain, (1, 3), 1, (0, 1)) * 1.7
    which = torch.rand(b, 1, 1, 1, device=device)
    grain = torch.where(which < 0.2, rows, torch.where(which < 0.4, columns, torch.where(which < 0.6, F.avg_pool2d(grain, 3, 1, 1) * 2.5, grain)))
    level = uniform(b, 0, 1, device) ** 2 * 0.28 * where
    # Whole rows or columns of the sensor brighter or darker in one primary.
    row, column = torch.randn(b, 3, h, 1, device=device).expand_as(x), torch.randn(b, 3, 1, w, device=device).expand_as(x)
    streak = torch.where(torch.rand(b, 1, 1, 1, device=device) < 0.5, row, column) * chance(b, 0.3, device) * uniform(b, 0, 0.5, device)
    return (x * uniform(b, 0.95, 1.5, device) + level * (grain + streak)).clamp(0, 1)


def screen_pixels(x):
    """A display's stripes of red, green and blue, sampled at the sensor's pixel centres: what is finer than they are comes back coarse."""
    b, _, h, w = x.shape
    device = x.device
    grid = identity_grid(b, h, w, device) * w / 2
    warp = smooth_noise(b, 2, h, 3, device) * uniform(b, 0, 2.5, device)
    pitch = torch.exp(uniform(b, -0.3, 1.4, device))[:, 0]
    angle = uniform(b, -0.35, 0.35, device)[:, 0]
    gx, gy = grid[..., 0] + warp[:, 0], grid[..., 1] + warp[:, 1]
    # Slant and lens let the pitch drift over the picture: what beats with the sensor turns and spreads. Grain blurs the beat into speckle.
    far = identity_grid(b, h, w, device)
    drift = chance(b, 0.6, device)[:, 0] * uniform(b, 0, 1, device)[:, 0] ** 2 * 0.12
    turns = torch.randn(b, 4, 1, 1, device=device)
    gx, gy = gx + drift * w / 4 * far[..., 0] * (turns[:, 0] * far[..., 0] + turns[:, 1] * far[..., 1]), gy + drift * w / 4 * far[..., 1] * (turns[:, 2] * far[..., 0] + turns[:, 3] * far[..., 1])
    jitter = (chance(b, 0.5, device) * uniform(b, 0, 0.4, device))[:, 0] * pitch
    gx, gy = gx + jitter * torch.randn_like(gx), gy + jitter * torch.randn_like(gy)
    across = (torch.cos(angle) * gx + torch.sin(angle) * gy) / pitch
    down = (torch.cos(angle) * gy - torch.sin(angle) * gx) / (pitch * uniform(b, 0.97, 1.03, device)[:, 0])
    lens = uniform(b, 0.12, 0.4, device)[:, 0]
    deep, flat = uniform(b, 0.05, 0.6, device)[:, 0], uniform(b, 0, 0.45, device)[:, 0]
    rows = torch.zeros_like(gx)
    stripes = [torch.zeros_like(gx) for _ in range(3)]
    for wave, share in ((1, 1.0), (2, 0.45), (3, 0.25)):
        kept = share * torch.exp(-0.5 * (6.2832 * wave / pitch * lens) ** 2)
        rows = rows + kept * torch.cos(6.2832 * wave * down)
        for c in range(3):
            stripes[c] = stripes[c] + kept * torch.cos(6.2832 * wave * (across - c / 3))
    mask = torch.stack([(1 + deep * stripe) * (1 + flat * rows) for stripe in stripes], 1).clamp(0, 2)
    return (x * mask * uniform(b, 0.9, 1.5, device) + uniform(b, 0, 0.1, device) ** 2).clamp(0, 1)
