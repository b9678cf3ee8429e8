"""Writes the shipped files from trained weights: model.json and weights.bin (TensorFlow.js weight manifest, float16), and a stored check.

    python3 scripts/train/export.py WEIGHTS.pt --model models/ink --check tests/ink/fixtures
"""

import argparse
import json
import os

import numpy as np
import torch

import marks
import styles
from network import LAYERS, InkNetwork, folded_forward
from train import LIMIT, SIZE, make_tiles

CHECK_SEED = 20_001
CHECK_TOP, CHECK_LEFT, CHECK_HEIGHT, CHECK_WIDTH = 32, 16, 96, 128  # part of a tile that the check keeps, px
CHECK_KINDS = (2, 4)  # a photo and a screen


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument('weights')
    ask.add_argument('--model', required=True)
    ask.add_argument('--check', required=True)
    args = ask.parse_args()
    model = InkNetwork()
    model.load_state_dict(torch.load(args.weights, map_location='cpu')['average'])
    model.eval()
    folded = {name: tuple(np.ascontiguousarray(v.astype(np.float16).astype(np.float32)) for v in layer.folded()) for name, layer in model.layers.items()}
    specs, parts = [], []
    for name, *_ in LAYERS:
        for part, values in zip(('kernel', 'bias'), folded[name]):
            specs.append({'name': f'{name}/{part}', 'shape': list(values.shape), 'dtype': 'float32', 'quantization': {'dtype': 'float16', 'original_dtype': 'float32'}})
            parts.append(values.astype('<f2').tobytes())
    layers = [dict(zip(('name', 'kernel', 'channelsIn', 'channelsOut', 'stride', 'rectified'), row)) for row in LAYERS]
    os.makedirs(args.model, exist_ok=True)
    os.makedirs(args.check, exist_ok=True)
    with open(os.path.join(args.model, 'weights.bin'), 'wb') as file:
        file.write(b''.join(parts))
    with open(os.path.join(args.model, 'model.json'), 'w') as file:
        json.dump({'format': 'ink-network', 'version': 1, 'layers': layers, 'weightsManifest': [{'paths': ['weights.bin'], 'weights': specs}]}, file, indent=1)
        file.write('\n')
    torch.manual_seed(CHECK_SEED)
    sheet = marks.label_sheet(CHECK_SEED)
    tiles = []
    for kind in CHECK_KINDS:
        chunk = styles.draw_chunk(np.random.default_rng(CHECK_SEED + kind), SIZE, LIMIT, 1, None, kind)
        chunk = {k: v if k == 'kind' else torch.from_numpy(np.asarray(v)) for k, v in chunk.items()}
        tiles.append(make_tiles(chunk, sheet, torch.device('cpu'), False)[0])
    rgb = torch.cat(tiles)[:, :, CHECK_TOP : CHECK_TOP + CHECK_HEIGHT, CHECK_LEFT : CHECK_LEFT + CHECK_WIDTH]
    rgb = ((rgb + 0.5) * 255).round()
    with torch.no_grad():
        out = folded_forward(folded, rgb / 255 - 0.5)
        unrounded = model(rgb / 255 - 0.5)
    print('largest change by folding and rounding to float16', float((out - unrounded).abs().max()))
    rgb.permute(0, 2, 3, 1).byte().numpy().tofile(os.path.join(args.check, 'tiles.bin'))
    out.permute(0, 2, 3, 1).contiguous().numpy().astype('<f4').tofile(os.path.join(args.check, 'outputs.bin'))
    with open(os.path.join(args.check, 'check.json'), 'w') as file:
        json.dump({'count': len(tiles), 'height': CHECK_HEIGHT, 'width': CHECK_WIDTH, 'outputs': 15, 'seed': CHECK_SEED}, file, indent=2)
        file.write('\n')
    print('weights', sum(map(len, parts)), 'bytes')


if __name__ == '__main__':
    main()
