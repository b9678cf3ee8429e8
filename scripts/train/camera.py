"""What scanners, cameras, screens and file formats do to a tile, seen after the sheet was straightened again.

Every function takes and gives rgb (b, 3, h, w) in 0..1 and draws its strength for each tile of the batch from torch's generator.
"""

import torch
import torch.nn.functional as F

from painter import smooth_noise

# Quantisation tables of ITU-T T.81 (1992), annex K.1, from memory; only their general slope matters here.
LUMA = [16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55, 14, 13, 16, 24, 40, 57, 69, 56, 14, 17, 22, 29, 51, 87, 80, 62]
LUMA += [18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92, 49, 64, 78, 87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99]
CHROMA = [17, 18, 24, 47, 99, 99, 99, 99, 18, 21, 26, 66, 99, 99, 99, 99, 24, 26, 56, 99, 99, 99, 99, 99, 47, 66, 99, 99, 99, 99, 99, 99] + [99] * 32


def uniform(b, low, high, device):
    return torch.rand(b, 1, 1, 1, device=device) * (high - low) + low


def chance(b, share, device):
    return (torch.rand(b, 1, 1, 1, device=device) < share).float()


def blur(x, sigma):
    """Gaussian blur with one sigma (b,) px a tile, at most 4 px."""
    b, c, h, w = x.shape
    reach = int(min(12, max(1, round(float(sigma.max()) * 3))))
    axis = torch.arange(-reach, reach + 1, device=x.device, dtype=x.dtype)
    kernel = torch.exp(-0.5 * (axis[None] / sigma.reshape(b, 1).clamp(min=0.05)) ** 2)
    kernel = (kernel / kernel.sum(1, keepdim=True)).repeat_interleave(c, 0)
    flat = F.pad(x.reshape(1, b * c, h, w), (reach,) * 4, mode='reflect')
    flat = F.conv2d(flat, kernel[:, None, None, :], groups=b * c)
    return F.conv2d(flat, kernel[:, None, :, None], groups=b * c).reshape(b, c, h, w)


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


def identity_grid(b, h, w, device):
    y, x = torch.meshgrid((torch.arange(h, device=device) + 0.5) * 2 / h - 1, (torch.arange(w, device=device) + 0.5) * 2 / w - 1, indexing='ij')
    return torch.stack([x, y], -1)[None].expand(b, h, w, 2)


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
            plane = F.interpolate(plane, (h, w), mode='bilinear', align_corners=False)
        out.append(plane[:, 0] + (128 if i == 0 else 0))
    luma, cb, cr = out
    rgb = torch.stack([luma + 1.402 * cr, luma - 0.344 * cb - 0.714 * cr, luma + 1.772 * cb], 1)
    return (rgb.round() / 255).clamp(0, 1)


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
        width = torch.exp(torch.rand(b, 1, 1, device=device) * 2.5 - 4.5)
        side = torch.tanh(at / width) * torch.exp(-at.abs() / (width * 6))
        core = torch.exp(-((at * h / 2.4) ** 2)) * (torch.rand(b, 1, 1, device=device) - 0.6) * 0.6
        gain = gain * (1 + (chance(b, 0.2, device) * uniform(b, 0.02, 0.16, device))[:, 0] * (side + core))
    tint = 1 + (torch.rand(b, 3, 1, 1, device=device) - 0.5) * 0.3 * strong
    return (x * gain[:, None] * tint * uniform(b, 1 - 0.35 * strong, 1.05, device)).clamp(0, 1)


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
    level = uniform(b, 0, 1, device) ** 2 * 0.35 * where
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


def mosaic(x):
    """One colour a pixel, as sensors have it, filled in again from the neighbours."""
    h, w = x.shape[2:]
    even_row = (torch.arange(h, device=x.device) % 2 == 0)[:, None]
    even_column = (torch.arange(w, device=x.device) % 2 == 0)[None]
    has = torch.stack([even_row & even_column, even_row ^ even_column, ~even_row & ~even_column]).float()[None]
    kernel = torch.tensor([[1.0, 2, 1], [2, 4, 2], [1, 2, 1]], device=x.device).repeat(3, 1, 1, 1)
    return F.conv2d(x * has, kernel, padding=1, groups=3) / F.conv2d(has, kernel, padding=1, groups=3)


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
    worn = chance(b, 0.25, device)
    grid = identity_grid(b, h, w, device)
    for _ in range(2):
        eighth = torch.floor(torch.rand(b, 1, 1, device=device) * 8) * 0.3927
        angle = torch.where(torch.rand(b, 1, 1, device=device) < 0.6, eighth, torch.rand(b, 1, 1, device=device) * 3.1416)
        at = (torch.cos(angle) * grid[..., 0] + torch.sin(angle) * grid[..., 1] - (torch.rand(b, 1, 1, device=device) * 2 - 1)) * h / 2
        width = torch.rand(b, 1, 1, device=device) * 2 + 0.5
        mark = torch.exp(-0.5 * (at / width) ** 2) - 0.4 * torch.rand(b, 1, 1, device=device) * torch.exp(-0.5 * (at / width - 2) ** 2)
        depth = worn * chance(b, 0.6, device) * (0.012 + 0.11 * torch.rand(b, 1, 1, 1, device=device) ** 1.5)
        depth = torch.where(torch.rand(b, 1, 1, 1, device=device) < 0.15, -0.5 * depth, depth)  # a rubbed fold may be brighter than its sheet
        wear = 0.7 + 0.3 * smooth_noise(b, 1, h, 12, device).clamp(-1, 1)
        x = x * (1 - depth * wear * mark[:, None])
    return x


def show_through(x):
    """What is printed on the sheet's back, mirrored, soft and pale: another tile of the batch stands for it."""
    b, _, h, w = x.shape
    device = x.device
    back = blur(x.roll(1, 0).flip(3).mean(1, keepdim=True), uniform(b, 0.8, 3, device).reshape(b))
    paper = back.flatten(1).quantile(0.9, 1).reshape(b, 1, 1, 1)
    depth = chance(b, 0.09, device) * uniform(b, 0.04, 0.25, device)
    return x * (1 - depth * (1 - back / paper.clamp(min=0.1)).clamp(0, 1))


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
        x = fold_marks(sheet_texture(x, uniform(b, 0, 0.05 if route == 'photo' else 0.025, device)))
    if route == 'photo':
        x = light(x, 1.0)
    elif route in ('scan', 'screen'):
        x = light(x, 0.3)
    if scale < 1:
        x = blur(x, torch.full((b,), 0.42 * (1 / scale**2 - 1) ** 0.5 + 0.05, device=device))
    there, side = views(b, size, scale, turn, device)
    x = through(x, there, side, 'bilinear')
    if route in ('photo', 'screen'):
        x = blur(x, (torch.rand(b, device=device) ** 1.5 * 1.5 + 0.35))
        if torch.rand(()) < 0.3:
            x = shake(x, torch.rand(b, device=device) ** 2 * 5)
    elif route == 'scan':
        x = blur(x, torch.rand(b, device=device) * 0.8 + 0.2)
    if route == 'screen':
        first = torch.rand(())
        x = screen_pixels(x) if first < 0.5 else moire(x) if first < 0.8 else x
        if first > 0.6 or torch.rand(()) < 0.4:
            x = bands(x)
        if torch.rand(()) < 0.55:
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
    if route in ('clean', 'small') and torch.rand(()) < 0.3:
        x = x + uniform(b, 0, 0.8, device) * (x - blur(x, torch.rand(b, device=device) * 0.6 + 0.4))  # halos of resizing
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
