// The frame as points and lines that can be looked at from any side: reads the data, projects it, says what is near.
// The eye and its axes are those of the still pictures, so that both show the same.

const ROOM = 1.08;        // the frame and its ground ring, with room for names
const BINS = 8;

/** Data of the frame, as the server gives it, in arrays that are quick to walk through. */
export function shapeOf(data) {
  const at = Float64Array.from(data.at);
  const out = Float64Array.from(data.out);
  const ends = Uint32Array.from(data.ends);
  const shape = { ...data, at, out, ends, flat: new Float64Array(2 * data.hubs.length), row: new Map() };
  shape.rounds = roundsOf(shape);
  data.hubs.forEach((name, hub) => shape.row.set(name, hub));
  data.struts.forEach((name, strut) => shape.row.set(name, data.hubs.length + strut));
  return shape;
}

/** The frame as if it had been turned round its axis: [height, reach] of a few slices. So its size never wobbles. */
function roundsOf(shape) {
  const rounds = [[0, 1.25 * shape.ground]];
  for (let hub = 0; hub < shape.hubs.length; hub += 1) {
    const [x, y, z] = shape.at.subarray(3 * hub, 3 * hub + 3);
    const bin = 1 + Math.floor(BINS * z / (shape.height + 1));
    const reach = Math.hypot(x - shape.centre[0], y - shape.centre[1]);
    rounds[bin] = [Math.max(z, rounds[bin]?.[0] ?? 0), Math.max(reach, rounds[bin]?.[1] ?? 0)];
  }
  return rounds.filter(Boolean);
}

/** How far up, down and aside it reaches on a picture of scale 1. */
function extent(shape, e, distance) {
  const found = { top: -Infinity, bottom: Infinity, half: Math.max(1.15 * shape.wide, shape.wide + 1000) };
  for (const [z, reach] of shape.rounds) {
    const up = z - shape.centre[2];
    for (const toward of [-reach, 0, reach]) {
      const depth = Math.max(distance - toward * Math.cos(e) - up * Math.sin(e), 0.2 * distance);
      const y = (up * Math.cos(e) - toward * Math.sin(e)) * distance / depth;
      found.top = Math.max(found.top, y);
      found.bottom = Math.min(found.bottom, y);
    }
  }
  return found;
}

/** Everything that a painting needs: axes of the eye, scale, where points land. */
export function cameraOf(shape, view, width, height) {
  const [a, e] = [view.azimuth * Math.PI / 180, view.elevation * Math.PI / 180];
  const right = [Math.cos(a), -Math.sin(a), 0];
  const forward = [Math.cos(e) * Math.sin(a), Math.cos(e) * Math.cos(a), -Math.sin(e)];
  const up = [right[1] * forward[2], -right[0] * forward[2], right[0] * forward[1] - right[1] * forward[0]];
  const distance = view.eye * shape.radius;
  const seen = extent(shape, e, distance);
  const scale = Math.min(width / 2 / seen.half, height / (seen.top - seen.bottom)) / ROOM * view.zoom;
  const middle = [width / 2 + view.x, height / 2 + scale * (seen.top + seen.bottom) / 2 + view.y];
  return { right, up, forward, distance, scale, middle, target: shape.centre, width, height };
}

/** Where a point of the frame lands on the picture. */
export function landing(camera, x, y, z) {
  const [dx, dy, dz] = [x - camera.target[0], y - camera.target[1], z - camera.target[2]];
  const [r, u, f] = [camera.right, camera.up, camera.forward];
  const depth = Math.max(dx * f[0] + dy * f[1] + dz * f[2] + camera.distance, 0.05 * camera.distance);
  const shrink = camera.distance / depth * camera.scale;
  return [camera.middle[0] + (dx * r[0] + dy * r[1]) * shrink,
    camera.middle[1] - (dx * u[0] + dy * u[1] + dz * u[2]) * shrink];
}

/** Land all hubs at once; gives the array of their places on the picture. */
export function landHubs(shape, camera) {
  for (let hub = 0; hub < shape.hubs.length; hub += 1) {
    const [x, y] = landing(camera, shape.at[3 * hub], shape.at[3 * hub + 1], shape.at[3 * hub + 2]);
    shape.flat[2 * hub] = x;
    shape.flat[2 * hub + 1] = y;
  }
  return shape.flat;
}

/** 1 for a hub that faces the eye, 0 on the outline, negative on the far side. */
export function nearness(shape, camera, hub) {
  let [dot, view, outward] = [0, 0, 0];
  for (let axis = 0; axis < 3; axis += 1) {
    const eye = camera.target[axis] - camera.distance * camera.forward[axis] - shape.at[3 * hub + axis];
    dot += shape.out[3 * hub + axis] * eye;
    view += eye * eye;
    outward += shape.out[3 * hub + axis] ** 2;
  }
  return dot / Math.sqrt(view * outward || 1);
}
