"""The small things that windows of patterns seldom show: lines a few pixels apart, ends just off the border, rays that hardly part.

Same conventions as patterns.py: segments (n, 4) in window px, kinds (n,).
"""

import numpy as np


def narrow_pleats(rng, size):
    """Bands of parallel lines 3.5 to 14 px apart, whole or cut off by slanted or stepped ends; now and then two bands that cross."""
    segments, kinds = [], []
    for _ in range(int(rng.choice([1, 2, 3], p=[0.5, 0.35, 0.15]))):
        angle = rng.integers(16) * np.pi / 8 if rng.random() < 0.7 else rng.uniform(0, np.pi)
        way, away = np.array([np.cos(angle), np.sin(angle)]), np.array([-np.sin(angle), np.cos(angle)])
        count = int(np.exp(rng.uniform(np.log(2), np.log(28))))
        gap = np.exp(rng.uniform(np.log(3.5), np.log(14)))
        steps = np.cumsum(np.where(rng.random(count) < 0.8, gap, gap * rng.choice([0.5, 1.5, 2, 3]))) if rng.random() < 0.4 else np.arange(count) * gap
        middle = rng.uniform(0.1, 0.9, 2) * size
        offsets = np.maximum(steps, np.arange(count) * 3.5) - steps.mean()
        ends = []
        for side in (-1, 1):
            reach = size if rng.random() < 0.5 else rng.uniform(10, 0.7 * size)
            slope = rng.choice([0.0, 1, -1, 0.4142, -0.4142, 2.4142]) if rng.random() < 0.8 else rng.uniform(-2, 2)
            zigzag = (np.arange(count) % 2) * gap * rng.choice([0, 0, 0.5, 1])
            ends.append(side * reach + slope * offsets + side * zigzag)
        ends[1] = np.maximum(ends[1], ends[0] + 4)
        p = middle + offsets[:, None] * away + ends[0][:, None] * way
        q = middle + offsets[:, None] * away + ends[1][:, None] * way
        segments.append(np.concatenate([p, q], 1))
        kinds.append(np.arange(count) % 2 if rng.random() < 0.7 else np.full(count, int(rng.integers(2))))
        if rng.random() < 0.5 and count > 1:
            # What the band ends on.
            for tips in (p, q):
                segments.append(np.concatenate([tips[:-1], tips[1:]], 1))
                kinds.append(np.full(count - 1, int(rng.integers(2))))
    return np.concatenate(segments), np.concatenate(kinds).astype(int)


def border_bits(rng, size, frame, far):
    """Vertices 3 to 24 px inside a drawn side, tied to it by short creases, with longer ones going on into the sheet."""
    segments, kinds = [], []
    for side in range(4):
        if abs(frame[side]) >= far:
            continue
        axis, inward = side % 2, 1 if side < 2 else -1
        for _ in range(int(rng.integers(1, 9))):
            along, depth = rng.uniform(0, size), np.exp(rng.uniform(np.log(3), np.log(24)))
            tip = np.zeros(2)
            tip[axis], tip[1 - axis] = frame[side] + inward * depth, along
            feet = rng.permutation([0.0, 0.0, depth, -depth, 0.4142 * depth, -0.4142 * depth, rng.uniform(-2, 2) * depth])[: int(rng.integers(1, 4))]
            for lean in feet:
                foot = np.zeros(2)
                foot[axis], foot[1 - axis] = frame[side], along + lean
                segments.append([*foot, *tip])
                kinds.append(int(rng.integers(2)))
            for _ in range(int(rng.integers(0, 4))):
                angle = rng.integers(16) * np.pi / 8 if rng.random() < 0.7 else rng.uniform(0, 2 * np.pi)
                length = np.exp(rng.uniform(np.log(6), np.log(size)))
                end = tip + length * np.array([np.cos(angle), np.sin(angle)])
                if inward * (end[axis] - frame[side]) > 3:
                    segments.append([*tip, *end])
                    kinds.append(int(rng.integers(2)))
    return np.array(segments, float).reshape(-1, 4), np.array(kinds, int)


def slivers(rng, size):
    """Bundles of rays that part by 2 to 14 degrees, and short stubs beside longer strokes."""
    segments, kinds = [], []
    for _ in range(int(rng.integers(1, 5))):
        hub = rng.uniform(-10, size + 10, 2)
        for _ in range(int(rng.integers(1, 4))):
            base, part = rng.uniform(0, 2 * np.pi), np.radians(rng.uniform(2, 14))
            for i in range(int(rng.integers(2, 5))):
                length = np.exp(rng.uniform(np.log(25), np.log(1.3 * size)))
                angle = base + i * part
                segments.append([*hub, *(hub + length * np.array([np.cos(angle), np.sin(angle)]))])
                kinds.append(int(rng.integers(2)))
        for _ in range(int(rng.integers(0, 5))):
            angle, length = rng.integers(16) * np.pi / 8, rng.uniform(4, 16)
            start = hub if rng.random() < 0.3 else rng.uniform(0, size, 2)
            segments.append([*start, *(start + length * np.array([np.cos(angle), np.sin(angle)]))])
            kinds.append(int(rng.integers(2)))
    return np.array(segments, float).reshape(-1, 4), np.array(kinds, int)
