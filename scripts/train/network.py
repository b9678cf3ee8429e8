"""The ink network: a small U-shaped convolutional net that sees a sheet at half, quarter, eighth and sixteenth size.

Input  (b, 3, h, w), rgb / 255 - 0.5, h and w multiples of 16.
Output (b, 15, h / 2, w / 2): logits LINE 0-3 and INK 4-7 (the four pixels of a 2x2 cell, row by row), VERTEX 8, OTHER 9;
       plain numbers COS2 10, SIN2 11, DIFF 12-14.
Convolutions are dense because the wasm backend runs them at several times the rate of depthwise ones (measured, see the card).
"""

import torch
import torch.nn.functional as F
from torch import nn

WIDTHS = (24, 40, 64, 128)
OUTPUTS = 15
# name, kernel, channels in, channels out, stride, rectified; in the order the weights are stored
LAYERS = [
    ('stem', 5, 3, WIDTHS[0], 2, True),
    ('down1', 3, WIDTHS[0], WIDTHS[1], 2, True),
    ('quarter1', 3, WIDTHS[1], WIDTHS[1], 1, True),
    ('quarter2', 3, WIDTHS[1], WIDTHS[1], 1, False),
    ('down2', 3, WIDTHS[1], WIDTHS[2], 2, True),
    ('eighth1', 3, WIDTHS[2], WIDTHS[2], 1, True),
    ('eighth2', 3, WIDTHS[2], WIDTHS[2], 1, False),
    ('down3', 3, WIDTHS[2], WIDTHS[3], 2, True),
    ('sixteenth1', 3, WIDTHS[3], WIDTHS[3], 1, True),
    ('sixteenth2', 3, WIDTHS[3], WIDTHS[3], 1, False),
    ('up3', 1, WIDTHS[3], WIDTHS[2], 1, False),
    ('eighth3', 3, WIDTHS[2], WIDTHS[2], 1, True),
    ('up2', 1, WIDTHS[2], WIDTHS[1], 1, False),
    ('quarter3', 3, WIDTHS[1], WIDTHS[1], 1, True),
    ('up1', 1, WIDTHS[1], WIDTHS[0], 1, False),
    ('half1', 3, WIDTHS[0], WIDTHS[0], 1, True),
    ('chances', 1, WIDTHS[0], 10, 1, False),
    ('measures', 1, WIDTHS[0], 5, 1, False),
]
HEADS = ('chances', 'measures')


class Layer(nn.Module):
    def __init__(self, name, kernel, cin, cout, stride, rectified):
        super().__init__()
        head = name in HEADS
        self.conv = nn.Conv2d(cin, cout, kernel, stride, kernel // 2, bias=head)
        self.norm = None if head else nn.BatchNorm2d(cout, momentum=0.02)
        self.rectified = rectified
        if name == 'chances':
            nn.init.constant_(self.conv.bias, -2.5)  # most pixels are paper

    def forward(self, x):
        x = self.conv(x)
        if self.norm is not None:
            x = self.norm(x)
        return F.relu(x) if self.rectified else x

    def folded(self):
        """Kernel (k, k, in, out) and bias (out,) with the normalisation multiplied in."""
        weight, bias = self.conv.weight.detach().double(), self.conv.bias
        if self.norm is not None:
            gain = self.norm.weight.double() / torch.sqrt(self.norm.running_var.double() + self.norm.eps)
            weight = weight * gain[:, None, None, None]
            bias = self.norm.bias.double() - self.norm.running_mean.double() * gain
        return weight.permute(2, 3, 1, 0).float().detach().cpu().numpy(), bias.detach().float().cpu().numpy()


def twice(x):
    return F.interpolate(x, scale_factor=2, mode='nearest')


def flow(layer, x):
    """The graph, given `layer(name, x)`: shared by training and by the check of folded weights."""
    half = layer('stem', x)
    quarter = layer('down1', half)
    quarter = quarter + layer('quarter2', layer('quarter1', quarter))
    eighth = layer('down2', quarter)
    eighth = eighth + layer('eighth2', layer('eighth1', eighth))
    deep = layer('down3', eighth)
    deep = deep + layer('sixteenth2', layer('sixteenth1', deep))
    eighth = layer('eighth3', eighth + twice(layer('up3', deep)))
    quarter = layer('quarter3', quarter + twice(layer('up2', eighth)))
    half = layer('half1', half + twice(layer('up1', quarter)))
    return torch.cat([layer('chances', half), layer('measures', half)], 1)


class InkNetwork(nn.Module):
    def __init__(self):
        super().__init__()
        self.layers = nn.ModuleDict({row[0]: Layer(*row) for row in LAYERS})

    def forward(self, x):
        return flow(lambda name, y: self.layers[name](y), x)


def folded_forward(weights, x):
    """Runs the graph on folded weights {name: (kernel, bias)}, as the shipped program does."""

    def layer(name, y):
        _, kernel, _, _, stride, rectified = next(row for row in LAYERS if row[0] == name)
        w, b = (torch.as_tensor(v) for v in weights[name])
        y = F.conv2d(y, w.permute(3, 2, 0, 1), b, stride, kernel // 2)
        return F.relu(y) if rectified else y

    return flow(layer, x)


def losses(out, targets):
    """Named losses (scalars). Chances are scored by log loss without class weights, so that they stay probabilities."""
    out = out.float()
    seen = targets['seen']
    seen2 = F.avg_pool2d(seen, 2)

    def log_loss(logits, truth, mask):
        return (F.binary_cross_entropy_with_logits(logits, truth, reduction='none') * mask).mean()

    line, ink = F.pixel_shuffle(out[:, 0:4], 2), F.pixel_shuffle(out[:, 4:8], 2)
    weight = F.avg_pool2d(targets['line'] * (targets['line'] > 0.3) * seen, 2)
    total = weight.sum() + 1
    # Doubled directions are averaged with the ridge as weight, which is what a 2x2 cell can know.
    way = F.avg_pool2d(targets['direction'] * targets['line'], 2) / (F.avg_pool2d(targets['line'], 2) + 1e-4)
    diff = F.avg_pool2d(targets['diff'] * targets['line'], 2) / (F.avg_pool2d(targets['line'], 2) + 1e-4)
    return {
        'line': 6 * log_loss(line, targets['line'], seen),
        'ink': 1.5 * log_loss(ink, targets['ink'], seen),
        'vertex': 2 * log_loss(out[:, 8:9], F.avg_pool2d(targets['vertex'], 2), seen2),
        'other': log_loss(out[:, 9:10], F.avg_pool2d(targets['other'], 2), torch.ones_like(seen2)),
        'direction': 0.25 * ((out[:, 10:12] - way) ** 2 * weight).sum() / total,
        'diff': 0.5 * (F.smooth_l1_loss(out[:, 12:15], diff, reduction='none', beta=0.1) * weight).sum() / total,
    }
