"""How a draughtsman, a printer or a program draws a pattern: inks, widths, rhythms, hands; and the marks that are no creases.

A stroke is one row of STROKE numbers (index constants below), lengths in paper px. Rows are painted in order.
"""

import colorsys

import numpy as np

from patterns import AUXILIARY, EDGE, crossings, draw_pattern

X, Y, COS, SIN, LENGTH, HALF, RED, GREEN, BLUE, OPACITY = range(10)
PERIOD, ON0, OFF0, ON1, OFF1, ON2, OFF2, PHASE = range(10, 18)
WAVE, WAVE_RATE, WAVE_PHASE, WAVE2, WAVE2_RATE, WAVE2_PHASE = range(18, 24)
OVER, SWELL, GRAIN, SKIP, SKIP_RATE, CREASE, JITTER, JITTER_RATE, LOST = range(24, 33)
STROKE = 33
DASH_SOFT = 0.5  # px over which a dash's end fades
EASE = 50.0  # px from a stroke's end over which a hand's wobble grows to its full size

KINDS = ('clean', 'scan', 'photo', 'hand', 'screen', 'small')
# Share of drawings that are pale all over, and their least contrast: what a picture of that kind can still show.
PALE_SHARE = {'clean': 0.16, 'scan': 0.16, 'photo': 0.08, 'hand': 0.08, 'screen': 0.08, 'small': 0.12}
# Printed grids under drawings; seldom in photographs, where even rows of parallel creases were else taken for ruled paper.
GRID_SHARE = {'hand': 0.5, 'photo': 0.1}
FAINTEST = {'clean': 0.035, 'scan': 0.045, 'photo': 0.09, 'hand': 0.1, 'screen': 0.14, 'small': 0.06}
HUES = (0.0, 0.0, 0.64, 0.62, 0.33, 0.85, 0.08, 0.5, 0.78, 0.13)


def ink(rng, dark):
    """One ink, sRGB 0..1; on dark sheets inks are light."""
    draw = rng.random()
    if draw < 0.25:
        grey = rng.uniform(0, 0.25) if rng.random() < 0.7 else rng.uniform(0.25, 0.65)
        colour = np.array([grey] * 3)
        return 1 - colour if dark else colour
    hue = (rng.choice(HUES) + rng.normal(0, 0.025)) % 1 if rng.random() < 0.8 else rng.random()
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


def rhythm(rng, name, width, by_hand=False):
    """On and off stretches of one period (up to three), px. Proportions of ISO 128 or free ones."""
    if name == 'solid':
        return 0.0, []
    free = rng.random() < 0.6
    dash = width * (rng.uniform(2.5, 9) if free else 12)
    gap = width * (rng.uniform(1.3, 5) if free else 3)
    dot = width * (rng.uniform(0.4, 1.6) if free else 0.5)
    dots = {'dashed': 0, 'dashdot': 1, 'dashdotdot': 2}.get(name)
    if by_hand and name == 'dashed':
        # Three dashes and gaps a period, all different: with JITTER no two periods are alike.
        steps = width * np.stack([dash / width * rng.uniform(0.5, 1.7, 3), gap / width * rng.uniform(0.5, 1.9, 3)], 1)
        ends = np.cumsum(steps.ravel())
        return ends[-1], [(0, ends[0]), (ends[1], ends[2]), (ends[3], ends[4])]
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


def convention(rng, dark, width, broken=0.0):
    """What each kind looks like: list over kinds of (colour, width, rhythm name). `broken` moves chances from two solid inks to rhythms."""
    first, second, black = ink(rng, dark), ink(rng, dark), ink(rng, dark) if rng.random() < 0.3 else np.ones(3) * (0.95 if dark else rng.uniform(0, 0.3))
    if rng.random() < 0.12:
        # Two inks hard to tell apart.
        second = np.clip(first + rng.normal(0, 0.12, 3), 0, 1)
    draw = rng.random()
    if draw < 0.45 - broken:
        looks = [(first, 1, 'solid'), (second, 1, 'solid')]
    elif draw < 0.68:
        other = first if rng.random() < 0.6 else second
        looks = [(first, 1, rng.choice(['dashdot', 'dashdotdot'])), (other, 1, 'dashed')]
    elif draw < 0.8:
        other = first if rng.random() < 0.6 else second
        looks = [(first, 1, 'solid'), (other, 1, rng.choice(['dashed', 'dotted', 'dashdot'], p=[0.75, 0.15, 0.1]))]
    elif draw < 0.88:
        looks = [(first, 1, 'solid'), (first + rng.uniform(0.3, 0.6) * (np.ones(3) * (0 if dark else 1) - first), 1, 'solid')]
    elif draw < 0.95:
        looks = [(first, 1, 'solid'), (first, rng.uniform(0.3, 0.65), 'solid')]
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


def contrast(paper, colours):
    """Largest difference of a channel between paper and inks (n, 3), of the brighter of the two: 0..1, (n,)."""
    return (np.abs(paper - colours) / np.maximum(np.maximum(paper, colours), 0.05)).max(-1)


def guide_grid(rng, size, paper, segments, most, by_hand):
    """What is printed on the paper under a pattern, in one colour of contrast `most` at most: a pale grid, mostly the one that the pattern is
    drawn on, or the squares or rules of writing paper, which know nothing of the pattern and lie a little askew."""
    unit = unit_of(segments)
    fits = unit and rng.random() < (0.35 if by_hand else 0.8)
    step = max(unit * rng.choice([0.5, 1, 1, 2]) if fits else np.exp(rng.uniform(np.log(9), np.log(150 if by_hand else 110))), 7)
    origin = segments[int(rng.integers(len(segments))), :2] if fits else rng.random(2) * step
    far = 30.0
    across, down = (np.arange((origin[i] + far) % step - far, size + far, step) for i in (0, 1))
    upright, level = [[x, -far, x, size + far] for x in across], [[-far, y, size + far, y] for y in down]
    ruled = not fits and rng.random() < (0.55 if by_hand else 0.25)
    lines = np.array((upright if rng.random() < 0.3 else level) if ruled else upright + level)
    if not fits:
        lean = rng.normal(0, 0.025) if by_hand else rng.normal(0, 0.004)
        c, s = np.cos(lean), np.sin(lean)
        lines = ((lines.reshape(-1, 2) - size / 2) @ np.array([[c, s], [-s, c]]) + size / 2).reshape(-1, 4)
    rows = place(blank_rows(len(lines)), lines)
    colour = paper_print(rng, paper, most)
    rows[:, HALF], rows[:, RED:OPACITY], rows[:, CREASE] = rng.uniform(0.35, 0.9) if rng.random() < 0.8 else rng.uniform(0.9, 1.4), colour, 0
    rows = rows[:90]
    if ruled and rng.random() < 0.3:
        margin = rows[:1].copy()
        margin[:, COS], margin[:, SIN] = -rows[:1, SIN], rows[:1, COS]
        middle = rows[0, X : Y + 1] + rows[0, LENGTH] * rng.uniform(0.1, 0.9) * rows[0, COS : SIN + 1]
        margin[:, X : Y + 1] = middle - (size + 2 * far) * margin[:, COS : SIN + 1]
        margin[:, LENGTH] = 2 * (size + 2 * far)
        margin[:, RED:OPACITY] = paper_print(rng, paper, most)
        rows = np.concatenate([rows, margin])
    return rows


def paper_print(rng, paper, most):
    colour = ink(rng, False)
    wanted = rng.uniform(min(0.03, 0.5 * most), most)
    return np.clip(paper + (colour - paper) * wanted / max(wanted, contrast(paper, colour)), 0, 1)


def hand_drawn(rng, rows, width):
    """Makes strokes unsteady: wobble, turned and shifted strokes, overshoot, grain, skips, uneven dashes."""
    n, shake = len(rows), rng.uniform(0.2, 1.0)
    # Drawn without a ruler: up to a hundredth of the sheet's side from the true line, in long waves.
    free = rng.random() < 0.35
    reach = rng.uniform(1.3, 7) if free else 1.3
    rows[:, WAVE], rows[:, WAVE2] = shake * rng.uniform(0, reach, n), shake * rng.uniform(0, 0.6 if not free else 1.2, n)
    rows[:, WAVE_RATE], rows[:, WAVE2_RATE] = 2 * np.pi / rng.uniform(160 if free else 90, 600 if free else 400, n), 2 * np.pi / rng.uniform(30, 100, n)
    rows[:, WAVE_PHASE], rows[:, WAVE2_PHASE] = rng.uniform(0, 6.28, n), rng.uniform(0, 6.28, n)
    loose = rng.uniform(1, 3) if rng.random() < 0.3 else 1
    lean = rng.normal(0, 0.8 * shake * loose, n) / np.maximum(rows[:, LENGTH], 40)
    c, s = rows[:, COS].copy(), rows[:, SIN].copy()
    rows[:, COS], rows[:, SIN] = c * np.cos(lean) - s * np.sin(lean), s * np.cos(lean) + c * np.sin(lean)
    rows[:, X : Y + 1] += rng.normal(0, 0.6 * shake * loose, (n, 2))
    rows[:, OVER] = np.clip(rng.normal(0.3, 1.0, n) * width * loose, -1.5 * width, 3 * width * loose)
    rows[:, SWELL] = rng.uniform(0, 0.35)
    rows[:, GRAIN] = rng.uniform(0.2, 0.95) if rng.random() < 0.6 else 0.1
    if rng.random() < 0.3:
        rows[:, SKIP], rows[:, SKIP_RATE] = rng.uniform(0.9, 1.8), rng.uniform(0.02, 0.12)
    rows[:, OPACITY] *= rng.uniform(0.6, 1, n)
    wide = rng.uniform(1.5, 4, n)
    rows[:, JITTER_RATE] = 2 * np.pi / (rows[:, PERIOD] * wide)
    # Below 0.45 the rhythm never runs backwards.
    rows[:, JITTER] = rng.uniform(0.1, 0.43) * wide / (2 * np.pi)


def gone_over(rng, rows, width):
    """Some strokes drawn a second time, a little beside the first and not over its whole length."""
    again = rows[rng.random(len(rows)) < rng.uniform(0.03, 0.3)].copy()
    n = len(again)
    cut = rng.uniform(0, 0.4, (n, 1)) * (rng.random((n, 1)) < 0.5)
    again[:, X : Y + 1] += cut * again[:, LENGTH : LENGTH + 1] * again[:, COS : SIN + 1] + rng.normal(0, 0.5 * width, (n, 2))
    again[:, LENGTH] *= 1 - cut[:, 0] - rng.uniform(0, 0.4, n) * (rng.random(n) < 0.3)
    again[:, WAVE_PHASE] += rng.normal(0, 1, n)
    return again


def aside_of(rows):
    """How far strokes run aside, as `crossings` asks it and the painter draws it."""

    def aside(index, along):
        r = rows[index]
        wave = r[:, WAVE] * np.sin(r[:, WAVE_RATE] * along + r[:, WAVE_PHASE]) + r[:, WAVE2] * np.sin(r[:, WAVE2_RATE] * along + r[:, WAVE2_PHASE])
        return wave * np.clip(np.minimum(along, r[:, LENGTH] - along) / EASE, 0, 1)

    return aside


def all_pale(rng, paper, rows, kinds, kind):
    """The whole drawing in inks of one small contrast, its outline mostly too: what it is to be told from are still paler things."""
    wanted = np.exp(rng.uniform(np.log(FAINTEST[kind]), np.log(0.35)))
    of = (kinds != EDGE) | (rng.random() < 0.7)
    even = np.exp(rng.normal(0, 0.12, 4))[kinds[of]]
    share = np.minimum(1, wanted * even / np.maximum(contrast(paper, rows[of, RED:OPACITY]), 1e-3))[:, None]
    rows[of, RED:OPACITY] = paper + (rows[of, RED:OPACITY] - paper) * share


def faded(rng, paper, rows, kinds, kind, grid):
    """Inks drawn towards the paper: a faint drawing, a pale grid, or pale pencils among full ones."""
    share = {'small': 0.25, 'hand': 0.2, 'photo': 0.22, 'scan': 0.22}.get(kind, 0.12)
    # A pale grid is known for a pattern by its two inks; in photographs and by hand there are too many others.
    two = np.abs(rows[kinds == 0, RED:OPACITY].mean(0) - rows[kinds == 1, RED:OPACITY].mean(0)).max() > 0.2 if grid and (kinds == 0).any() and (kinds == 1).any() else False
    if rng.random() < (0.65 if two and kind in ('clean', 'scan', 'small') else 0 if grid else share):
        rows[:, RED:OPACITY] += (paper - rows[:, RED:OPACITY]) * rng.uniform(0.3, 0.75)
    elif rng.random() < (0.3 if kind == 'hand' else 0.06):
        of = kinds == int(rng.integers(2))
        rows[of, RED:OPACITY] += (paper - rows[of, RED:OPACITY]) * rng.uniform(0.3, 0.75)


def draw_tile(rng, size, limit, kind, stored=None):
    """One tile's recipe: dict of `strokes` (n, STROKE), `vertices` (m, 2), `paper` (3,), `desk` (3,), `frame` (4,), `multiply`."""
    paper, dark = sheet(rng)
    if kind == 'clean' and rng.random() < 0.5 and not dark:
        paper = np.ones(3)
    empty = rng.random() < (0.22 if kind == 'hand' else 0.05)
    segments, kinds, frame, grid = draw_pattern(rng, size, limit - 130, stored)
    if empty:
        segments, kinds, grid = segments[:0], kinds[:0], False
    width = float(np.clip(np.exp(rng.normal(np.log(2.6), 0.5)), 0.9, 12)) if rng.random() < 0.82 else rng.uniform(5, 18)
    if kind == 'small':
        width = max(width, rng.uniform(1.6, 4.5))
    # Crowded windows have thin strokes: at most a share of the mean distance between them.
    total = np.hypot(segments[:, 2] - segments[:, 0], segments[:, 3] - segments[:, 1]).sum()
    width = min(width, max(1.6, 0.25 * size * size / (total + 1)))
    if grid and rng.random() < 0.6:
        width = rng.uniform(0.8, 1.8)
    looks = convention(rng, dark, width, {'small': 0.2, 'hand': 0.1}.get(kind, 0.03))
    rows = place(blank_rows(len(segments)), segments)
    # Dots that a bad print, a hand or a small file dropped.
    lost = rng.uniform(0.05, 0.6) if rng.random() < 0.15 else 0
    for k, (colour, w, name) in enumerate(looks):
        of = kinds == k
        rows[of, HALF], rows[of, RED:OPACITY] = w / 2, colour
        period, marks = rhythm(rng, name, w if rng.random() < 0.8 else w * 1.5, kind == 'hand')
        if period:
            rows[of, PERIOD] = period
            for i, (a, b) in enumerate(marks):
                rows[of, ON0 + 2 * i], rows[of, OFF0 + 2 * i] = a, b
            rows[of, PHASE] = rng.random(of.sum()) if rng.random() < 0.5 else 0
            rows[of, LOST] = lost
    if rng.random() < PALE_SHARE[kind] and not (grid and kind in ('photo', 'hand')):
        all_pale(rng, paper, rows, kinds, kind)
    elif not dark:
        faded(rng, paper, rows, kinds, kind, grid)
    rows[:, OVER] = 0 if rng.random() < 0.7 else rng.uniform(-0.5, 0.5) * width
    vertices = crossings(segments, size)
    if kind == 'hand' and len(rows):
        hand_drawn(rng, rows, width)
        drawn = np.concatenate([rows[:, X : Y + 1], rows[:, X : Y + 1] + rows[:, LENGTH : LENGTH + 1] * rows[:, COS : SIN + 1]], 1)
        vertices = crossings(drawn, size, 3.0, aside_of(rows))
    order = np.argsort(rng.random(4))[kinds] + 10 * (kinds == EDGE) if len(kinds) else np.zeros(0, int)
    ranks = np.argsort(order, kind='stable')
    rows, rows_kinds = rows[ranks], kinds[ranks]
    if kind == 'hand' and rng.random() < 0.3:
        again = gone_over(rng, rows, width)
        rows, rows_kinds = np.concatenate([rows, again]), np.concatenate([rows_kinds, np.full(len(again), AUXILIARY)])
    under, over = [], []
    # Printed grids are paler than the creases on them in the same window. Alone on a window a pale grid is printed only on paper that was photographed
    # or drawn on by hand; in files and scans it is the drawing.
    drawn = rows[rows_kinds < AUXILIARY, RED:OPACITY]
    room = 0.75 * contrast(paper, drawn).min() if len(drawn) else 0.3
    paper_alone = len(drawn) > 0 or kind in ('hand', 'photo')
    if room > 0.03 and paper_alone and not dark and not grid and rng.random() < GRID_SHARE.get(kind, 0.28):
        under.append(guide_grid(rng, size, paper, segments, min(room, 0.4), kind == 'hand'))
    if rng.random() < 0.25:
        (over if rng.random() < 0.7 else under).append(mark_strokes(rng, size, dark, width))
    rows = np.concatenate([*under, rows, *over])[:limit]
    desk = np.clip(rng.random(3) * rng.uniform(0.05, 0.9), 0, 1) if rng.random() < 0.5 else paper
    gap = rng.uniform(4, 40)
    return {
        'strokes': rows.astype(np.float32),
        'vertices': vertices.astype(np.float32),
        'paper': paper.astype(np.float32),
        'desk': desk.astype(np.float32),
        'frame': (frame + np.array([-gap, -gap, gap, gap])).astype(np.float32),
        'multiply': np.float32(rng.random() if rng.random() < 0.5 else 0),
    }


def draw_chunk(rng, size, limit, count, stored=None, kind=None):
    """`count` tiles of one picture kind, padded to the fullest: dict of arrays, first axis the tile."""
    kind = kind if kind is not None else int(rng.choice(len(KINDS), p=[0.12, 0.16, 0.17, 0.22, 0.2, 0.13]))
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
