"""Trains the ink network on tiles drawn as it goes; see README.md beside this file.

    python3 scripts/train/train.py --out OUT --seconds 500 [--resume OUT/last.pt] [--patterns FILE.json]
    python3 scripts/train/train.py --out OUT --smoke        # a minute on a laptop's processor, checks the whole way
"""

import argparse
import copy
import json
import math
import os
import time

import numpy as np
import torch

import camera
import marks
import painter
import styles
import variety
from network import InkNetwork, losses

SIZE, EDGE = 256, 16  # tiles are painted at SIZE and cropped by EDGE, so that resampling borders stay out
LIMIT = 352  # strokes a tile at most
# Maps of a tile as the pool stacks them, and their channels; COS2 is where the doubled direction begins.
CHANNELS = {'line': 1, 'ink': 1, 'vertex': 1, 'other': 1, 'seen': 1, 'direction': 2, 'diff': 3}
COS2 = 5
MIXED = 8  # chunks of the pool that a step draws from


class Chunks(torch.utils.data.IterableDataset):
    """Endless chunks of tile recipes; worker k of seed s always makes the same sequence."""

    def __init__(self, seed, count, stored):
        self.seed, self.count, self.stored = seed, count, stored

    def __iter__(self):
        info = torch.utils.data.get_worker_info()
        rng = np.random.default_rng([self.seed, info.id if info else 0])
        while True:
            chunk = styles.draw_chunk(rng, SIZE, LIMIT, self.count, self.stored)
            yield {k: v if k == 'kind' else torch.from_numpy(np.asarray(v)) for k, v in chunk.items()}


def make_tiles(chunk, sheet, device, fast, vary=False):
    """Chunk of recipes to network input, targets and the picture kind; `vary` turns, enlarges and recolours the recipes first."""
    kind = chunk['kind']
    chunk = {k: v.to(device, non_blocking=True) for k, v in chunk.items() if k != 'kind'}
    with torch.no_grad():
        if vary:
            chunk = variety.varied(chunk, SIZE, styles.KINDS[kind] == 'hand')
        rgb, targets = painter.paint(chunk, SIZE, fast)
        rgb, targets = marks.add_marks(rgb, targets, sheet)
        rgb = camera.photograph(rgb, kind)
    inner = slice(EDGE, SIZE - EDGE)
    rgb = (rgb[:, :, inner, inner] * 255).round() / 255 - 0.5
    return rgb, {k: v[:, :, inner, inner] for k, v in targets.items()}, kind


class Pool:
    """The latest chunks, kept on the device so that each tile is seen a few times, turned and mirrored."""

    def __init__(self, room):
        self.room, self.parts = room, []

    def add(self, rgb, targets):
        self.parts.append((((rgb + 0.5) * 255).round().byte(), torch.cat([targets[k] for k in CHANNELS], 1).half()))
        self.parts = self.parts[-self.room :]

    def batch(self, rng, count):
        """`count` tiles, a few from each of MIXED chunks: network input and targets."""
        seen, asked = [], []
        for i in rng.integers(len(self.parts), size=MIXED):
            rgb, maps = self.parts[i]
            rows = torch.randperm(len(rgb), device=rgb.device)[: count // MIXED]
            across, down, swapped = rng.random(3) < 0.5
            seen.append(turned(rgb[rows], across, down, swapped))
            maps = turned(maps[rows], across, down, swapped)
            # A mirroring negates the angle; swapping the axes takes a to 90 degrees - a.
            for at, negated in ((COS2, swapped), (COS2 + 1, across != down)):
                if negated:
                    maps[:, at].neg_()
            asked.append(maps)
        maps = torch.cat(asked).float()
        return torch.cat(seen).float() / 255 - 0.5, dict(zip(CHANNELS, maps.split(list(CHANNELS.values()), 1)))


def turned(x, across, down, swapped):
    """One of the eight turns and mirrorings of a square."""
    sides = [axis for axis, flipped in ((3, across), (2, down)) if flipped]
    x = x.flip(sides) if sides else x
    return x.transpose(2, 3) if swapped else x


def settle_norms(model, batches, dtype):
    """Replaces running statistics of the averaged weights by plain means over fresh tiles."""
    norms = [m for m in model.modules() if isinstance(m, torch.nn.BatchNorm2d)]
    for norm in norms:
        norm.reset_running_stats()
        norm.momentum = None
    model.train()
    with torch.no_grad(), torch.autocast(batches[0].device.type, dtype, dtype != torch.float32):
        for rgb in batches:
            model(rgb)
    model.eval()


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument('--out', required=True)
    ask.add_argument('--seconds', type=float, default=500)
    ask.add_argument('--resume')
    ask.add_argument('--patterns', help='true patterns as JSON, mixed in')
    ask.add_argument('--seed', type=int, default=1)
    ask.add_argument('--rate', type=float, default=4e-3)
    ask.add_argument('--part', type=float, nargs=2, default=(0, 1), help='where on the one falling rate of all rounds this round begins and ends, 0..1')
    ask.add_argument('--compile', action='store_true', help='compile the network: a minute at first, faster steps after it')
    ask.add_argument('--chunk', type=int, default=64, help='tiles painted at once')
    ask.add_argument('--updates', type=int, default=2, help='steps for each new chunk; a step takes a part of the tiles of each of eight chunks of the pool')
    ask.add_argument('--batch', type=int, default=128, help='tiles a step')
    ask.add_argument('--journeys', type=int, default=2, help='times that a chunk of recipes is painted, each time turned, enlarged and photographed anew')
    ask.add_argument('--pool', type=int, default=96, help='chunks kept on the device')
    ask.add_argument('--workers', type=int, default=15)
    ask.add_argument('--smoke', action='store_true')
    args = ask.parse_args()
    if args.smoke:
        args.seconds, args.chunk, args.batch, args.updates, args.pool, args.workers = 45, 4, 8, 1, 3, 0
    start = time.time()
    os.makedirs(args.out, exist_ok=True)
    stored = json.load(open(args.patterns)) if args.patterns else None
    device = torch.device('cuda' if torch.cuda.is_available() else 'cpu')
    fast = device.type == 'cuda'
    dtype = torch.bfloat16 if fast else torch.float32
    loader = torch.utils.data.DataLoader(
        Chunks(args.seed, args.chunk, stored), batch_size=None, num_workers=args.workers, pin_memory=fast, prefetch_factor=6 if args.workers else None
    )
    feed = iter(loader)
    torch.manual_seed(args.seed)
    torch.backends.cudnn.benchmark = True
    torch.backends.cuda.matmul.allow_tf32 = True
    torch.backends.cudnn.allow_tf32 = True
    sheet = marks.label_sheet(args.seed).to(device)
    model = InkNetwork().to(device, memory_format=torch.channels_last)
    average = copy.deepcopy(model)
    forward = torch.compile(model) if args.compile else model
    if args.resume:
        saved = torch.load(args.resume, map_location=device)
        model.load_state_dict(saved['model'])
        average.load_state_dict(saved['average'])
    optimiser = torch.optim.AdamW(model.parameters(), lr=args.rate, weight_decay=0.01, fused=fast)
    if args.resume:
        optimiser.load_state_dict(saved['optimiser'])
    pool, rng = Pool(args.pool), np.random.default_rng(args.seed)
    log, means, step, tiles, waited = [], {}, 0, 0, 0.0
    begun = None  # set once compilation is over

    def recipes():
        nonlocal waited
        while True:
            before = time.time()
            chunk = next(feed)
            waited += time.time() - before
            for journey in range(args.journeys):
                yield chunk, journey > 0

    waiting = recipes()

    def new_chunk():
        nonlocal tiles
        chunk, again = next(waiting)
        tiles += args.chunk
        return make_tiles(chunk, sheet, device, fast, again)[:2]

    def keep():
        parts = {'model': model.state_dict(), 'average': average.state_dict(), 'optimiser': optimiser.state_dict()}
        torch.save(parts, os.path.join(args.out, 'last.pt'))

    while True:
        now = time.time()
        share = 0 if begun is None else (now - begun) / max(1, args.seconds - (begun - start))
        if share >= 1:
            break
        # One cycle over the time of all rounds, not over steps: a short warm-up each, then a part of the cosine from the rate to nought.
        along = args.part[0] + (args.part[1] - args.part[0]) * share
        optimiser.param_groups[0]['lr'] = min(1, (step + 1) / 300) * args.rate * (0.5 + 0.5 * math.cos(math.pi * along))
        pool.add(*new_chunk())
        for _ in range(args.updates):
            rgb, targets = pool.batch(rng, args.batch)
            with torch.autocast(device.type, dtype, fast):
                out = forward(rgb.contiguous(memory_format=torch.channels_last))
            parts = losses(out, targets)
            optimiser.zero_grad(set_to_none=True)
            sum(parts.values()).backward()
            torch.nn.utils.clip_grad_norm_(model.parameters(), 1.0)
            optimiser.step()
            step += 1
            with torch.no_grad():
                decay = min(0.9995, step / (step + 20))
                torch._foreach_lerp_(list(average.parameters()), list(model.parameters()), 1 - decay)
            for k, v in parts.items():
                means[k] = means.get(k, 0) + v.detach()
        begun = begun or time.time()
        if step % (5 if args.smoke else 500) == 0 or step == 20:
            since = step - (log[-1]['step'] if log else 0)
            row = {'step': step, 'tiles': tiles, 'seconds': round(time.time() - start, 1), 'waited': round(waited, 1)}
            row.update({k: round(float(v) / since, 4) for k, v in means.items()})
            log.append(row)
            means = {}
            print(row, flush=True)
            if step % 2000 == 0:
                keep()
    # The finished average has its own norms; the model goes on from its own in the next round.
    settle_norms(average, [new_chunk()[0] for _ in range(2 if args.smoke else 60)], dtype)
    keep()
    with open(os.path.join(args.out, 'log.json'), 'w') as file:
        json.dump(log, file)
    print('done', step, 'steps', tiles, 'tiles', round(time.time() - start), 's')


if __name__ == '__main__':
    main()
