"""A photographed display, built from its parts: the drawing in the display's own pixels, their red, green and blue bars, lens, sensor."""

import torch
import torch.nn.functional as F

SAMPLES = 3  # SAMPLES x SAMPLES rays a sensor pixel


def between(b, low, high, device):
    return torch.rand(b, 1, 1, device=device) * (high - low) + low


def photographed_display(x, homography, side, size_on_display):
    """x (b, 3, h, w) what is shown; `homography` takes sensor to shown coordinates of -1..1; `side` sensor px; `size_on_display` its pixels across.

    Nothing is added that the geometry does not make: what is finer than the sensor comes back as moire of whatever strength. Returns (b, 3, side, side).
    """
    b, _, h, w = x.shape
    device = x.device
    smooth = 'area' if size_on_display < w else 'bilinear'
    shown = F.interpolate(x, (size_on_display,) * 2, mode=smooth if torch.rand(()) < 0.8 else 'nearest')
    linear = shown**2.2
    bar = between(b, 0.2, 0.95, device)  # share of a pixel's third that glows
    tall = between(b, 0.55, 1.0, device)
    upright = torch.rand(b, 1, 1, device=device) < 0.8  # bars stand along columns, or along rows on a turned display
    turned = torch.where(torch.rand(b, 1, 1, device=device) < 0.3, -1.0, 1.0)  # blue first
    spread = between(b, 0.35, 1.1, device)  # the lens' blur, sensor px
    bend = torch.randn(b, 4, 1, 1, device=device) * 0.012 * between(b, 0, 1, device)[:, None] ** 2
    axis = torch.arange(side, device=device) + 0.5
    total = torch.zeros(b, 3, side, side, device=device)
    weight = 0.0
    reach = 1.5  # rays reach this far either way, in units of the blur
    for j in range(SAMPLES):
        for i in range(SAMPLES):
            oy, ox = ((k + 0.5) / SAMPLES * 2 - 1 for k in (j, i))
            share = float(torch.exp(torch.tensor(-0.5 * reach**2 * (ox**2 + oy**2))))
            gx = ((axis[None, None, :] + ox * reach * spread) * 2 / side - 1).expand(b, side, side)
            gy = ((axis[None, :, None] + oy * reach * spread) * 2 / side - 1).expand(b, side, side)
            # A lens of some distortion: the display's pixels grow and shrink over the picture.
            gx, gy = gx + bend[:, 0] * gx * gx + bend[:, 1] * gx * gy, gy + bend[:, 2] * gy * gy + bend[:, 3] * gx * gy
            flat = torch.stack([gx, gy, torch.ones_like(gx)], -1).reshape(b, -1, 3) @ homography.transpose(1, 2)
            flat = (flat[..., :2] / flat[..., 2:]).reshape(b, side, side, 2)
            light = F.grid_sample(linear, flat, mode='nearest', padding_mode='reflection', align_corners=False)
            u, v = (flat[..., 0] + 1) * size_on_display / 2, (flat[..., 1] + 1) * size_on_display / 2
            u, v = u - torch.floor(u), v - torch.floor(v)
            across, down = torch.where(upright, u, v), torch.where(upright, v, u)
            lit = ((down - 0.5).abs() < tall / 2).float() / tall
            masks = [(((across - (1 + turned * (c - 1)) / 3 - 1 / 6).abs() < bar / 6).float() * lit / bar * 3) for c in range(3)]
            total = total + share * light * torch.stack(masks, 1)
            weight += share
    total = total / weight
    # Leaking light between the bars, glare, exposure.
    leak = torch.rand(b, 1, 1, 1, device=device) ** 2 * 0.6
    even = F.grid_sample(linear, flat, mode='bilinear', padding_mode='reflection', align_corners=False)
    total = total * (1 - leak) + even * leak
    gain = torch.exp(torch.randn(b, 1, 1, 1, device=device) * 0.25 - 0.05)
    return ((total * gain + torch.rand(b, 1, 1, 1, device=device) ** 2 * 0.08).clamp(0, 1) + 1e-5) ** (1 / 2.2)
