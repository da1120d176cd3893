// One picture that can be turned: a canvas of the right size and colours, painted anew when something changed.
import { nameAll } from "./turning_names.js";
import { paint } from "./turning_paint.js";
import { picked } from "./turning_pick.js";
import { cameraOf } from "./turning_shape.js";
import { turnBy } from "./turning_touch.js";
import { firstView, standingView } from "./turning_view.js";

const COLOURS = ["paper", "ink", "later", "far", "ground", "this", "new", "damaged", "hold",
  "person"];
const MANY = 1500;        // struts from which on the first turned picture is thinned already
const SLOW_MS = 70;
const QUICK_MS = 25;
const MOST_THIN = 3;

function coloursOf(canvas) {
  const style = getComputedStyle(canvas);
  return Object.fromEntries(COLOURS.map((name) => [name, style.getPropertyValue(`--d-${name}`).trim() || "#000"]));
}

/** Fill a canvas with the frame; `open(names)` is told which parts were tapped. Gives what the page may ask of it. */
export function turningOn(canvas, shape, said, { view, open }) {
  const marks = { ...said, row: shape.row.get(said.this) };
  const least = shape.struts.length > MANY ? 1 : 0;
  const now = { view: view ?? firstView(shape, marks.facing), near: null, thin: least, last: 0, waits: 0 };

  function draw(quick, stamp) {
    now.waits = 0;
    const [width, height] = [canvas.clientWidth, canvas.clientHeight];
    if (!width || !height) {
      return;
    }
    now.thin = quick && now.last ? pace(stamp - now.last) : now.thin;
    now.last = quick ? stamp : 0;
    const thin = quick ? now.thin : 0;
    const ratio = thin > 1 ? 1 : Math.min(devicePixelRatio || 1, 2);
    fit(Math.round(width * ratio), Math.round(height * ratio));
    const context = canvas.getContext("2d", { alpha: false });
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    const look = { camera: cameraOf(shape, now.view, width, height), colours: coloursOf(canvas), thin };
    now.near = paint(context, shape, marks, look);
    if (!quick || shape.struts.length < MANY / 3) {
      nameAll(context, shape, marks, look);
    }
    canvas.dispatchEvent(new CustomEvent("painted", { bubbles: true, detail: { quick, thin } }));
  }

  function fit(width, height) {
    if (canvas.width !== width || canvas.height !== height) {
      canvas.width = width;
      canvas.height = height;
    }
  }

  function pace(took) {
    const change = took > SLOW_MS ? 1 : took < QUICK_MS ? -1 : 0;
    return Math.min(Math.max(now.thin + change, least), MOST_THIN);
  }

  function ask(quick) {
    cancelAnimationFrame(now.waits);
    now.waits = requestAnimationFrame((stamp) => draw(quick, stamp));
  }

  const look = {
    view: () => now.view,
    paint: ask,
    tap: (at) => now.near && open(picked(shape, marks, now.near, at)),
    reset: () => Object.assign(now.view, firstView(shape, marks.facing)),
    stand: (name) => Object.assign(now.view, standingView(shape, name)),
  };
  turnBy(canvas, look);
  new ResizeObserver(() => ask(false)).observe(canvas);
  ask(false);
  return look;
}
