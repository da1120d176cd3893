// How somebody looks at the frame: from which side, how steeply, from how near; and how fingers and keys change it.

const FAR_EYE = 4.5;      // distance of the eye in radii of the frame
const NEAR_EYE = 2.6;
const LOWEST = -4;
const HIGHEST = 89;

/** How one looks at it first: at a place, slightly from above, or from the front mark. */
export function firstView(shape, name) {
  const row = shape.row.get(name);
  if (row === undefined) {
    return { azimuth: 0, elevation: 16, zoom: 1, x: 0, y: 0, eye: FAR_EYE };
  }
  const outward = outwardOf(shape, row);
  const slope = Math.asin(outward[2] / Math.hypot(...outward)) * 180 / Math.PI;
  const elevation = Math.min(Math.max(0.55 * slope, 14), 46);
  return { azimuth: sideOf(shape, row), elevation, zoom: 1, x: 0, y: 0, eye: FAR_EYE };
}

/** How it looks to somebody who stands before a place: from low down, and from near. */
export function standingView(shape, name) {
  return { ...firstView(shape, name), elevation: 5, eye: NEAR_EYE };
}

export function turned(view, azimuth, elevation) {
  view.azimuth = (view.azimuth + azimuth + 360) % 360;
  view.elevation = Math.min(Math.max(view.elevation + elevation, LOWEST), HIGHEST);
}

export function zoomed(view, factor) {
  view.zoom = Math.min(Math.max(view.zoom * factor, 0.7), 12);
}

function hubsOf(shape, row) {
  const strut = row - shape.hubs.length;
  return strut < 0 ? [row] : [shape.ends[2 * strut], shape.ends[2 * strut + 1]];
}

function mean(shape, row, array) {
  const hubs = hubsOf(shape, row);
  return [0, 1, 2].map((axis) => hubs.reduce((sum, hub) => sum + array[3 * hub + axis], 0) / hubs.length);
}

function outwardOf(shape, row) {
  return mean(shape, row, shape.out);
}

/** From which side a place is reached: clockwise seen from above from the front mark; 0 for the middle. */
function sideOf(shape, row) {
  const [x, y] = mean(shape, row, shape.at);
  const [dx, dy] = [x - shape.centre[0], y - shape.centre[1]];
  return Math.hypot(dx, dy) < 0.02 * shape.radius ? 0 : (Math.atan2(-dx, -dy) * 180 / Math.PI + 360) % 360;
}
