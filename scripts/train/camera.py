"""What scanners, cameras, screens and file formats do to a tile, seen after the sheet was straightened again.

Every function takes and gives rgb (b, 3, h, w) in 0..1 and draws its strength for each tile of the batch from torch's generator.
"""

import math

import torch
import torch.nn.functional as F

from basics import blur, chance, identity_grid, uniform
from display import photographed_display
from paper import crumpled, fold_marks, light, sheet_texture, show_through
from screens import bands, moire, screen_pixels, speckle

# Quantisation tables of ITU-T T.81 (1992), annex K.1, from memory; only their general slope matters here.
LUMA = [16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55, 14, 13, 16, 24, 40, 57, 69, 56, 14, 17, 22, 29, 51, 87, 80, 62]
LUMA += [18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92, 49, 64, 78, 87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99]
CHROMA = [17, 18, 24, 47, 99, 99, 99, 99, 18, 21, 26, 66, 99, 99, 99, 99, 24, 26, 56, 99, 99, 99, 99, 99, 47, 66, 99, 99, 99, 99, 99, 99] + [99] * 32


def shake(x, length):
    """Motion blur along a random straight path, length (b,) px."""
    b, c, h, w = x.shape
    angle = torch.rand(b, device=x.device) * 3.1416
    base = identity_grid(b, h, w, x.device)
    total = torch.zeros_like(x)
    for step in (-0.5, -0.25, 0.0, 0.25, 0.5):
        move = torch.stack([torch.cos(angle) * 2 / w, torch.sin(angle) * 2 / h], 1) * (length * step)[:, None]
        total = total + F.grid_sample(x, base + move[:, None, None], mode='bilinear', padding_mode='reflection', align_corners=False)
    return total / 5


def jpeg(x, quality, halved):
    """Block transform coding: quality (b,) 1..100; chroma at half resolution where `halved` (one bool for the batch)."""
    b, _, h, w = x.shape
    device = x.device
    k = torch.arange(8, device=device, dtype=torch.float32)
    basis = torch.cos((2 * k[None] + 1) * k[:, None] * torch.pi / 16) / 2
    basis[0] /= 2**0.5
    r, g, bl = (x * 255).unbind(1)
    luma = 0.299 * r + 0.587 * g + 0.114 * bl
    planes = [luma, (bl - luma) * 0.564, (r - luma) * 0.713]
    factor = torch.where(quality < 50, 5000 / quality, 200 - 2 * quality) / 100
    out = []
    blocky = bool(torch.rand(()) < 0.35)  # plain decoders repeat each chroma sample, so that thin coloured lines bleed in steps
    for i, plane in enumerate(planes):
        table = torch.tensor(LUMA if i == 0 else CHROMA, device=device, dtype=torch.float32).reshape(8, 8)
        table = (table * factor[:, None, None]).round().clamp(1, 255)[:, None, None]
        plane = plane[:, None] - (128 if i == 0 else 0)
        if i and halved:
            plane = F.avg_pool2d(plane, 2)
        ph, pw = plane.shape[2:]
        blocks = plane.reshape(b, ph // 8, 8, pw // 8, 8).permute(0, 1, 3, 2, 4)
        coded = (basis @ blocks @ basis.T / table).round() * table
        plane = (basis.T @ coded @ basis).permute(0, 1, 3, 2, 4).reshape(b, 1, ph, pw)
        if i and halved:
            plane = F.interpolate(plane, (h, w), mode='nearest') if blocky else F.interpolate(plane, (h, w), mode='bilinear', align_corners=False)
        out.append(plane[:, 0] + (128 if i == 0 else 0))
    luma, cb, cr = out
    rgb = torch.stack([luma + 1.402 * cr, luma - 0.344 * cb - 0.714 * cr, luma + 1.772 * cb], 1)
    return (rgb.round() / 255).clamp(0, 1)


def mosaic(x):
    """One colour a pixel, as sensors have it, filled in again from the neighbours."""
    h, w = x.shape[2:]
    even_row = (torch.arange(h, device=x.device) % 2 == 0)[:, None]
    even_column = (torch.arange(w, device=x.device) % 2 == 0)[None]
    has = torch.stack([even_row & even_column, even_row ^ even_column, ~even_row & ~even_column]).float()[None]
    kernel = torch.tensor([[1.0, 2, 1], [2, 4, 2], [1, 2, 1]], device=x.device).repeat(3, 1, 1, 1)
    return F.conv2d(x * has, kernel, padding=1, groups=3) / F.conv2d(has, kernel, padding=1, groups=3)


def even_light(x):
    """Divides by the local paper level, as the pipeline may do before it looks for ink."""
    size = x.shape[-1]
    level = F.interpolate(F.avg_pool2d(F.max_pool2d(x, 9, 4, 4), 9, 4, 4, count_include_pad=False), (size, size), mode='bilinear', align_corners=False)
    evened = (x / level.clamp(min=0.15) * 0.96).clamp(0, 1)
    bright = level.mean((1, 2, 3), keepdim=True) > 0.4  # dark sheets are left alone: their ink is brighter than the level
    return torch.where(bright, evened, x)


def views(b, size, scale, turn, device):
    """Homographies camera -> tile in coordinates of -1..1 and the camera's side in px (a multiple of 16)."""
    side = size * scale * (abs(torch.cos(turn)) + abs(torch.sin(turn)))
    side = int(max(64, round(float(side) / 16) * 16))
    angle = turn + (torch.rand(b, device=device) - 0.5) * 0.04
    c, s = torch.cos(angle) * side / (size * scale), torch.sin(angle) * side / (size * scale)
    h = torch.zeros(b, 3, 3, device=device)
    h[:, 0, 0], h[:, 0, 1], h[:, 1, 0], h[:, 1, 1], h[:, 2, 2] = c, -s, s, c, 1
    h[:, :2, 2] = (torch.rand(b, 2, device=device) - 0.5) * 2 / side
    h[:, 2, :2] = (torch.rand(b, 2, device=device) - 0.5) * 0.06
    return h, side


def through(x, homography, side, mode):
    b = x.shape[0]
    grid = identity_grid(b, side, side, x.device).reshape(b, -1, 2)
    grid = torch.cat([grid, torch.ones_like(grid[..., :1])], -1) @ homography.transpose(1, 2)
    grid = (grid[..., :2] / grid[..., 2:]).reshape(b, side, side, 2)
    return F.grid_sample(x, grid, mode=mode, padding_mode='reflection', align_corners=False)


def pick(low, high):
    return float(torch.rand(()) * (high - low) + low)


def photograph(x, kind):
    """The whole journey of a batch of tiles of one picture kind (index into styles.KINDS)."""
    b, _, size, _ = x.shape
    device = x.device
    name = ('clean', 'scan', 'photo', 'hand', 'screen', 'small')[kind]
    route = name if name != 'hand' else ('photo', 'scan')[int(torch.rand(()) < 0.45)]
    if route == 'clean' and torch.rand(()) < 0.25:
        return x
    scale = {'clean': pick(0.6, 2), 'scan': pick(0.7, 1.8), 'photo': pick(0.6, 1.7), 'screen': pick(0.6, 1.5), 'small': pick(0.25, 0.65)}[route]
    turn = torch.tensor(0.0)
    if route in ('photo', 'screen') and torch.rand(()) < 0.5:
        turn = (torch.rand(()) - 0.5) * 1.6
    if route == 'scan' and torch.rand(()) < 0.5:
        turn = (torch.rand(()) - 0.5) * 0.1
    if route == 'photo' or route == 'scan':
        x = show_through(x)
        x = crumpled(x)
        x = fold_marks(sheet_texture(x, uniform(b, 0, 0.05 if route == 'photo' else 0.025, device)))
    if route == 'photo':
        x = light(x, 1.0)
    elif route in ('scan', 'screen'):
        x = light(x, 0.3)
    built = route == 'screen' and torch.rand(()) < 0.5
    if scale < 1 and not built:
        x = blur(x, torch.full((b,), 0.42 * (1 / scale**2 - 1) ** 0.5 + 0.05, device=device))
    there, side = views(b, size, scale, turn, device)
    if built:
        # Display pixels of half a tile pixel to two: thin lines are one or two of them wide.
        x = photographed_display(x, there, side, int(size * math.exp(pick(-0.7, 0.7))))
    else:
        # Programs that draw without smoothing leave stairs.
        stairs = route in ('clean', 'small') and torch.rand(()) < 0.12
        x = through(x, there, side, 'nearest' if stairs else 'bilinear')
    if route == 'photo' or (route == 'screen' and not built):
        x = blur(x, (torch.rand(b, device=device) ** 1.5 * 1.5 + 0.35))
        if torch.rand(()) < 0.3:
            x = shake(x, torch.rand(b, device=device) ** 2 * 5)
    elif route == 'scan':
        x = blur(x, torch.rand(b, device=device) * 0.8 + 0.2)
    if route == 'screen':
        first = 0.0 if built else torch.rand(())
        if not built:
            x = screen_pixels(x) if first < 0.5 else moire(x) if first < 0.8 else x
        if first > 0.6 or torch.rand(()) < (0.25 if built else 0.4):
            x = bands(x)
        if torch.rand(()) < (0.35 if built else 0.55):
            x = speckle(x)
    if route in ('photo', 'screen') and torch.rand(()) < 0.5:
        x = mosaic(x)
    if route in ('photo', 'scan', 'screen'):
        level = torch.rand(b, 1, 1, 1, device=device) ** 2 * (0.07 if route != 'scan' else 0.03)
        noise = torch.randn_like(x) * 0.5 + torch.randn_like(x[:, :1])
        if torch.rand(()) < 0.5:
            noise = F.avg_pool2d(noise, 3, 1, 1) * 2
        x = x + noise * level
        if route != 'scan' and torch.rand(()) < 0.3:
            x = x + uniform(b, 0, 0.9, device) * (x - x.mean(1, keepdim=True))  # phones like strong colours
        sharp = uniform(b, 0, 1.4, device) * chance(b, 0.5, device)
        x = x + sharp * (x - blur(x, torch.rand(b, device=device) + 0.6))
        contrast = uniform(b, 0.75, 1.15, device)
        x = ((x - 0.5) * contrast + 0.5 + uniform(b, -0.08, 0.08, device)).clamp(1e-4, 1) ** uniform(b, 0.75, 1.35, device)
    if route in ('clean', 'small') and torch.rand(()) < 0.4:
        x = x + uniform(b, 0, 1.1, device) * (x - blur(x, torch.rand(b, device=device) * 0.9 + 0.4))  # halos of resizing
    x = x.clamp(0, 1)
    share = {'clean': 0.4, 'scan': 0.7, 'photo': 0.95, 'screen': 0.95, 'small': 0.85}[route]
    for _ in range(2):
        if torch.rand(()) < share:
            low = 18 if route == 'small' else 35
            shift = [int(torch.randint(0, 8, ())) for _ in range(2)]
            moved = torch.roll(x, shift, (2, 3))
            moved = jpeg(moved, torch.rand(b, device=device) * (96 - low) + low, bool(torch.rand(()) < 0.7))
            x = torch.roll(moved, [-v for v in shift], (2, 3))
        share *= 0.35
    x = through(x, torch.linalg.inv(there), size, 'bicubic' if torch.rand(()) < 0.5 else 'bilinear').clamp(0, 1)
    if route in ('photo', 'scan', 'screen') and torch.rand(()) < 0.5:
        x = even_light(x)
    return x
