/** Pan and zoom: a place on paper, px, is shown at (x·scale + left, y·scale + top) CSS px of the stage. */
export interface View {
  readonly scale: number;
  readonly left: number;
  readonly top: number;
}

export interface Box {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

export interface Size {
  readonly width: number;
  readonly height: number;
}

/** A crease step of a fine grid fills the screen at this zoom, from the whole in view. */
const MOST_ZOOM = 60;
const LEAST_ZOOM = 0.5;
/** White left around the sheet, share of the stage's shorter side. */
const MARGIN = 0.04;
/** A place this near to the stage's side is not seen well, share of the side. */
const RIM = 0.03;
/** Part of the sheet that always stays in view, share of the stage's side. */
const ALWAYS_SEEN = 0.2;

/** The whole box in the middle of the stage. */
export function fitted(box: Box, stage: Size): View {
  const margin = MARGIN * Math.min(stage.width, stage.height);
  const scale = Math.max(
    Number.MIN_VALUE,
    Math.min((stage.width - 2 * margin) / box.width, (stage.height - 2 * margin) / box.height),
  );
  return {
    scale,
    left: (stage.width - box.width * scale) / 2 - box.left * scale,
    top: (stage.height - box.height * scale) / 2 - box.top * scale,
  };
}

/** Zooms by a factor around a point of the stage, CSS px, which stays where it is. */
export function zoomed(view: View, factor: number, [x, y]: readonly [number, number], box: Box, stage: Size): View {
  const whole = fitted(box, stage).scale;
  const scale = Math.min(whole * MOST_ZOOM, Math.max(whole * LEAST_ZOOM, view.scale * factor));
  const f = scale / view.scale;
  return kept({ scale, left: x - (x - view.left) * f, top: y - (y - view.top) * f }, box, stage);
}

export function panned(view: View, dx: number, dy: number, box: Box, stage: Size): View {
  return kept({ ...view, left: view.left + dx, top: view.top + dy }, box, stage);
}

/** Moves the view just so far that a place on paper is seen well inside the stage. */
export function revealed(view: View, [x, y]: readonly [number, number], stage: Size): View {
  const inner = (at: number, side: number) => Math.min(side * (1 - RIM), Math.max(side * RIM, at));
  const [sx, sy] = [x * view.scale + view.left, y * view.scale + view.top];
  return { ...view, left: view.left + inner(sx, stage.width) - sx, top: view.top + inner(sy, stage.height) - sy };
}

/** The sheet never leaves the stage altogether. */
function kept(view: View, box: Box, stage: Size): View {
  const along = (start: number, low: number, length: number, side: number) => {
    const seen = Math.min(ALWAYS_SEEN * side, length * view.scale);
    const [first, last] = [low * view.scale, (low + length) * view.scale];
    return Math.min(side - seen - first, Math.max(seen - last, start));
  };
  return {
    ...view,
    left: along(view.left, box.left, box.width, stage.width),
    top: along(view.top, box.top, box.height, stage.height),
  };
}
