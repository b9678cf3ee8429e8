"""The painter's inner loop as one Triton kernel: a block of pixels stays in registers while the strokes near it pass over it.

Same numbers as `painter.one_stroke`, which is kept as the plain form and for processors; strokes too far away to show are left out.
`python3 scripts/train/kernel.py` paints tiles both ways on a GPU and prints the largest differences.
"""

import torch
import triton
import triton.language as tl

import styles as st

SIDE = 16  # a block is SIDE x SIDE px
PLANES = 11  # r g b line ink other cos2 sin2 dr dg db

X, Y, COS, SIN, LENGTH, HALF = (tl.constexpr(v) for v in (st.X, st.Y, st.COS, st.SIN, st.LENGTH, st.HALF))
RED, GREEN, BLUE, OPACITY = (tl.constexpr(v) for v in (st.RED, st.GREEN, st.BLUE, st.OPACITY))
PERIOD, ON0, OFF0, ON1, OFF1, ON2, OFF2, PHASE = (tl.constexpr(v) for v in (st.PERIOD, st.ON0, st.OFF0, st.ON1, st.OFF1, st.ON2, st.OFF2, st.PHASE))
WAVE, WAVE_RATE, WAVE_PHASE = (tl.constexpr(v) for v in (st.WAVE, st.WAVE_RATE, st.WAVE_PHASE))
WAVE2, WAVE2_RATE, WAVE2_PHASE = (tl.constexpr(v) for v in (st.WAVE2, st.WAVE2_RATE, st.WAVE2_PHASE))
OVER, SWELL, GRAIN, SKIP, SKIP_RATE, CREASE = (tl.constexpr(v) for v in (st.OVER, st.SWELL, st.GRAIN, st.SKIP, st.SKIP_RATE, st.CREASE))
JITTER, JITTER_RATE, LOST = (tl.constexpr(v) for v in (st.JITTER, st.JITTER_RATE, st.LOST))
EASE, DASH_SOFT = tl.constexpr(st.EASE), tl.constexpr(st.DASH_SOFT)


@triton.jit
def clamp01(v):
    return tl.minimum(tl.maximum(v, 0.0), 1.0)


@triton.jit
def kept(turn, row, lost):
    """1 where this turn's mark is drawn, 0 where it was lost."""
    v = tl.sin(turn * 12.9898 + tl.load(row + X) * 0.37 + tl.load(row + Y) * 0.71) * 437.585
    return tl.where(v - tl.floor(v) >= lost, 1.0, 0.0)


@triton.jit
def strokes_kernel(rows, count, xs, ys, grains, papers, multiplies, state, size: tl.constexpr, wide: tl.constexpr, side: tl.constexpr):
    tile, block = tl.program_id(1), tl.program_id(0)
    across = size // side
    lane = tl.arange(0, side * side)
    at_pixel = (block // across * side + lane // side) * size + block % across * side + lane % side
    plane = size * size
    x, y = tl.load(xs + tile * plane + at_pixel), tl.load(ys + tile * plane + at_pixel)
    grain = tl.load(grains + tile * plane + at_pixel)
    multiply = tl.load(multiplies + tile)
    p0, p1, p2 = tl.load(papers + tile * 3), tl.load(papers + tile * 3 + 1), tl.load(papers + tile * 3 + 2)
    base = state + tile * 11 * plane + at_pixel
    r, g, b = tl.load(base), tl.load(base + plane), tl.load(base + 2 * plane)
    line = tl.zeros([side * side], tl.float32)
    ink = tl.zeros([side * side], tl.float32)
    other = tl.zeros([side * side], tl.float32)
    cos2 = tl.zeros([side * side], tl.float32)
    sin2 = tl.zeros([side * side], tl.float32)
    dr = tl.zeros([side * side], tl.float32)
    dg = tl.zeros([side * side], tl.float32)
    db = tl.zeros([side * side], tl.float32)
    west, east, north, south = tl.min(x, 0), tl.max(x, 0), tl.min(y, 0), tl.max(y, 0)
    mid_x, mid_y = (west + east) * 0.5, (north + south) * 0.5
    reach = tl.sqrt((east - west) * (east - west) + (south - north) * (south - north)) * 0.5 + 8.0
    for i in range(0, count):
        row = rows + (tile * count + i) * wide
        c, s, length = tl.load(row + COS), tl.load(row + SIN), tl.load(row + LENGTH)
        half0, over, wave, wave2 = tl.load(row + HALF), tl.load(row + OVER), tl.load(row + WAVE), tl.load(row + WAVE2)
        mx, my = mid_x - tl.load(row + X), mid_y - tl.load(row + Y)
        far_t, far_n = mx * c + my * s, tl.abs(my * c - mx * s)
        room = 1.2 * (reach + 1.4 * half0 + tl.abs(wave) + tl.abs(wave2)) + tl.maximum(over, 0.0)
        if (far_n < room) & (far_t > -room) & (far_t < length + room):
            phase, phase2 = tl.load(row + WAVE_PHASE), tl.load(row + WAVE2_PHASE)
            rate, rate2 = tl.load(row + WAVE_RATE), tl.load(row + WAVE2_RATE)
            dx, dy = x - tl.load(row + X), y - tl.load(row + Y)
            t = dx * c + dy * s
            sway = wave * tl.sin(rate * t + phase) + wave2 * tl.sin(rate2 * t + phase2)
            ease = clamp01(tl.minimum(t, length - t) / EASE)
            bank = ease * (wave * rate * tl.cos(rate * t + phase) + wave2 * rate2 * tl.cos(rate2 * t + phase2))
            shorter = 1.0 / tl.sqrt(1.0 + bank * bank)
            n = (dy * c - dx * s + ease * sway) * shorter
            cos, sin = (c + bank * s) * shorter, (s - bank * c) * shorter
            beyond = tl.maximum(tl.maximum(-over - t, t - length - over), 0.0)
            d = tl.sqrt(n * n + beyond * beyond + 1e-8)
            half = half0 * (1.0 + tl.load(row + SWELL) * tl.sin(0.031 * t + phase * 3.0))
            cover = clamp01(half + 0.5 - d) * tl.minimum(2.0 * half, 1.0)
            jitter_rate = tl.load(row + JITTER_RATE)
            uneven = tl.sin(jitter_rate * t + phase) + 0.6 * tl.sin(1.9 * jitter_rate * t + phase2)
            period = tl.load(row + PERIOD)
            at = t / period + tl.load(row + PHASE) + tl.load(row + JITTER) * uneven
            turn = tl.floor(at)
            at = (at - turn) * period
            lost = tl.load(row + LOST)
            on = clamp01(tl.minimum(at - tl.load(row + ON0), tl.load(row + OFF0) - at) + DASH_SOFT)
            on1 = clamp01(tl.minimum(at - tl.load(row + ON1), tl.load(row + OFF1) - at) + DASH_SOFT)
            on2 = clamp01(tl.minimum(at - tl.load(row + ON2), tl.load(row + OFF2) - at) + DASH_SOFT)
            on = tl.maximum(on, tl.maximum(on1 * kept(turn, row, lost), on2 * kept(turn + 0.5, row, lost)))
            skip_rate = tl.load(row + SKIP_RATE)
            jump = tl.sin(skip_rate * t + phase2) + tl.sin(2.7 * skip_rate * t + phase)
            cover = cover * on * tl.sigmoid(12.0 * (tl.load(row + SKIP) - jump))
            opacity, rough, crease = tl.load(row + OPACITY), tl.load(row + GRAIN), tl.load(row + CREASE)
            red, green, blue = tl.load(row + RED), tl.load(row + GREEN), tl.load(row + BLUE)
            a = cover * opacity * (1.0 - rough * grain)
            r = r + a * (red * (1.0 + multiply * (r / p0 - 1.0)) - r)
            g = g + a * (green * (1.0 + multiply * (g / p1 - 1.0)) - g)
            b = b + a * (blue * (1.0 + multiply * (b / p2 - 1.0)) - b)
            ridge = tl.exp(-0.5 * d * d) * crease
            nearer = ridge > line
            line = tl.where(nearer, ridge, line)
            cos2 = tl.where(nearer, cos * cos - sin * sin, cos2)
            sin2 = tl.where(nearer, 2.0 * cos * sin, sin2)
            tone = opacity * (1.0 - 0.35 * rough)
            pr, pg, pb = p0 + tone * (red - p0), p1 + tone * (green - p1), p2 + tone * (blue - p2)
            dr = tl.where(nearer, (p0 - pr) / tl.maximum(p0, pr), dr)
            dg = tl.where(nearer, (p1 - pg) / tl.maximum(p1, pg), dg)
            db = tl.where(nearer, (p2 - pb) / tl.maximum(p2, pb), db)
            ink = tl.maximum(ink, cover * crease)
            other = tl.maximum(other * (1.0 - cover * crease), cover * (1.0 - crease))
    tl.store(base, r)
    tl.store(base + plane, g)
    tl.store(base + 2 * plane, b)
    tl.store(base + 3 * plane, line)
    tl.store(base + 4 * plane, ink)
    tl.store(base + 5 * plane, other)
    tl.store(base + 6 * plane, cos2)
    tl.store(base + 7 * plane, sin2)
    tl.store(base + 8 * plane, dr)
    tl.store(base + 9 * plane, dg)
    tl.store(base + 10 * plane, db)


def paint_strokes(colours, rows, x, y, grain, paper, multiply):
    """colours: three (b, size, size); rows (b, n, STROKE); the rest as `painter.several` has it. Returns the state of PLANES maps."""
    b, size, _ = colours[0].shape
    state = torch.empty(b, PLANES, size, size, device=rows.device)
    for i in range(3):
        state[:, i] = colours[i]
    papers = torch.cat([p.reshape(b, 1) for p in paper], 1).contiguous()
    strokes_kernel[((size // SIDE) ** 2, b)](
        rows.contiguous(), rows.shape[1], x.contiguous(), y.contiguous(), grain.contiguous(), papers, multiply.reshape(b).contiguous(), state,
        size, st.STROKE, SIDE, num_warps=4,
    )
    return state.unbind(1)


def main():
    import time

    import numpy as np

    import painter

    device = torch.device('cuda')
    for kind in range(len(st.KINDS)):
        chunk = st.draw_chunk(np.random.default_rng([7, kind]), 256, 352, 64, None, kind)
        chunk = {k: v if k == 'kind' else torch.from_numpy(np.asarray(v)).to(device) for k, v in chunk.items()}
        made = []
        for fast in (False, True):
            torch.manual_seed(5)
            painter.paint(chunk, 256, fast)
            torch.manual_seed(5)
            torch.cuda.synchronize()
            start = time.time()
            made.append(painter.paint(chunk, 256, fast))
            torch.cuda.synchronize()
            print(st.KINDS[kind], 'kernel' if fast else 'plain', round((time.time() - start) * 1000, 2), 'ms for 64 tiles of', chunk['strokes'].shape[1], 'strokes')
        (rgb, targets), (rgb2, targets2) = made
        on = targets['line'] > 0.1
        gap = {'rgb': (rgb - rgb2).abs()}
        gap.update({k: (targets[k] - targets2[k]).abs() * (on if k in ('direction', 'diff') else 1) for k in targets})
        print({k: (round(float(v.max()), 5), round(float(v.mean()), 8)) for k, v in gap.items()}, flush=True)


if __name__ == '__main__':
    main()
