// Fingers, mouse and keys on a picture: one finger turns, two draw it nearer and shift it, a tap opens, arrows turn.
// Up and down with one finger first scrolls the page, as everywhere; once the picture turns it tilts, too.
import { turned, zoomed } from "./turning_view.js";

const DEGREES_PER_PX = 0.45;
const STEP_DEG = 15;
const TAP_PX = 9;
const TAP_MS = 600;
const KEYS = {
  ArrowLeft: (view) => turned(view, -STEP_DEG, 0),
  ArrowRight: (view) => turned(view, STEP_DEG, 0),
  ArrowUp: (view) => turned(view, 0, STEP_DEG),
  ArrowDown: (view) => turned(view, 0, -STEP_DEG),
  "+": (view) => zoomed(view, 1.25),
  "-": (view) => zoomed(view, 0.8),
};

function spread(pointers) {
  const [a, b] = [...pointers.values()];
  return { gap: Math.hypot(a.x - b.x, a.y - b.y) || 1, x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
}

function moved(view, pointers, id, to) {
  const from = pointers.get(id);
  if (pointers.size === 1) {
    turned(view, (to.x - from.x) * DEGREES_PER_PX, (to.y - from.y) * DEGREES_PER_PX);
    pointers.set(id, { ...from, ...to });
    return;
  }
  const before = spread(pointers);
  pointers.set(id, { ...from, ...to });
  const after = spread(pointers);
  zoomed(view, after.gap / before.gap);
  view.x += after.x - before.x;
  view.y += after.y - before.y;
}

/** Let a canvas be turned: `look.view()` gives what changes, `look.paint(quick)` shows it, `look.tap([x, y])` opens. */
export function turnBy(canvas, look) {
  const pointers = new Map();
  const at = (event) => ({ x: event.offsetX, y: event.offsetY });

  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    pointers.set(event.pointerId, { ...at(event), first: at(event), since: event.timeStamp, alone: !pointers.size });
    pointers.forEach((each) => { each.alone = each.alone && pointers.size === 1; });
    canvas.parentElement.dataset.busy = "";
  });

  canvas.addEventListener("pointermove", (event) => {
    if (pointers.has(event.pointerId)) {
      moved(look.view(), pointers, event.pointerId, at(event));
      look.paint(true);
    }
  });

  const end = (event) => {
    const was = pointers.get(event.pointerId);
    pointers.delete(event.pointerId);
    if (pointers.size === 0) {
      delete canvas.parentElement?.dataset.busy;
      look.paint(false);
    }
    return was;
  };

  canvas.addEventListener("pointerup", (event) => {
    const was = end(event);
    const to = at(event);
    const still = was && Math.hypot(to.x - was.first.x, to.y - was.first.y) < TAP_PX;
    if (still && was.alone && event.timeStamp - was.since < TAP_MS) {
      look.tap([to.x, to.y]);
    }
  });
  canvas.addEventListener("pointercancel", end);
  canvas.addEventListener("touchstart", (event) => {
    if (event.touches.length > 1) {
      event.preventDefault();
    }
  }, { passive: false });

  canvas.addEventListener("wheel", (event) => {
    if (event.ctrlKey || document.activeElement === canvas) {
      event.preventDefault();
      zoomed(look.view(), Math.exp(-event.deltaY / 400));
      look.paint(false);
    }
  }, { passive: false });

  canvas.addEventListener("keydown", (event) => {
    const act = event.key === "Home" ? look.reset : KEYS[event.key];
    if (act) {
      event.preventDefault();
      act(look.view());
      look.paint(false);
    }
  });
}
