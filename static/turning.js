// Puts a picture that can be turned in the place of every still one on the page. Without this script, without the
// frame's data and on paper the still one stays. How one looked at it is kept while the page shows the same part.
import { turningOn } from "./turning_canvas.js";
import { shapeOf } from "./turning_shape.js";

const shapes = new Map();
let kept = { address: "", this: "", view: null };

async function shapeAt(address) {
  if (!shapes.has(address)) {
    const answer = await fetch(address);
    shapes.set(address, shapeOf(await answer.json()));
  }
  return shapes.get(address);
}

function marksOf(box) {
  const { marks, hold, next, wordHold, broken, front } = box.dataset;
  const words = { next, hold: wordHold, broken, front };
  const held = hold.split(" ").filter(Boolean);
  return { of: marks, this: box.dataset.this, facing: box.dataset.facing, hold: held, words };
}

function link(box, name) {
  const found = document.createElement("a");
  found.href = box.dataset.open.replace("NAME", name);
  found.className = "press small";
  found.textContent = name;
  return found;
}

/** One part is opened, by its link, so that a phone out of reach stays here; several are offered. */
function open(box, names) {
  const offer = box.querySelector("[data-choice]");
  offer.replaceChildren(...names.map((name) => link(box, name)));
  if (names.length === 1) {
    offer.firstChild.click();
  }
}

function canvasFor(box) {
  const canvas = document.createElement("canvas");
  canvas.className = "drawing";
  canvas.tabIndex = 0;
  canvas.setAttribute("role", "application");
  canvas.setAttribute("aria-label", box.dataset.label);
  box.prepend(canvas);
  return canvas;
}

async function begin(box) {
  const { address } = box.dataset;
  let shape;
  try {
    shape = await shapeAt(address);
  } catch {
    return;      // out of reach: the still picture stays
  }
  if (box.querySelector("canvas") || !box.isConnected) {
    return;
  }
  box.classList.add("turns");
  const same = kept.address === location.pathname && kept.this === box.dataset.this;
  const view = same ? kept.view : null;
  const look = turningOn(canvasFor(box), shape, marksOf(box), { view, open: (names) => open(box, names) });
  kept = { address: location.pathname, this: box.dataset.this, view: look.view() };
  for (const button of box.querySelectorAll("button[data-look]")) {
    button.addEventListener("click", () => {
      (button.dataset.look ? look.stand(button.dataset.look) : look.reset());
      look.paint(false);
    });
  }
}

function beginAll() {
  document.querySelectorAll("main [data-turning]").forEach(begin);
}

beginAll();
addEventListener("pagefresh", beginAll);
