"""What the sheet and the light on it do: texture, folds, crumpling, print from the back, shadows.

Every function takes and gives rgb (b, 3, h, w) in 0..1 and draws its strength for each tile of the batch from torch's generator.
"""

import torch
import torch.nn.functional as F

from basics import blur, chance, identity_grid, smooth_noise, uniform


def light(x, strong):
    """Uneven light: gradients, soft shadow edges, vignetting, creases of the sheet, colour of the lamp."""
    b, _, h, w = x.shape
    device = x.device
    grid = identity_grid(b, h, w, device)
    gx, gy = grid[..., 0], grid[..., 1]

    def ramp(width_low, width_high):
        angle = torch.rand(b, 1, 1, device=device) * 6.2832
        at = torch.cos(angle) * gx + torch.sin(angle) * gy - (torch.rand(b, 1, 1, device=device) * 2 - 1)
        width = torch.exp(torch.rand(b, 1, 1, device=device) * (width_high - width_low) + width_low)
        return at, torch.sigmoid(at / width)

    gain = 1 - uniform(b, 0, 0.35, device)[:, 0] * strong * ramp(-0.7, 1)[1]
    gain = gain * (1 - (chance(b, 0.35, device) * uniform(b, 0.1, 0.6, device))[:, 0] * strong * ramp(-5, -1.5)[1])
    gain = gain * (1 + uniform(b, 0, 0.12, device)[:, 0] * strong * smooth_noise(b, 1, h, 4, device)[:, 0].clamp(-2, 2))
    # The shadow of a finger, a pen or the phone: a bar with soft flanks.
    at, _ = ramp(-5, -4)
    soft = torch.exp(uniform(b, -4.2, -1.8, device)[:, 0])
    bar = torch.sigmoid(at / soft) * torch.sigmoid((uniform(b, 0.05, 0.7, device)[:, 0] - at) / soft)
    gain = gain * (1 - (chance(b, 0.15, device) * uniform(b, 0.08, 0.5, device))[:, 0] * strong * bar)
    for _ in range(2):
        # A fold in the paper: one flank brighter, the other darker, a thin line at most faint.
        at, _ = ramp(-5, -4)
        width = torch.exp(torch.rand(b, 1, 1, device=device) * 3 - 4.6)
        side = torch.tanh(at / width) * torch.exp(-at.abs() / (width * (1.5 + 8 * torch.rand(b, 1, 1, device=device))))
        core = torch.exp(-((at * h / 2.4) ** 2)) * (torch.rand(b, 1, 1, device=device) - 0.6) * 0.6
        gain = gain * (1 + (chance(b, 0.28, device) * uniform(b, 0.02, 0.18, device))[:, 0] * (side + core))
    tint = 1 + (torch.rand(b, 3, 1, 1, device=device) - 0.5) * 0.3 * strong
    return (x * gain[:, None] * tint * uniform(b, 1 - 0.35 * strong, 1.05, device)).clamp(0, 1)


def sheet_texture(x, strength):
    b, _, h, w = x.shape
    fine = F.avg_pool2d(torch.randn(b, 1, h, w, device=x.device), 3, 1, 1) * 1.5
    coarse = smooth_noise(b, 1, h, max(4, h // 8), x.device)
    specks = (torch.rand(b, 1, h, w, device=x.device) > 0.9995).float()
    specks = F.max_pool2d(specks, 3, 1, 1) * chance(b, 0.15, x.device) * uniform(b, 0.1, 0.6, x.device)
    return (x * (1 + strength * (0.6 * fine + 0.4 * coarse)) * (1 - specks)).clamp(0, 1)


def fold_marks(x):
    """Traces of the sheet having been folded: long faint grey lines, no ink of the drawing."""
    b, _, h, w = x.shape
    device = x.device
    worn = chance(b, 0.35, device)
    grid = identity_grid(b, h, w, device)
    for _ in range(3):
        eighth = torch.floor(torch.rand(b, 1, 1, device=device) * 8) * 0.3927
        angle = torch.where(torch.rand(b, 1, 1, device=device) < 0.6, eighth, torch.rand(b, 1, 1, device=device) * 3.1416)
        at = (torch.cos(angle) * grid[..., 0] + torch.sin(angle) * grid[..., 1] - (torch.rand(b, 1, 1, device=device) * 2 - 1)) * h / 2
        width = torch.exp(torch.rand(b, 1, 1, device=device) * 2.4 - 0.7)  # 0.5 to 5.5 px
        mark = torch.exp(-0.5 * (at / width) ** 2) - 0.4 * torch.rand(b, 1, 1, device=device) * torch.exp(-0.5 * (at / width - 2) ** 2)
        # Some folds run over a part of the sheet only.
        mark = mark * torch.where(torch.rand(b, 1, 1, device=device) < 0.7, 1.0, torch.sigmoid(smooth_noise(b, 1, h, 3, device)[:, 0] * 8))
        depth = worn * chance(b, 0.6, device) * (0.012 + 0.11 * torch.rand(b, 1, 1, 1, device=device) ** 1.5)
        depth = torch.where(torch.rand(b, 1, 1, 1, device=device) < 0.15, -0.5 * depth, depth)  # a rubbed fold may be brighter than its sheet
        wear = 0.7 + 0.3 * smooth_noise(b, 1, h, 12, device).clamp(-1, 1)
        x = x * (1 - depth * wear * mark[:, None])
    return x


def crumpled(x):
    """A sheet that was crushed or much folded: facets of unlike brightness between straight ridges, a thin light or dark line along some."""
    b, _, h, w = x.shape
    device = x.device
    grid = identity_grid(b, h, w, device)
    gain = torch.zeros(b, h, w, device=device)
    for _ in range(6):
        angle = torch.rand(b, 1, 1, device=device) * 6.2832
        at = torch.cos(angle) * grid[..., 0] + torch.sin(angle) * grid[..., 1] - (torch.rand(b, 1, 1, device=device) * 2 - 1)
        soft = torch.exp(uniform(b, -5, -2.3, device))[:, 0]
        facet = torch.tanh(at / soft)
        line = torch.exp(-((at * h / 2 / (0.6 + 1.6 * torch.rand(b, 1, 1, device=device))) ** 2)) * torch.randn(b, 1, 1, device=device) * 0.7
        # A ridge ends where others take over.
        here = torch.sigmoid(smooth_noise(b, 1, h, 3, device)[:, 0] * 6)
        gain = gain + torch.randn(b, 1, 1, device=device) * here * (0.6 * facet + line * here)
    worn = chance(b, 0.14, device) * uniform(b, 0.01, 0.07, device)
    return (x * (1 + worn * gain[:, None])).clamp(0, 1)


def show_through(x):
    """What is printed on the sheet's back, mirrored, soft and pale: another tile of the batch stands for it."""
    b, _, h, w = x.shape
    device = x.device
    back = blur(x.roll(1, 0).flip(3).mean(1, keepdim=True), uniform(b, 0.8, 3, device).reshape(b))
    paper = back[:, :, ::5, ::5].flatten(1).quantile(0.9, 1).reshape(b, 1, 1, 1)
    depth = chance(b, 0.13, device) * uniform(b, 0.03, 0.28, device)
    return x * (1 - depth * (1 - back / paper.clamp(min=0.1)).clamp(0, 1))
