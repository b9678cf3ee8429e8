"""Training tiles as pictures, a file a picture kind: what the network sees above, the creases it is asked for below.

    python3 scripts/train/samples.py OUT [--seed 1] [--patterns FILE.json]
"""

import argparse
import json
import os

import numpy as np
import torch
from PIL import Image

import marks
import styles
from train import LIMIT, SIZE, make_tiles

ACROSS, DOWN = 8, 3


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument('out')
    ask.add_argument('--seed', type=int, default=1)
    ask.add_argument('--patterns')
    args = ask.parse_args()
    os.makedirs(args.out, exist_ok=True)
    device = torch.device('cuda' if torch.cuda.is_available() else 'cpu')
    stored = json.load(open(args.patterns)) if args.patterns else None
    sheet = marks.label_sheet(args.seed).to(device)
    for kind, name in enumerate(styles.KINDS):
        torch.manual_seed(args.seed + kind)
        rng, rows = np.random.default_rng([args.seed, kind]), []
        for _ in range(DOWN):
            # A row is one journey: light, lens and format are drawn for it, inks and patterns for each tile.
            chunk = styles.draw_chunk(rng, SIZE, LIMIT, ACROSS, stored, kind)
            chunk = {k: v if k == 'kind' else torch.from_numpy(np.asarray(v)) for k, v in chunk.items()}
            rgb, targets, _ = make_tiles(chunk, sheet, device, device.type == 'cuda', True)
            asked = 1 - torch.maximum(targets['line'], 0.35 * targets['other']).expand(-1, 3, -1, -1)
            rows += [torch.cat(list(rgb + 0.5), 2), torch.cat(list(asked), 2)]
        picture = (torch.cat(rows, 1).clamp(0, 1) * 255).byte().permute(1, 2, 0).cpu().numpy()
        Image.fromarray(picture).save(os.path.join(args.out, f'{name}.jpg'), quality=90)


if __name__ == '__main__':
    main()
