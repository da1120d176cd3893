// Which part lies under the finger: hubs before struts, the near side before the far one. Where several lie close
// together nothing is guessed: all of them are offered.
import { roleOf } from "./turning_paint.js";

const FINGER = 24;
const CLEARLY_NEARER = 8;
const MOST = 4;

function toLine(px, py, ax, ay, bx, by) {
  const [dx, dy] = [bx - ax, by - ay];
  const along = Math.min(Math.max(((px - ax) * dx + (py - ay) * dy) / (dx * dx + dy * dy || 1), 0), 1);
  return Math.hypot(px - ax - along * dx, py - ay - along * dy);
}

function distances(shape, near, x, y) {
  const { flat, ends } = shape;
  const found = [];
  for (let hub = 0; hub < shape.hubs.length; hub += 1) {
    const away = Math.hypot(x - flat[2 * hub], y - flat[2 * hub + 1]);
    const rank = away < FINGER / 2 ? 0.4 * away - 2 * CLEARLY_NEARER : away + FINGER / 2;
    found.push({ row: hub, away: rank, near: near[hub] >= 0 });
  }
  for (let strut = 0; strut < shape.struts.length; strut += 1) {
    const [a, b] = [2 * ends[2 * strut], 2 * ends[2 * strut + 1]];
    const away = toLine(x, y, flat[a], flat[a + 1], flat[b], flat[b + 1]);
    found.push({ row: shape.hubs.length + strut, away, near: near[a / 2] + near[b / 2] >= 0 });
  }
  return found.filter((each) => each.away <= FINGER);
}

/** Names of the parts that may be meant, the likeliest first; one if it is clear. */
export function picked(shape, marks, near, [x, y]) {
  const seen = distances(shape, near, x, y).filter((each) => roleOf(shape, marks, each.row));
  const side = seen.some((each) => each.near) ? seen.filter((each) => each.near) : seen;
  side.sort((one, other) => one.away - other.away);
  const likely = side.filter((each) => each.away < side[0].away + CLEARLY_NEARER).slice(0, MOST);
  return likely.map(({ row }) => shape.hubs[row] ?? shape.struts[row - shape.hubs.length]);
}
