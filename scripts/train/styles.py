"""How a draughtsman, a printer or a program draws a pattern: inks, widths, rhythms, hands; and the marks that are no creases.

A stroke is one row of STROKE numbers (index constants below), lengths in paper px. Rows are painted in order.
"""

import colorsys

import numpy as np

from patterns import EDGE, crossings, draw_pattern

X, Y, COS, SIN, LENGTH, HALF, RED, GREEN, BLUE, OPACITY = range(10)
PERIOD, ON0, OFF0, ON1, OFF1, ON2, OFF2, PHASE = range(10, 18)
WAVE, WAVE_RATE, WAVE_PHASE, WAVE2, WAVE2_RATE, WAVE2_PHASE = range(18, 24)
OVER, SWELL, GRAIN, SKIP, SKIP_RATE, CREASE = range(24, 30)
STROKE = 30

KINDS = ('clean', 'scan', 'photo', 'hand', 'screen', 'small')
HUES = (0.0, 0.0, 0.64, 0.62, 0.33, 0.85, 0.08, 0.5, 0.78, 0.13)


def ink(rng, dark):
    """One ink, sRGB 0..1; on dark sheets inks are light."""
    draw = rng.random()
    if draw < 0.25:
        grey = rng.uniform(0, 0.25) if rng.random() < 0.7 else rng.uniform(0.25, 0.65)
        colour = np.array([grey] * 3)
        return 1 - colour if dark else colour
    hue = (rng.choice(HUES) + rng.normal(0, 0.025)) % 1
    full = rng.random() < 0.6
    saturation = rng.uniform(0.75, 1) if full else rng.uniform(0.25, 0.8)
    value = rng.uniform(0.6, 1) if full else rng.uniform(0.35, 0.95)
    return np.array(colorsys.hsv_to_rgb(hue, saturation, max(value, 0.75) if dark else value))


def sheet(rng):
    """Paper colour and whether it is dark."""
    draw = rng.random()
    if draw < 0.45:
        return np.ones(3) * rng.uniform(0.97, 1), False
    if draw < 0.75:
        return np.clip(rng.uniform(0.82, 1) + rng.normal(0, 0.02, 3) + [0.01, 0, -0.03], 0, 1), False
    if draw < 0.9:
        return np.array(colorsys.hsv_to_rgb(rng.random(), rng.uniform(0.05, 0.4), rng.uniform(0.6, 1))), False
    return np.array(colorsys.hsv_to_rgb(rng.random(), rng.uniform(0, 0.5), rng.uniform(0.03, 0.3))), True


def rhythm(rng, name, width):
    """On and off stretches of one period (up to three), px. Proportions of ISO 128 or free ones."""
    if name == 'solid':
        return 0.0, []
    free = rng.random() < 0.6
    dash = width * (rng.uniform(2.5, 9) if free else 12)
    gap = width * (rng.uniform(1.3, 5) if free else 3)
    dot = width * (rng.uniform(0.4, 1.6) if free else 0.5)
    dots = {'dashed': 0, 'dashdot': 1, 'dashdotdot': 2}.get(name)
    if name == 'dotted':
        dot = width * rng.uniform(0.7, 1.5)
        gap = width * rng.uniform(1, 3)
        return dot + gap, [(0, dot)]
    if not free and dots == 2:
        dash *= 2
    marks, at = [(0, dash)], dash + gap
    for _ in range(dots):
        marks.append((at, at + dot))
        at += dot + gap
    return at, marks


def convention(rng, dark, width):
    """What each kind looks like: list over kinds of (colour, width, rhythm name, opacity)."""
    first, second, black = ink(rng, dark), ink(rng, dark), ink(rng, dark) if rng.random() < 0.3 else np.ones(3) * (0.95 if dark else rng.uniform(0, 0.3))
    draw = rng.random()
    if draw < 0.45:
        looks = [(first, 1, 'solid'), (second, 1, 'solid')]
    elif draw < 0.68:
        other = first if rng.random() < 0.6 else second
        looks = [(first, 1, rng.choice(['dashdot', 'dashdotdot'])), (other, 1, 'dashed')]
    elif draw < 0.8:
        other = first if rng.random() < 0.6 else second
        looks = [(first, 1, 'solid'), (other, 1, rng.choice(['dashed', 'dotted', 'dashdot'], p=[0.75, 0.15, 0.1]))]
    elif draw < 0.88:
        looks = [(first, 1, 'solid'), (first + rng.uniform(0.3, 0.6) * (np.ones(3) * (0 if dark else 1) - first), 1, 'solid')]
    elif draw < 0.94:
        looks = [(first, 1, 'solid'), (first, rng.uniform(0.35, 0.6), 'solid')]
    else:
        looks = [(first, 1, 'solid'), (first, 1, 'solid')]
    if rng.random() < 0.5:
        looks = looks[::-1]
    edge = (black if rng.random() < 0.8 else first, rng.choice([1, 1, 1.5, 2.2]), 'solid')
    soft = first + rng.uniform(0.3, 0.75) * (np.ones(3) * (0 if dark else 1) - first)
    auxiliary = (soft if rng.random() < 0.6 else ink(rng, dark), rng.choice([0.5, 0.7, 1]), rng.choice(['solid', 'dashed', 'dotted'], p=[0.7, 0.2, 0.1]))
    return [(np.clip(c, 0, 1), max(0.7, w * width), r) for c, w, r in [*looks, edge, auxiliary]]


def blank_rows(count):
    rows = np.zeros((count, STROKE), np.float32)
    rows[:, PERIOD], rows[:, OFF0], rows[:, OPACITY], rows[:, CREASE] = 1e6, 2e6, 1, 1
    rows[:, ON1:PHASE] = -1e6
    rows[:, ON0] = -1e6
    rows[:, SKIP] = 9
    return rows


def place(rows, segments):
    d = segments[:, 2:] - segments[:, :2]
    rows[:, LENGTH] = np.maximum(np.hypot(d[:, 0], d[:, 1]), 1e-3)
    rows[:, X:COS] = segments[:, :2]
    rows[:, COS:LENGTH] = d / rows[:, LENGTH : LENGTH + 1]
    return rows


def mark_strokes(rng, size, dark, width):
    """Arrows, rings and scribbles made of short straight strokes; no creases."""
    rows = []
    for _ in range(int(rng.integers(1, 4))):
        colour, half = ink(rng, dark), width * rng.uniform(0.25, 1)
        start, radius = rng.uniform(0, size, 2), np.exp(rng.uniform(np.log(6), np.log(90)))
        shape = rng.choice(['arc', 'ring', 'scribble', 'arrow'])
        if shape in ('arc', 'ring', 'arrow'):
            turn = 2 * np.pi if shape == 'ring' else rng.uniform(0.4, 3)
            radius = min(radius, 14) if shape == 'ring' and rng.random() < 0.6 else radius
            if shape == 'arrow' and rng.random() < 0.3:
                radius, turn = radius * 20, turn * rng.uniform(0.5, 2) / 20
            angles = rng.uniform(0, 6.28) + np.linspace(0, turn, 12)
            line = start + radius * (np.stack([np.cos(angles), np.sin(angles)], 1) - [np.cos(angles[0]), np.sin(angles[0])])
        else:
            line = start + np.cumsum(rng.normal(0, radius / 6, (int(rng.integers(5, 14)), 2)), 0)
        segments = np.concatenate([line[:-1], line[1:]], 1)
        if shape in ('arc', 'arrow'):
            tip, back = line[-1], line[-2] - line[-1]
            back = back / (np.hypot(*back) + 1e-6) * half * rng.uniform(4, 9)
            for turn in (0.45, -0.45):
                c, s = np.cos(turn), np.sin(turn)
                segments = np.concatenate([segments, [[*tip, *(tip + [c * back[0] - s * back[1], s * back[0] + c * back[1]])]]])
        block = place(blank_rows(len(segments)), segments)
        block[:, HALF], block[:, RED:OPACITY], block[:, CREASE] = half, colour, 0
        rows.append(block)
    return np.concatenate(rows)


def unit_of(segments):
    """Rough spacing of a pattern's axis-parallel strokes, px; 0 where there is none to speak of."""
    upright = segments[np.abs(segments[:, 0] - segments[:, 2]) < 0.5, 0]
    gaps = np.diff(np.unique(np.round(upright)))
    gaps = gaps[gaps > 5]
    return float(np.median(gaps)) if len(gaps) > 2 else 0.0


def guide_grid(rng, size, paper, segments):
    """A pale printed grid under the pattern, mostly the grid that the pattern is drawn on."""
    unit = unit_of(segments)
    fits = unit and rng.random() < 0.8
    step = max(unit * rng.choice([0.5, 1, 1, 2]) if fits else np.exp(rng.uniform(np.log(9), np.log(110))), 7)
    origin = segments[int(rng.integers(len(segments))), :2] if fits else rng.random(2) * step
    across, down = (np.arange(origin[i] % step - step, size + step, step) for i in (0, 1))
    segments = np.array([[x, -10, x, size + 10] for x in across] + [[-10, y, size + 10, y] for y in down])
    rows = place(blank_rows(len(segments)), segments)
    colour = np.clip(paper + (ink(rng, False) - paper) * rng.uniform(0.04, 0.4), 0, 1)
    rows[:, HALF], rows[:, RED:OPACITY], rows[:, CREASE] = rng.uniform(0.35, 0.9), colour, 0
    return rows[:90]


def hand_drawn(rng, rows, width):
    """Makes strokes unsteady: wobble, turned and shifted strokes, overshoot, grain, skips."""
    n, shake = len(rows), rng.uniform(0.2, 1.0)
    rows[:, WAVE], rows[:, WAVE2] = shake * rng.uniform(0, 1.3, n), shake * rng.uniform(0, 0.6, n)
    rows[:, WAVE_RATE], rows[:, WAVE2_RATE] = 2 * np.pi / rng.uniform(90, 400, n), 2 * np.pi / rng.uniform(25, 90, n)
    rows[:, WAVE_PHASE], rows[:, WAVE2_PHASE] = rng.uniform(0, 6.28, n), rng.uniform(0, 6.28, n)
    lean = rng.normal(0, 0.8 * shake, n) / np.maximum(rows[:, LENGTH], 40)
    c, s = rows[:, COS].copy(), rows[:, SIN].copy()
    rows[:, COS], rows[:, SIN] = c * np.cos(lean) - s * np.sin(lean), s * np.cos(lean) + c * np.sin(lean)
    rows[:, X : Y + 1] += rng.normal(0, 0.6 * shake, (n, 2))
    rows[:, OVER] = np.clip(rng.normal(0.3, 1.0, n) * width, -1.5 * width, 3 * width)
    rows[:, SWELL] = rng.uniform(0, 0.35)
    rows[:, GRAIN] = rng.uniform(0.2, 0.95) if rng.random() < 0.6 else 0.1
    if rng.random() < 0.3:
        rows[:, SKIP], rows[:, SKIP_RATE] = rng.uniform(0.9, 1.8), rng.uniform(0.02, 0.12)
    rows[:, OPACITY] *= rng.uniform(0.6, 1, n)


def draw_tile(rng, size, limit, kind, stored=None):
    """One tile's recipe: dict of `strokes` (n, STROKE), `vertices` (m, 2), `paper` (3,), `desk` (3,), `frame` (4,), `multiply`."""
    paper, dark = sheet(rng)
    if kind == 'clean' and rng.random() < 0.5 and not dark:
        paper = np.ones(3)
    empty = rng.random() < 0.05
    segments, kinds, frame = draw_pattern(rng, size, limit - 130, stored)
    if empty:
        segments, kinds = segments[:0], kinds[:0]
    width = float(np.clip(np.exp(rng.normal(np.log(2.6), 0.5)), 0.9, 12)) if rng.random() < 0.82 else rng.uniform(5, 18)
    if kind == 'small':
        width = max(width, rng.uniform(1.6, 4.5))
    # Crowded windows have thin strokes: at most a share of the mean distance between them.
    total = np.hypot(segments[:, 2] - segments[:, 0], segments[:, 3] - segments[:, 1]).sum()
    width = min(width, max(1.6, 0.25 * size * size / (total + 1)))
    looks = convention(rng, dark, width)
    rows = place(blank_rows(len(segments)), segments)
    for k, (colour, w, name) in enumerate(looks):
        of = kinds == k
        rows[of, HALF], rows[of, RED:OPACITY] = w / 2, colour
        period, marks = rhythm(rng, name, w if rng.random() < 0.8 else w * 1.5)
        if period:
            rows[of, PERIOD] = period
            for i, (a, b) in enumerate(marks):
                rows[of, ON0 + 2 * i], rows[of, OFF0 + 2 * i] = a, b
            rows[of, PHASE] = rng.random(of.sum()) if rng.random() < 0.5 else 0
    if dark is False and rng.random() < 0.12:
        # Faded or faint drawing: every ink drawn towards the paper.
        rows[:, RED:OPACITY] += (paper - rows[:, RED:OPACITY]) * rng.uniform(0.3, 0.75)
    rows[:, OVER] = 0 if rng.random() < 0.7 else rng.uniform(-0.5, 0.5) * width
    if kind == 'hand':
        hand_drawn(rng, rows, width)
    order = np.argsort(rng.random(4))[kinds] + 10 * (kinds == EDGE) if len(kinds) else []
    rows = rows[np.argsort(order, kind='stable')]
    under, over = [], []
    if rng.random() < 0.3 and not dark:
        under.append(guide_grid(rng, size, paper, segments))
    if rng.random() < 0.25:
        (over if rng.random() < 0.7 else under).append(mark_strokes(rng, size, dark, width))
    rows = np.concatenate([*under, rows, *over])[:limit]
    desk = np.clip(rng.random(3) * rng.uniform(0.05, 0.9), 0, 1) if rng.random() < 0.5 else paper
    gap = rng.uniform(4, 40)
    return {
        'strokes': rows.astype(np.float32),
        'vertices': crossings(segments, size).astype(np.float32),
        'paper': paper.astype(np.float32),
        'desk': desk.astype(np.float32),
        'frame': (frame + np.array([-gap, -gap, gap, gap])).astype(np.float32),
        'multiply': np.float32(rng.random() if rng.random() < 0.5 else 0),
    }


def draw_chunk(rng, size, limit, count, stored=None, kind=None):
    """`count` tiles of one picture kind, padded to the fullest: dict of arrays, first axis the tile."""
    kind = kind if kind is not None else int(rng.choice(len(KINDS), p=[0.12, 0.12, 0.22, 0.22, 0.21, 0.11]))
    tiles = [draw_tile(rng, size, limit, KINDS[kind], stored) for _ in range(count)]
    strokes = max(8, -(-max(len(t['strokes']) for t in tiles) // 8) * 8)
    vertices = max(1, max(len(t['vertices']) for t in tiles))
    chunk = {name: np.stack([t[name] for t in tiles]) for name in ('paper', 'desk', 'frame', 'multiply')}
    chunk['kind'] = kind
    chunk['strokes'] = np.stack([np.concatenate([t['strokes'], faraway(strokes - len(t['strokes']))]) for t in tiles])
    nowhere = np.full((1, 2), -1e4, np.float32)
    chunk['vertices'] = np.stack([np.concatenate([t['vertices'], np.repeat(nowhere, vertices - len(t['vertices']), 0)]) for t in tiles])
    return chunk


def faraway(count):
    rows = blank_rows(count)
    rows[:, X:COS], rows[:, COS], rows[:, LENGTH], rows[:, CREASE] = -1e4, 1, 1, 0
    return rows
