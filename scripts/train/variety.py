"""Other tiles from the same recipes: turned, mirrored, enlarged, in other colours. Drawing recipes costs processors, painting them again does not."""

import torch

import styles as st

NEAREST, FARTHEST = 0.82, 1.3  # enlargements; strokes reach 40 px beyond the tile, which NEAREST lets into view by 28
RECOLOURED = 0.35  # share of tiles whose red, green and blue change places


def varied(chunk, size, by_hand):
    """chunk: tensors of `styles.draw_chunk` without `kind`. A hand's wobble is bound to its crossings, so hands keep their size."""
    rows, vertices, frame = chunk['strokes'].clone(), chunk['vertices'].clone(), chunk['frame'].clone()
    b, device = rows.shape[0], rows.device

    def some(share):
        return (torch.rand(b, 1, device=device) < share).float()

    def across_or_down(axis, where):
        sign = 1 - 2 * where
        rows[:, :, st.X + axis] = rows[:, :, st.X + axis] * sign + size * where
        rows[:, :, st.COS + axis] *= sign
        vertices[:, :, axis] = vertices[:, :, axis] * sign + size * where
        low, high = frame[:, axis].clone(), frame[:, axis + 2].clone()
        hit = where[:, 0] > 0
        frame[:, axis], frame[:, axis + 2] = torch.where(hit, size - high, low), torch.where(hit, size - low, high)
        return sign

    handed = across_or_down(0, some(0.5)) * across_or_down(1, some(0.5))
    swap = some(0.5)[:, :, None] > 0
    rows[:, :, st.X : st.Y + 1] = torch.where(swap, rows[:, :, [st.Y, st.X]], rows[:, :, [st.X, st.Y]])
    rows[:, :, st.COS : st.SIN + 1] = torch.where(swap, rows[:, :, [st.SIN, st.COS]], rows[:, :, [st.COS, st.SIN]])
    vertices = torch.where(swap, vertices.flip(2), vertices)
    frame = torch.where(swap[:, :, 0], frame[:, [1, 0, 3, 2]], frame)
    # A wobble runs aside to the left of its stroke: a mirror turns left to right.
    handed = handed * torch.where(swap[:, :, 0], -1.0, 1.0)
    rows[:, :, [st.WAVE, st.WAVE2]] *= handed[:, :, None]
    if not by_hand:
        zoom = NEAREST * (FARTHEST / NEAREST) ** torch.rand(b, 1, 1, device=device)
        rows[:, :, st.X : st.Y + 1] = (rows[:, :, st.X : st.Y + 1] - size / 2) * zoom + size / 2
        rows[:, :, st.LENGTH] *= zoom[:, :, 0]
        vertices = (vertices - size / 2) * zoom + size / 2
        frame = (frame - size / 2) * zoom[:, :, 0] + size / 2
    order = torch.rand(b, 3, device=device).argsort(1)
    order = torch.where(some(RECOLOURED) > 0, order, torch.arange(3, device=device))
    wide = order[:, None].expand(-1, rows.shape[1], -1)
    rows[:, :, st.RED : st.BLUE + 1] = rows[:, :, st.RED : st.BLUE + 1].gather(2, wide)
    return {**chunk, 'strokes': rows, 'vertices': vertices, 'frame': frame, 'paper': chunk['paper'].gather(1, order), 'desk': chunk['desk'].gather(1, order)}
