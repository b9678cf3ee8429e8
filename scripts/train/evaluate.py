"""Scores a trained network on tiles of seeds that training never sees: by picture kind, with calibration tables and a picture.

    python3 scripts/train/evaluate.py WEIGHTS.pt [OTHER.pt] [models/ink] --out OUT [--tiles 256] [--patterns FILE.json]
"""

import argparse
import json
import os

import numpy as np
import torch
import torch.nn.functional as F

import marks
import styles
from network import InkNetwork, folded_forward
from train import LIMIT, SIZE, make_tiles

HELD_BACK_SEED = 990_001  # training workers use small seeds
BINS = 15
NEAR = float(np.exp(-0.5 * 1.5**2))  # target value 1.5 px from a centre line
SIDEWAYS = np.arange(-3, 3.01, 0.25)


def read(out):
    out = out.float()
    return {
        'line': torch.sigmoid(F.pixel_shuffle(out[:, 0:4], 2)),
        'ink': torch.sigmoid(F.pixel_shuffle(out[:, 4:8], 2)),
        'vertex': torch.sigmoid(twice(out[:, 8:9], 'bilinear')),
        'other': torch.sigmoid(twice(out[:, 9:10], 'nearest')),
        'direction': twice(out[:, 10:12], 'nearest'),
        'diff': twice(out[:, 12:15], 'nearest'),
    }


def twice(x, mode):
    return F.interpolate(x, scale_factor=2, mode=mode, **({'align_corners': False} if mode == 'bilinear' else {}))


def centre_errors(line, targets):
    """Sideways distance, px, between the centroids of the read and the true ridge at clear centre-line pixels."""
    clear = (targets['line'] > 0.9) & (F.max_pool2d(targets['vertex'], 9, 1, 4) < 0.05) & (targets['seen'] > 0.5)
    b, _, y, x = clear.nonzero(as_tuple=True)
    if len(b) == 0:
        return np.zeros(0)
    some = torch.randperm(len(b), device=line.device)[:4000]
    b, y, x = b[some], y[some], x[some]
    size = line.shape[-1]
    angle = 0.5 * torch.atan2(targets['direction'][b, 1, y, x], targets['direction'][b, 0, y, x])
    away = torch.tensor(SIDEWAYS, device=line.device, dtype=torch.float32)
    px = x[:, None] + 0.5 - torch.sin(angle)[:, None] * away
    py = y[:, None] + 0.5 + torch.cos(angle)[:, None] * away
    inside = ((px > 1) & (px < size - 1) & (py > 1) & (py < size - 1)).all(1)
    b, px, py = b[inside], px[inside], py[inside]
    found = []
    for field in (line, targets['line']):
        cx, cy = (px - 0.5).clamp(0, size - 1.001), (py - 0.5).clamp(0, size - 1.001)
        x0, y0 = cx.long(), cy.long()
        fx, fy = cx - x0, cy - y0
        v = field[:, 0]
        at = [v[b[:, None], y0 + j, x0 + i] * (fx if i else 1 - fx) * (fy if j else 1 - fy) for i in (0, 1) for j in (0, 1)]
        profile = sum(at)
        near = (away.abs() <= 2).float()
        found.append(((profile * away * near).sum(1) / ((profile * near).sum(1) + 1e-6), profile.amax(1)))
    good = (found[0][1] > 0.3) & (found[1][1] > 0.6)
    return (found[0][0] - found[1][0])[good].abs().cpu().numpy()


class Tally:
    """Sums over tiles of one picture kind."""

    def __init__(self):
        self.n, self.sums, self.centres = 0, {}, []
        self.table = {name: np.zeros((BINS, 3)) for name in ('line', 'ink', 'vertex', 'other')}

    def add(self, got, targets):
        seen = targets['seen'] > 0.5
        s = self.sums
        def plus(name, value):
            s[name] = s.get(name, 0.0) + float(value)

        core, near = targets['line'] > 0.8, F.max_pool2d(targets['line'], 3, 1, 1) > NEAR
        says = got['line'] > 0.4
        plus('core', (core & seen).sum())
        plus('core found', (core & says & seen).sum())
        plus('said', (says & seen).sum())
        plus('said near', (says & near & seen).sum())
        for name in ('ink', 'other', 'vertex'):
            truth, guess = targets[name] > 0.5, got[name] > 0.5
            plus(name + ' both', (truth & guess & seen).sum())
            plus(name + ' either', ((truth | guess) & seen).sum())
        on = core & seen & (targets['vertex'] < 0.3)
        cosine = (got['direction'] * targets['direction']).sum(1, keepdim=True) / (got['direction'].norm(dim=1, keepdim=True) + 1e-6)
        angle = 0.5 * torch.acos(cosine.clamp(-1, 1)) * 180 / np.pi
        plus('on', on.sum())
        plus('angle', angle[on].sum())
        plus('diff', (got['diff'] - targets['diff']).abs().mean(1, keepdim=True)[on].sum())
        self.centres.append(centre_errors(got['line'], targets))
        for name, table in self.table.items():
            p, t = got[name][seen], targets[name][seen]
            which = (p * BINS).long().clamp(0, BINS - 1)
            for column, value in enumerate((torch.ones_like(p), p, t)):
                table[:, column] += torch.bincount(which, value, BINS).cpu().numpy()
            plus(name + ' brier', ((p - t) ** 2).sum())
            plus(name + ' pixels', p.numel())

    def report(self):
        s, centres = self.sums, np.concatenate(self.centres)
        recall, precision = s['core found'] / max(1, s['core']), s['said near'] / max(1, s['said'])
        row = {
            'lineRecall': recall,
            'linePrecision': precision,
            'lineF1': 2 * recall * precision / max(1e-9, recall + precision),
            'centreMedianPx': float(np.median(centres)) if len(centres) else None,
            'centre95Px': float(np.quantile(centres, 0.95)) if len(centres) else None,
            'inkIoU': s['ink both'] / max(1, s['ink either']),
            'vertexIoU': s['vertex both'] / max(1, s['vertex either']),
            'otherIoU': s['other both'] / max(1, s['other either']),
            'angleMeanDeg': s['angle'] / max(1, s['on']),
            'diffMeanAbs': s['diff'] / max(1, s['on']),
        }
        for name, table in self.table.items():
            n = np.maximum(table[:, 0], 1)
            row[name + 'Ece'] = float(np.abs(table[:, 1] - table[:, 2]).sum() / table[:, 0].sum())
            row[name + 'Brier'] = s[name + ' brier'] / s[name + ' pixels']
            row[name + 'Reliability'] = [[round(float(v), 4) for v in (c, a / k, t / k)] for (c, a, t), k in zip(table, n)]
        return {k: round(v, 4) if isinstance(v, float) else v for k, v in row.items()}


def picture(rgb, got, targets, rows=6):
    """Columns: tile, line read, line true, ink read, vertex read, other read, direction (hue), diff read."""
    def grey(x):
        return x.expand(-1, 3, -1, -1)

    turn = torch.atan2(got['direction'][:, 1:], got['direction'][:, :1])
    hue = torch.cat([0.5 + 0.5 * torch.cos(turn + k * 2.094) for k in range(3)], 1) * got['line']
    columns = [rgb + 0.5, grey(got['line']), grey(targets['line']), grey(got['ink']), grey(got['vertex']), grey(got['other']), hue, 1 - got['diff'].clamp(-1, 1) * (got['line'] > 0.3)]
    sheet = torch.cat([torch.cat(list(c[:rows]), 1) for c in columns], 2)
    return (sheet.clamp(0, 1) * 255).byte().permute(1, 2, 0).cpu().numpy()


def load(path, device):
    """Trained weights (.pt), or a folder of exported ones: its layers may be of other widths than this network's."""
    if os.path.isdir(path):
        manifest = json.load(open(os.path.join(path, 'model.json')))['weightsManifest'][0]['weights']
        values = np.fromfile(os.path.join(path, 'weights.bin'), '<f2').astype(np.float32)
        ends = np.cumsum([np.prod(row['shape']) for row in manifest])
        parts = {row['name']: part.reshape(row['shape']) for row, part in zip(manifest, np.split(values, ends[:-1]))}
        names = {name.split('/')[0] for name in parts}
        weights = {name: tuple(torch.from_numpy(parts[f'{name}/{of}']).to(device) for of in ('kernel', 'bias')) for name in names}
        return lambda x: folded_forward(weights, x)
    model = InkNetwork().to(device)
    model.load_state_dict(torch.load(path, map_location=device)['average'])
    return model.eval()


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument('weights', nargs='+', help='several are scored on the same tiles')
    ask.add_argument('--out', required=True)
    ask.add_argument('--tiles', type=int, default=256, help='a picture kind')
    ask.add_argument('--chunk', type=int, default=16)
    ask.add_argument('--kinds', nargs='+', default=styles.KINDS, choices=styles.KINDS)
    ask.add_argument('--patterns')
    args = ask.parse_args()
    from PIL import Image

    os.makedirs(args.out, exist_ok=True)
    device = torch.device('cuda' if torch.cuda.is_available() else 'cpu')
    models = {os.path.splitext(os.path.basename(path.rstrip('/')))[0]: load(path, device) for path in args.weights}
    stored = json.load(open(args.patterns)) if args.patterns else None
    sheet = marks.label_sheet(HELD_BACK_SEED).to(device)
    reports, everything = {name: {} for name in models}, {name: Tally() for name in models}
    for kind_name in args.kinds:
        kind = styles.KINDS.index(kind_name)
        # A kind's tiles are the same whichever other kinds are asked for.
        torch.manual_seed(HELD_BACK_SEED + kind)
        rng = np.random.default_rng([HELD_BACK_SEED, kind])
        tallies = {name: Tally() for name in models}
        for i in range(max(1, args.tiles // args.chunk)):
            chunk = styles.draw_chunk(rng, SIZE, LIMIT, args.chunk, stored, kind)
            chunk = {k: v if k == 'kind' else torch.from_numpy(np.asarray(v)) for k, v in chunk.items()}
            rgb, targets, _ = make_tiles(chunk, sheet, device, False)
            for name, model in models.items():
                with torch.no_grad():
                    got = read(model(rgb))
                tallies[name].add(got, targets)
                everything[name].add(got, targets)
                if i == 0:
                    Image.fromarray(picture(rgb, got, targets)).save(os.path.join(args.out, f'{name}-{kind_name}.png'))
        for name, tally in tallies.items():
            reports[name][kind_name] = tally.report()
            print(name, kind_name, short(reports[name][kind_name]), flush=True)
    for name, report in reports.items():
        report['all'] = everything[name].report()
        print(name, 'all', short(report['all']))
        with open(os.path.join(args.out, f'{name}.json'), 'w') as file:
            json.dump(report, file, indent=1)


def short(report):
    return {k: v for k, v in report.items() if not isinstance(v, list)}


if __name__ == '__main__':
    main()
