"""Paints tiles and their targets from stroke rows, on any torch device, by distance to each stroke.

Pixel centres are at integer + 0.5. Targets, all (b, channels, size, size):
  line    ridge of a crease's centre line, exp(-d^2 / 2), d in px, running through dash gaps
  ink     share of the pixel that a crease's ink covers
  vertex  exp(-d^2 / 8) round ends and crossings of creases
  other   share covered by marks that are no creases
  cos2, sin2  doubled direction of the nearest crease
  diff    (paper - ink) / max(paper, ink) of the nearest crease's clean ink, per channel: it survives any gain of light
"""

import torch
import torch.nn.functional as F

import styles as st
from basics import smooth, smooth_noise


def kept(turn, s):
    """1 where this turn's mark of the rhythm is drawn, 0 where it was lost; a hash of the turn and the stroke's place."""
    v = torch.sin(turn * 12.9898 + s[st.X] * 0.37 + s[st.Y] * 0.71) * 437.585
    return (v - torch.floor(v) >= s[st.LOST]).float()


def one_stroke(state, s, x, y, grain, paper, multiply):
    """Paints stroke s (STROKE tensors of (b, 1, 1)) into the state; the heart of the renderer."""
    r, g, b, line, ink, other, cos2, sin2, dr, dg, db = state
    dx, dy = x - s[st.X], y - s[st.Y]
    t = dx * s[st.COS] + dy * s[st.SIN]
    wave = s[st.WAVE] * torch.sin(s[st.WAVE_RATE] * t + s[st.WAVE_PHASE])
    wave = wave + s[st.WAVE2] * torch.sin(s[st.WAVE2_RATE] * t + s[st.WAVE2_PHASE])
    # Hands aim at the ends: the wobble grows away from them. `bank` is the slope of the stroke against its segment.
    ease = torch.clamp(torch.minimum(t, s[st.LENGTH] - t) / st.EASE, 0, 1)
    bank = s[st.WAVE] * s[st.WAVE_RATE] * torch.cos(s[st.WAVE_RATE] * t + s[st.WAVE_PHASE])
    bank = ease * (bank + s[st.WAVE2] * s[st.WAVE2_RATE] * torch.cos(s[st.WAVE2_RATE] * t + s[st.WAVE2_PHASE]))
    shorter = torch.rsqrt(1 + bank * bank)
    n = (dy * s[st.COS] - dx * s[st.SIN] + ease * wave) * shorter
    cos, sin = (s[st.COS] + bank * s[st.SIN]) * shorter, (s[st.SIN] - bank * s[st.COS]) * shorter
    beyond = torch.clamp(torch.maximum(-s[st.OVER] - t, t - s[st.LENGTH] - s[st.OVER]), min=0)
    d = torch.sqrt(n * n + beyond * beyond + 1e-8)
    swell = 1 + s[st.SWELL] * torch.sin(0.031 * t + s[st.WAVE_PHASE] * 3)
    half = s[st.HALF] * swell
    cover = torch.clamp(half + 0.5 - d, 0, 1) * torch.clamp(2 * half, max=1)
    uneven = torch.sin(s[st.JITTER_RATE] * t + s[st.WAVE_PHASE]) + 0.6 * torch.sin(1.9 * s[st.JITTER_RATE] * t + s[st.WAVE2_PHASE])
    at = t / s[st.PERIOD] + s[st.PHASE] + s[st.JITTER] * uneven
    turn = torch.floor(at)
    at = (at - turn) * s[st.PERIOD]
    on = torch.clamp(torch.minimum(at - s[st.ON0], s[st.OFF0] - at) + st.DASH_SOFT, 0, 1)
    on1 = torch.clamp(torch.minimum(at - s[st.ON1], s[st.OFF1] - at) + st.DASH_SOFT, 0, 1)
    on2 = torch.clamp(torch.minimum(at - s[st.ON2], s[st.OFF2] - at) + st.DASH_SOFT, 0, 1)
    on = torch.maximum(on, torch.maximum(on1 * kept(turn, s), on2 * kept(turn + 0.5, s)))
    jump = torch.sin(s[st.SKIP_RATE] * t + s[st.WAVE2_PHASE]) + torch.sin(2.7 * s[st.SKIP_RATE] * t + s[st.WAVE_PHASE])
    on = on * torch.sigmoid(12 * (s[st.SKIP] - jump))
    cover = cover * on
    a = cover * s[st.OPACITY] * (1 - s[st.GRAIN] * grain)
    # Ink over ink: opaque for multiply = 0, filtering like glaze for multiply = 1.
    r = r + a * (s[st.RED] * (1 + multiply * (r / paper[0] - 1)) - r)
    g = g + a * (s[st.GREEN] * (1 + multiply * (g / paper[1] - 1)) - g)
    b = b + a * (s[st.BLUE] * (1 + multiply * (b / paper[2] - 1)) - b)
    crease = s[st.CREASE]
    ridge = torch.exp(-0.5 * d * d) * crease
    nearer = ridge > line
    line = torch.where(nearer, ridge, line)
    cos2 = torch.where(nearer, cos * cos - sin * sin, cos2)
    sin2 = torch.where(nearer, 2 * cos * sin, sin2)
    tone = s[st.OPACITY] * (1 - 0.35 * s[st.GRAIN])
    pr, pg, pb = (paper[i] + tone * (s[st.RED + i] - paper[i]) for i in range(3))
    dr = torch.where(nearer, (paper[0] - pr) / torch.maximum(paper[0], pr), dr)
    dg = torch.where(nearer, (paper[1] - pg) / torch.maximum(paper[1], pg), dg)
    db = torch.where(nearer, (paper[2] - pb) / torch.maximum(paper[2], pb), db)
    ink = torch.maximum(ink, cover * crease)
    other = torch.maximum(other * (1 - cover * crease), cover * (1 - crease))
    return r, g, b, line, ink, other, cos2, sin2, dr, dg, db


def paint_strokes(colours, rows, x, y, grain, paper, multiply):
    """Plain form of kernel.paint_strokes."""
    zero = torch.zeros_like(grain)
    state = (*colours, *[zero.clone() for _ in range(8)])
    for i in range(rows.shape[1]):
        stroke = [rows[:, i, j, None, None] for j in range(st.STROKE)]
        state = one_stroke(state, stroke, x, y, grain, paper, multiply)
    return state


def vertex_heat(vertices, size):
    """Gaussian of 2 px round each point, largest wins; patches of 13 px are scattered."""
    b, m, _ = vertices.shape
    reach = torch.arange(-6, 7, device=vertices.device)
    oy, ox = torch.meshgrid(reach, reach, indexing='ij')
    cell = torch.floor(vertices)
    px = cell[:, :, 0, None] + ox.flatten()
    py = cell[:, :, 1, None] + oy.flatten()
    d2 = (px + 0.5 - vertices[:, :, 0, None]) ** 2 + (py + 0.5 - vertices[:, :, 1, None]) ** 2
    inside = (px >= 0) & (px < size) & (py >= 0) & (py < size)
    heat = torch.where(inside, torch.exp(-d2 / 8), torch.zeros_like(d2))
    flat = (py.clamp(0, size - 1) * size + px.clamp(0, size - 1)).long()
    out = torch.zeros(b, size * size, device=vertices.device)
    out.scatter_reduce_(1, flat.reshape(b, -1), heat.reshape(b, -1), 'amax')
    return out.reshape(b, 1, size, size)


def paint(chunk, size, fast=False):
    """Chunk of tensors (see styles.draw_chunk) to (rgb (b, 3, size, size) in 0..1, targets dict). `fast` paints by the GPU's kernel."""
    rows, vertices = chunk['strokes'], chunk['vertices']
    b, device = rows.shape[0], rows.device
    axis = torch.arange(size, device=device) + 0.5
    # What straightening leaves: a slow bend of up to a few px, the same for all strokes of a tile.
    bend = smooth_noise(b, 2, size, 3, device) * (torch.rand(b, 1, 1, 1, device=device) ** 2 * 4)
    x = (axis[None, None, :] + bend[:, 0]).contiguous()
    y = (axis[None, :, None] + bend[:, 1]).contiguous()
    paper = [chunk['paper'][:, i, None, None].clamp(min=0.02) for i in range(3)]
    frame = chunk['frame']
    off = torch.maximum(
        torch.maximum(frame[:, 0, None, None] - x, x - frame[:, 2, None, None]),
        torch.maximum(frame[:, 1, None, None] - y, y - frame[:, 3, None, None]),
    )
    on_desk = torch.clamp(off + 0.5, 0, 1)
    # Desks are plain or streaked like wood.
    streaks = smooth(torch.randn(b, 4, 64, device=device), size)
    streaks = torch.where(torch.rand(b, 1, 1, device=device) < 0.5, streaks, streaks.transpose(1, 2))
    streaks = 1 + streaks * torch.rand(b, 1, 1, device=device) ** 2 * 0.25
    colours = [(paper[i] + on_desk * (chunk['desk'][:, i, None, None] * streaks - paper[i]).clamp(-1, 1)).clamp(0, 1).contiguous() for i in range(3)]
    grain = torch.rand(b, size, size, device=device)
    grain = torch.clamp((grain + F.avg_pool2d(grain[:, None], 3, 1, 1)[:, 0] * 2 - 1) * 1.1, 0, 1)
    if fast:
        from kernel import paint_strokes as painted
    else:
        painted = paint_strokes
    state = painted(colours, rows, x, y, grain, paper, chunk['multiply'][:, None, None])
    r, g, bl, line, ink, other, cos2, sin2, dr, dg, db = state
    rgb = torch.stack([r, g, bl], 1)
    # Vertices bend with the strokes: x + bend(x) = vertex, to first order at x = vertex - bend(vertex).
    places = (vertices / size * 2 - 1)[:, None]
    shift = F.grid_sample(bend, places, align_corners=False, padding_mode='border')[:, :, 0].transpose(1, 2)
    targets = {
        'line': line[:, None],
        'ink': ink[:, None],
        'vertex': vertex_heat(vertices - shift, size),
        'other': other[:, None],
        'direction': torch.stack([cos2, sin2], 1),
        'diff': torch.stack([dr, dg, db], 1),
    }
    return rgb, targets
