"""Lettering, stains and hands laid over or under a drawing; they count as `other`."""

import glob
import os

import numpy as np
import torch
import torch.nn.functional as F
from PIL import Image, ImageDraw, ImageFont

from basics import chance, smooth_noise, uniform

LABEL_H, LABEL_W = 48, 192
PLACES = 3  # labels a tile at most
WORDS = 'fold front back leg wing tail head arm ear fin horn claw beak 16 32 1/2 22.5 a b c colour change page fig no. sheet side centre flap x2 repeat'.split()


def font_files():
    folders = ['/usr/share/fonts']
    try:
        import matplotlib

        folders.append(os.path.join(os.path.dirname(matplotlib.__file__), 'mpl-data', 'fonts', 'ttf'))
    except ImportError:
        pass
    found = [f for folder in folders for f in glob.glob(folder + '/**/*.ttf', recursive=True)]
    return sorted(f for f in found if 'Symbol' not in f and 'STIXSiz' not in f and 'Display' not in f)


def label_sheet(seed, count=256):
    """(count, 1, LABEL_H, LABEL_W) masks of short strings in the fonts at hand, or in PIL's own if there are none."""
    rng = np.random.default_rng(seed)
    files, out = font_files(), []
    for _ in range(count):
        if rng.random() < 0.5:
            text = ' '.join(rng.choice(WORDS, int(rng.integers(1, 4))))
        else:
            text = ''.join(rng.choice(list('0123456789ABCDEFGHKLMNRSTabcdefghiklmnrst=+-/.,:°'), int(rng.integers(1, 9))))
        image = Image.new('L', (LABEL_W, LABEL_H))
        font = ImageFont.truetype(str(rng.choice(files)), int(rng.integers(18, 38))) if files else ImageFont.load_default()
        ImageDraw.Draw(image).text((LABEL_W / 2, LABEL_H / 2), text, 255, font=font, anchor='mm' if files else None)
        out.append(np.asarray(image, np.float32)[None] / 255)
    return torch.from_numpy(np.stack(out))


def label_masks(sheet, b, size, device):
    """One label a tile somewhere, mostly upright: coverage (b, 1, size, size)."""
    which = torch.randint(0, len(sheet), (b,), device=device)
    turn = torch.where(torch.rand(b, device=device) < 0.7, 0.0, torch.rand(b, device=device) * 6.2832)
    zoom = torch.exp(torch.rand(b, device=device) * 1.6 - 1.1)
    c, s = torch.cos(turn), torch.sin(turn)
    centre = torch.rand(b, 2, device=device) * 2 - 1
    rows = torch.zeros(b, 2, 3, device=device)
    rows[:, 0, 0], rows[:, 0, 1] = c * size / LABEL_W / zoom, s * size / LABEL_W / zoom
    rows[:, 1, 0], rows[:, 1, 1] = -s * size / LABEL_H / zoom, c * size / LABEL_H / zoom
    rows[:, :, 2] = -(rows[:, :, :2] @ centre[:, :, None])[:, :, 0]
    grid = F.affine_grid(rows, (b, 1, size, size), align_corners=False)
    return F.grid_sample(sheet[which], grid, align_corners=False)


def add_marks(rgb, targets, sheet):
    """Labels, stains and hands on painted tiles. Where a hand hides the drawing nothing is asked of the network: `seen` is 0."""
    b, _, size, _ = rgb.shape
    device = rgb.device
    crease = targets['ink']
    for _ in range(PLACES):
        mask = label_masks(sheet, b, size, device) * chance(b, 0.2, device)
        grey = torch.rand(b, 1, 1, 1, device=device) * 0.6
        hue = torch.rand(b, 3, 1, 1, device=device)
        colour = torch.where(torch.rand(b, 1, 1, 1, device=device) < 0.6, grey.expand(b, 3, 1, 1), hue)
        light_ink = rgb.mean((1, 2, 3), keepdim=True) < 0.35
        colour = torch.where(light_ink, 1 - colour * 0.5, colour)
        under = chance(b, 0.3, device)
        shown = mask * (1 - under * crease) * uniform(b, 0.4, 1, device)
        rgb = rgb + shown * (colour - rgb)
        targets['other'] = torch.maximum(targets['other'], mask * (1 - crease))
    stain = torch.sigmoid((smooth_noise(b, 1, size, 4, device) - 1.3) * 12) * chance(b, 0.1, device)
    rgb = rgb * (1 - stain * torch.rand(b, 3, 1, 1, device=device) * 0.4)
    seen = torch.ones_like(crease)
    axis = torch.linspace(-1, 1, size, device=device)
    gy, gx = torch.meshgrid(axis, axis, indexing='ij')
    angle = torch.rand(b, 1, 1, 1, device=device) * 6.2832
    along = gx * torch.cos(angle) + gy * torch.sin(angle) - uniform(b, 0.2, 1.2, device)
    across = gy * torch.cos(angle) - gx * torch.sin(angle) - uniform(b, -0.8, 0.8, device)
    width = uniform(b, 0.1, 0.5, device)
    finger = torch.sqrt(across**2 + torch.clamp(-along, min=0) ** 2) - width
    held = chance(b, 0.05, device)
    body = torch.sigmoid(-finger * size / 3) * held
    shadow = torch.sigmoid(-(finger - 0.06) * 25) * held * 0.35
    tone = torch.tensor([0.85, 0.62, 0.5], device=device).reshape(1, 3, 1, 1) * uniform(b, 0.3, 1.1, device)
    rgb = rgb * (1 - shadow)
    rgb = rgb + body * (tone * (1 - 0.3 * (finger / width).clamp(-1, 0) ** 2) - rgb)
    targets['seen'] = (1 - body > 0.5).float() * seen
    targets['other'] = torch.maximum(targets['other'], body)
    for name in ('line', 'ink', 'vertex'):
        targets[name] = targets[name] * (1 - body)
    return rgb.clamp(0, 1), targets
