"""Line arrangements in the manner of crease patterns, as seen through a square window of the paper raster.

All coordinates are paper pixels, x right, y DOWN, window [0, size) on both axes; segments may reach out of it.
A pattern is a float array (n, 4) of x0 y0 x1 y1 and an int array (n,) of kinds: 0 mountain, 1 valley, 2 edge, 3 auxiliary.
Nothing here is meant to fold: the painter needs the look of patterns (runs on grids, fans, pleats), not their laws.
"""

import numpy as np

from details import border_bits, narrow_pleats, slivers

MARGIN = 40.0  # how far segments may start outside the window, so that strokes run through its border
MOUNTAIN, VALLEY, EDGE, AUXILIARY = 0, 1, 2, 3


def runs(rng, count, keep, stay):
    """Markov chain of `count` on/off states; `keep` is the share on, `stay` how long states last. Returns (start, stop) pairs."""
    states = np.empty(count, bool)
    state = rng.random() < keep
    change = rng.random(count) > stay
    again = rng.random(count) < keep
    for i in range(count):
        if change[i]:
            state = again[i]
        states[i] = state
    padded = np.concatenate([[False], states, [False]]).astype(np.int8)
    steps = np.diff(padded)
    return list(zip(np.flatnonzero(steps == 1), np.flatnonzero(steps == -1)))


def cut_run(rng, start, stop, kind, flip, every):
    """Splits a run where its kind changes; yields (start, stop, kind)."""
    at = start
    while at < stop:
        length = stop - at if rng.random() > flip else int(rng.integers(1, max(2, min(every, stop - at) + 1)))
        yield at, min(stop, at + length), kind
        at += length
        kind = 1 - kind if kind < 2 else kind


def box_pleat(rng, size):
    """Runs along the lines of a square grid and its diagonals: pleat fields, single units, half units."""
    step = float(np.exp(rng.uniform(np.log(9), np.log(90))))
    halves = rng.random() < 0.25 and step > 20
    unit = step / 2 if halves else step
    count = int((size + 2 * MARGIN) / unit) + 2
    origin = -MARGIN - rng.random(2) * unit
    keep, stay = rng.uniform(0.15, 1.0), rng.choice([0.3, 0.7, 0.9, 0.98])
    flip = rng.choice([0.0, 0.15, 0.5])
    segments, kinds = [], []
    axes = [rng.uniform(0.2, 1.2) * keep, rng.uniform(0.2, 1.2) * keep]
    if rng.random() < 0.5:
        axes[int(rng.integers(2))] *= 0.15
    for axis in (0, 1):
        for line in range(count):
            for a, b in runs(rng, count, min(axes[axis], 1), stay):
                for s, e, kind in cut_run(rng, a, b, line % 2, flip, 6):
                    p = [origin[axis] + s * unit, origin[1 - axis] + line * unit]
                    q = [origin[axis] + e * unit, origin[1 - axis] + line * unit]
                    segments.append(p + q if axis == 0 else p[::-1] + q[::-1])
                    kinds.append(kind)
    diagonal = rng.choice([0.0, 0.05, 0.2, 0.6], p=[0.15, 0.4, 0.35, 0.1])
    for way in (1, -1):
        for line in range(-count, 2 * count):
            if rng.random() > diagonal * 2:
                continue
            for a, b in runs(rng, count, 0.5, rng.choice([0.5, 0.9])):
                for s, e, kind in cut_run(rng, a, b, int(rng.integers(2)), flip, 4):
                    x0, x1 = origin[0] + s * unit, origin[0] + e * unit
                    y0 = origin[1] + (line + way * s) * unit
                    segments.append([x0, y0, x1, y0 + way * (x1 - x0)])
                    kinds.append(kind)
    return np.array(segments).reshape(-1, 4), np.array(kinds, int)


def arrangement(rng, size):
    """Whole lines of an angle family, many through common points, cut at their crossings and partly dropped."""
    family = rng.choice(['22.5', '15', '60', 'free', 'right'], p=[0.4, 0.1, 0.1, 0.25, 0.15])
    tilt = 0.0 if rng.random() < 0.8 else rng.uniform(0, np.pi)
    count = int(np.exp(rng.uniform(np.log(2), np.log(26))))
    hubs = rng.uniform(-20, size + 20, (int(rng.integers(1, 5)), 2))
    sets = {'22.5': 8, '15': 12, '60': 3, 'right': 4}
    points, angles = [], []
    for hub in hubs:
        if rng.random() < 0.6:
            rays = int(rng.integers(2, 9))
            pool = np.arange(sets[family]) * np.pi / sets[family] if family != 'free' else rng.uniform(0, np.pi, rays)
            for angle in rng.permutation(pool)[:rays]:
                points.append(hub)
                angles.append(angle)
    for _ in range(max(0, count - len(points))):
        points.append(rng.uniform(-10, size + 10, 2))
        angles.append(rng.uniform(0, np.pi) if family == 'free' else rng.integers(sets[family]) * np.pi / sets[family])
    points, angles = np.array(points).reshape(-1, 2), np.array(angles) + tilt
    way = np.stack([np.cos(angles), np.sin(angles)], 1)
    keep, stay = rng.uniform(0.35, 1.0), rng.choice([0.2, 0.6, 0.9])
    span = size + 2 * MARGIN
    segments, kinds = [], []
    for i in range(len(points)):
        cross = way[i, 0] * way[:, 1] - way[i, 1] * way[:, 0]
        apart = np.abs(cross) > 0.05
        gap = points[apart] - points[i]
        at = (gap[:, 0] * way[apart, 1] - gap[:, 1] * way[apart, 0]) / cross[apart]
        cuts = np.sort(np.concatenate([[-span, span], at[np.abs(at) < span]]))
        cuts = cuts[np.concatenate([[True], np.diff(cuts) > 3])]
        kind = int(rng.integers(2))
        for a, b in runs(rng, len(cuts) - 1, keep, stay):
            for s, e, k in cut_run(rng, a, b, kind, 0.4, 3):
                p, q = points[i] + cuts[s] * way[i], points[i] + cuts[e] * way[i]
                segments.append([*p, *q])
                kinds.append(k)
    return np.array(segments).reshape(-1, 4), np.array(kinds, int)


def fans(rng, size):
    """Vertices with up to twenty creases of free length, some a few pixels apart."""
    segments, kinds = [], []
    for _ in range(int(rng.integers(1, 4))):
        hub = rng.uniform(10, size - 10, 2)
        rays = int(rng.integers(5, 21))
        divisions = int(rng.choice([8, 12, 16, 24, 32]))
        pool = np.arange(divisions) * 2 * np.pi / divisions if rng.random() < 0.7 else np.sort(rng.uniform(0, 2 * np.pi, rays))
        for n, angle in enumerate(rng.permutation(pool)[:rays]):
            length = np.exp(rng.uniform(np.log(20), np.log(size)))
            tip = hub + length * np.array([np.cos(angle), np.sin(angle)])
            segments.append([*hub, *tip])
            kinds.append(n % 2)
    return np.array(segments).reshape(-1, 4), np.array(kinds, int)


def tessellation(rng, size):
    """Parallelogram tilings: straight lines crossed by zigzags."""
    a, b = np.exp(rng.uniform(np.log(18), np.log(90), 2))
    slant = rng.uniform(-0.7, 0.7) * b
    columns, rows = int((size + 2 * MARGIN) / b) + 2, int((size + 2 * MARGIN) / a) + 2
    origin = -MARGIN - rng.random(2) * [b, a]
    segments, kinds = [], []
    for r in range(rows):
        for c in range(columns):
            x, y = origin[0] + c * b, origin[1] + r * a + (slant if c % 2 else 0)
            down = origin[1] + r * a + (0 if c % 2 else slant)
            segments += [[x, y, x + b, down], [x, y, x, y + a]]
            kinds += [r % 2, (r + c) % 2]
    segments = np.array(segments)
    if rng.random() < 0.5:
        segments = segments[:, [1, 0, 3, 2]]
    return segments, np.array(kinds, int)


def full_grid(rng, size):
    """A complete grid and nothing else, or nearly: where all that is drawn is a grid, the grid is the pattern."""
    step = np.exp(rng.uniform(np.log(10), np.log(110)))
    steps = np.array([step, step if rng.random() < 0.7 else step * rng.uniform(0.6, 1.6)])
    counts = ((size + 2 * MARGIN) / steps).astype(int) + 2
    origin = -MARGIN - rng.random(2) * steps
    flip = 0.0 if counts.sum() > 26 else rng.choice([0.0, 0.3, 0.9])
    by_axis = rng.random() < 0.3
    missing = rng.choice([0.0, 0.03])
    segments, kinds = [], []
    for axis in (0, 1):
        for line in range(counts[1 - axis]):
            if rng.random() < missing:
                continue
            kind = axis if by_axis else line % 2 if rng.random() < 0.8 else int(rng.integers(2))
            for s, e, k in cut_run(rng, 0, counts[axis], kind, flip, 3):
                p = [origin[axis] + s * steps[axis], origin[1 - axis] + line * steps[1 - axis]]
                q = [origin[axis] + e * steps[axis], p[1]]
                segments.append(p + q if axis == 0 else p[::-1] + q[::-1])
                kinds.append(k)
    if rng.random() < 0.25:
        for line in range(int(rng.integers(1, 4))):
            s, way = int(rng.integers(max(counts))), rng.choice([-1, 1])
            x0, y0 = origin + [0, s * steps[1]]
            segments.append([x0, y0, x0 + counts[0] * steps[0], y0 + way * counts[0] * steps[1]])
            kinds.append(line % 2)
    return np.array(segments, float).reshape(-1, 4), np.array(kinds, int)


def from_stored(rng, size, stored):
    """A window of a true pattern: `stored` holds unit-square vertices and creases with kinds."""
    pattern = stored[int(rng.integers(len(stored)))]
    vertices, creases = np.asarray(pattern['v'], float), np.asarray(pattern['e'], int)
    side = np.exp(rng.uniform(np.log(800), np.log(2000)))
    corner = rng.uniform(-0.05 * side, 1.05 * side - size, 2)
    turned = vertices * [1, -1] + [0, 1]
    if rng.random() < 0.5:
        turned = turned[:, ::-1]
    px = turned * side - corner
    segments = np.concatenate([px[creases[:, 0]], px[creases[:, 1]]], 1)
    return segments, creases[:, 2]


def clip(segments, kinds, x0, y0, x1, y1):
    """Cuts segments to a rectangle (Liang and Barsky 1984) and drops what is left under two pixels."""
    p, d = segments[:, :2], segments[:, 2:] - segments[:, :2]
    t0, t1 = np.zeros(len(p)), np.ones(len(p))
    ok = np.ones(len(p), bool)
    for axis, low, high in ((0, x0, x1), (1, y0, y1)):
        flat = np.abs(d[:, axis]) < 1e-9
        ok &= ~(flat & ((p[:, axis] < low) | (p[:, axis] > high)))
        step = np.where(flat, 1, d[:, axis])
        a, b = (low - p[:, axis]) / step, (high - p[:, axis]) / step
        t0 = np.where(flat, t0, np.maximum(t0, np.minimum(a, b)))
        t1 = np.where(flat, t1, np.minimum(t1, np.maximum(a, b)))
    ok &= (t1 - t0) * np.hypot(d[:, 0], d[:, 1]) > 2
    out = np.concatenate([p + t0[:, None] * d, p + t1[:, None] * d], 1)
    return out[ok], kinds[ok]


def crossings(segments, size, slack=1.0, aside=None):
    """Ends and crossings of segments inside the window, (m, 2) px; two closer than a pixel count once.

    `aside(index, along)` says how far a shaky stroke runs to the left of its segment there (y down, px), nought at its ends.
    """
    if len(segments) == 0:
        return np.zeros((0, 2))
    p, d = segments[:, :2], segments[:, 2:] - segments[:, :2]
    length = np.hypot(d[:, 0], d[:, 1])
    i, j = np.triu_indices(len(p), 1)
    cross = d[i, 0] * d[j, 1] - d[i, 1] * d[j, 0]
    good = np.abs(cross) > 0.03 * length[i] * length[j]
    i, j, cross = i[good], j[good], cross[good]
    gap = p[j] - p[i]
    t = (gap[:, 0] * d[j, 1] - gap[:, 1] * d[j, 0]) / cross
    u = (gap[:, 0] * d[i, 1] - gap[:, 1] * d[i, 0]) / cross
    inside = (np.abs(t - 0.5) < 0.5 + slack / length[i]) & (np.abs(u - 0.5) < 0.5 + slack / length[j])
    i, j, t, u = i[inside], j[inside], t[inside], u[inside]
    met = p[i] + t[:, None] * d[i]
    if aside is not None:
        # Two strokes that run aside meet where both offsets hold; straight between the two, to first order.
        sine = (cross[inside] / (length[i] * length[j]))[:, None]
        way = d / length[:, None]
        move = aside(j, u * length[j])[:, None] * way[i] - aside(i, t * length[i])[:, None] * way[j]
        met = met + np.clip(move / sine, -15, 15)
    points = np.concatenate([p, p + d, met])
    points = points[np.all((points > -4) & (points < size + 4), 1)]
    if len(points) == 0:
        return points
    return points[np.unique(np.round(points), axis=0, return_index=True)[1]]


def draw_pattern(rng, size, limit, stored=None):
    """One window: (segments, kinds, frame, whether a grid is all there is) with at most `limit` segments; frame is the paper's x0 y0 x1 y1 in window px."""
    far = 1e4
    frame = [-far, -far, far, far]
    grid = False
    choice = rng.random()
    if stored and choice < 0.35:
        segments, kinds = from_stored(rng, size, stored)
    else:
        makers = [box_pleat, arrangement, fans, tessellation, full_grid, narrow_pleats, slivers]
        maker = makers[int(rng.choice(len(makers), p=[0.38, 0.28, 0.08, 0.07, 0.05, 0.08, 0.06]))]
        segments, kinds = maker(rng, size)
        grid = maker is full_grid
        if rng.random() < 0.12 and not grid:
            more, others = (arrangement if rng.random() < 0.6 else slivers)(rng, size)
            segments, kinds = np.concatenate([segments, more]), np.concatenate([kinds, others])
        if rng.random() < 0.3:
            kinds = np.where(rng.random(len(kinds)) < 0.15, AUXILIARY, kinds)
        if rng.random() < 0.4:
            edges = []
            for side in rng.permutation(4)[: 1 if rng.random() < 0.7 else 2]:
                frame[side] = rng.uniform(12, size * 0.4) if side < 2 else rng.uniform(size * 0.6, size - 12)
            if rng.random() < 0.4 and not grid:
                more, others = border_bits(rng, size, frame, far)
                segments, kinds = np.concatenate([segments, more]), np.concatenate([kinds, others])
            segments, kinds = clip(segments, kinds, *frame)
            x0, y0, x1, y1 = np.clip(frame, -MARGIN, size + MARGIN)
            for side, line in enumerate([[x0, y0, x0, y1], [x0, y0, x1, y0], [x1, y0, x1, y1], [x0, y1, x1, y1]]):
                if abs(frame[side]) < far:
                    edges.append(line)
            segments = np.concatenate([segments, np.array(edges, float)])
            kinds = np.concatenate([kinds, np.full(len(edges), EDGE)])
    segments, kinds = clip(segments, kinds, -MARGIN, -MARGIN, size + MARGIN, size + MARGIN)
    lowest, highest = np.minimum(segments[:, :2], segments[:, 2:]), np.maximum(segments[:, :2], segments[:, 2:])
    seen = np.all((highest > -12) & (lowest < size + 12), 1)
    segments, kinds = segments[seen], kinds[seen]
    if len(segments) > limit:
        # A window too full for the painter is thinned by whole runs, edges last.
        order = np.argsort(rng.random(len(segments)) - 2 * (kinds == EDGE))[:limit]
        segments, kinds = segments[order], kinds[order]
    return segments, kinds, np.array(frame), grid
