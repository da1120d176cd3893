// Signs and names on the picture that stands still: the part in question, what is fitted beside it, what is next,
// to be held or broken. Each state is a shape and a word; a name that finds no room is left out, its sign never.
import { frontMark } from "./turning_ground.js";
import { roleOf } from "./turning_paint.js";
import { landing } from "./turning_shape.js";
import { sign } from "./turning_signs.js";

const MOST_WITH_WORD = 6;
const AROUND = [[0, -1], [1, 0], [-1, 0], [0, 1], [0.7, -0.7], [-0.7, -0.7], [0.7, 0.7], [-0.7, 0.7]];

/** Where the sign of a place sits: on a hub, or in the middle of a strut. */
export function spotOf(shape, row) {
  const strut = row - shape.hubs.length;
  const [a, b] = strut < 0 ? [row, row] : [shape.ends[2 * strut], shape.ends[2 * strut + 1]];
  return [(shape.flat[2 * a] + shape.flat[2 * b]) / 2, (shape.flat[2 * a + 1] + shape.flat[2 * b + 1]) / 2];
}

function places(shape, marks, letter) {
  const rows = Array.from(marks.of, (each, row) => (each === letter ? row : -1)).filter((row) => row >= 0);
  return rows.filter((row) => row !== marks.row);
}

/** Fitted places that the one in question touches: hubs at the other ends, or of its ends. */
function neighbours(shape, marks) {
  const own = marks.row;
  const found = new Set();
  for (let strut = 0; own !== undefined && strut < shape.struts.length; strut += 1) {
    const [a, b] = [shape.ends[2 * strut], shape.ends[2 * strut + 1]];
    if (own === shape.hubs.length + strut) {
      [a, b].forEach((hub) => found.add(hub));
    } else if (own === a || own === b) {
      found.add(own === a ? b : a);
    }
  }
  return [...found].filter((row) => ["s", "d"].includes(marks.of[row]));
}

function wishes(shape, marks) {
  const rowsOf = { next: places(shape, marks, "n"), broken: places(shape, marks, "d"),
    hold: marks.hold.map((name) => shape.row.get(name)).filter((row) => row !== undefined) };
  const name = (row) => shape.hubs[row] ?? shape.struts[row - shape.hubs.length];
  const list = [];
  if (marks.row !== undefined) {
    const ring = marks.row < shape.hubs.length ? "this" : "";
    list.push({ row: marks.row, words: marks.this, big: true, colour: "this", sign: ring });
  }
  for (const kind of ["hold", "broken", "next"]) {
    const short = rowsOf[kind].length > MOST_WITH_WORD;
    const colour = { next: "new", broken: "damaged" }[kind] ?? kind;
    rowsOf[kind].forEach((row, index) => list.push({ row, sign: kind, colour,
      words: short && index ? name(row) : `${marks.words[kind]} ${name(row)}` }));
  }
  const rest = neighbours(shape, marks).map((row) => ({ row, words: name(row), colour: "ink" }));
  return [...list.slice(0, 1), ...rest, ...list.slice(1)];
}

function overlaps(one, other) {
  return one[0] < other[2] && other[0] < one[2] && one[1] < other[3] && other[1] < one[3];
}

/** The nearest free room for words round a point, as its upper left corner. */
function roomFor([x, y], [wide, tall], taken, camera) {
  for (const reach of [12, 20, 32, 48]) {
    for (const [dx, dy] of AROUND) {
      const [left, top] = [x + dx * (reach + wide / 2) - wide / 2, y + dy * (reach + tall / 2) - tall / 2];
      const box = [left - 2, top - 1, left + wide + 2, top + tall + 1];
      const inside = box[0] >= 0 && box[1] >= 0 && box[2] <= camera.width && box[3] <= camera.height;
      if (inside && !taken.some((other) => overlaps(box, other))) {
        taken.push(box);
        return [left, top];
      }
    }
  }
  return null;
}

function put(context, spot, wish, taken, { camera, colours }) {
  const size = wish.big ? 24 : 16;
  context.font = `${wish.big ? 800 : 700} ${size}px system-ui, sans-serif`;
  const room = roomFor(spot, [context.measureText(wish.words).width, size], taken, camera);
  if (room) {
    context.textBaseline = "top";
    context.lineJoin = "round";
    context.strokeStyle = colours.paper;
    context.lineWidth = 5;
    context.strokeText(wish.words, ...room);
    context.fillStyle = colours[wish.colour];
    context.fillText(wish.words, ...room);
  }
}

/** Signs first, so that no name covers one; then the names. */
export function nameAll(context, shape, marks, look) {
  const list = wishes(shape, marks).filter((wish) => roleOf(shape, marks, wish.row) || wish.sign);
  const signed = list.filter((wish) => wish.sign);
  signed.slice().reverse().forEach((wish) => sign(context, wish.sign, spotOf(shape, wish.row), look.colours));
  const taken = signed.map((wish) => spotOf(shape, wish.row)).map(([x, y]) => [x - 9, y - 9, x + 9, y + 9]);
  list.forEach((wish) => put(context, spotOf(shape, wish.row), wish, taken, look));
  const [mx, my] = frontMark(shape)[1];
  const mark = landing(look.camera, shape.centre[0] + mx, shape.centre[1] + my, 0);
  put(context, mark, { words: marks.words.front, colour: "ink" }, taken, look);
}
