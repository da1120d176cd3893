// Paints the frame: what stands solid and by nearness, what comes later faint, what is next, broken or asked for bold.
// While it is being turned the far side is thinned, the more the longer the last pictures took.
import { ground } from "./turning_ground.js";
import { landHubs, nearness } from "./turning_shape.js";

const DENSE = 500;        // from here on far struts of later places only blur the picture
const LAYERS = ["later", "far", "near0", "near1", "near2", "new", "damaged", "this"];
const WIDTHS = { later: 1, far: 1, near0: 1.3, near1: 2, near2: 2.8, new: 4, damaged: 3, this: 5 };
const COLOURS = { near0: "ink", near1: "ink", near2: "ink" };
const ROLES = { s: "standing", n: "new", d: "damaged", l: "later" };

/** How a place is drawn; empty if it is not. */
export function roleOf(shape, marks, row) {
  if (row === marks.row) {
    return "this";
  }
  return ROLES[marks.of[row]] ?? "";
}

function layerOf(role, near, thin, dense, strut) {
  if (role === "later") {
    const hidden = (near < 0 && (dense || thin)) || (thin > 2 && strut % 2);
    return hidden ? "" : "later";
  }
  if (role !== "standing") {
    return role;
  }
  if (near < 0) {
    return thin > 1 || (thin && strut % 2) ? "" : "far";
  }
  return thin > 2 && strut % 2 ? "" : `near${Math.min(2, Math.floor(3 * near))}`;
}

function sorted(shape, marks, near, thin) {
  const layers = Object.fromEntries(LAYERS.map((name) => [name, []]));
  const dense = shape.struts.length > DENSE;
  for (let strut = 0; strut < shape.struts.length; strut += 1) {
    const role = roleOf(shape, marks, shape.hubs.length + strut);
    const facing = near[shape.ends[2 * strut]] + near[shape.ends[2 * strut + 1]];
    const layer = role && layerOf(role, facing / 2, thin, dense, strut);
    if (layer) {
      layers[layer].push(strut);
    }
  }
  return layers;
}

function strokes(context, shape, struts) {
  context.beginPath();
  for (const strut of struts) {
    const [a, b] = [2 * shape.ends[2 * strut], 2 * shape.ends[2 * strut + 1]];
    context.moveTo(shape.flat[a], shape.flat[a + 1]);
    context.lineTo(shape.flat[b], shape.flat[b + 1]);
  }
  context.stroke();
}

function line(context, shape, struts, { colour, width, dashes = [] }) {
  if (struts.length) {
    context.strokeStyle = colour;
    context.lineWidth = width;
    context.setLineDash(dashes);
    strokes(context, shape, struts);
    context.setLineDash([]);
  }
}

function dots(context, shape, marks, near, colours) {
  for (const [role, colour, radius] of [["standing", "ink", 2.6], ["new", "new", 5]]) {
    context.fillStyle = colours[colour];
    context.beginPath();
    for (let hub = 0; hub < shape.hubs.length; hub += 1) {
      if (roleOf(shape, marks, hub) === role && (role === "new" || near[hub] >= 0)) {
        const [x, y] = [shape.flat[2 * hub], shape.flat[2 * hub + 1]];
        const size = shape.struts.length > DENSE ? 0.6 * radius : radius;
        context.moveTo(x + size, y);
        context.arc(x, y, size, 0, 2 * Math.PI);
      }
    }
    context.fill();
  }
}

/** Paint all but names and signs; gives how near each hub is, for those. */
export function paint(context, shape, marks, { camera, colours, thin }) {
  context.fillStyle = colours.paper;
  context.fillRect(0, 0, camera.width, camera.height);
  context.lineCap = "round";
  landHubs(shape, camera);
  const near = Float64Array.from(shape.hubs, (_, hub) => nearness(shape, camera, hub));
  const layers = sorted(shape, marks, near, thin);
  ground(context, camera, shape, colours);
  line(context, shape, layers.this, { colour: colours.paper, width: 9 });
  for (const name of LAYERS) {
    const dashes = { later: thin ? [] : [3, 4], damaged: [8, 5] }[name];
    const width = thin > 1 ? Math.min(WIDTHS[name], 2) : WIDTHS[name];
    line(context, shape, layers[name], { colour: colours[COLOURS[name] ?? name], width, dashes });
  }
  if (thin < 2) {
    dots(context, shape, marks, near, colours);
  }
  return near;
}
