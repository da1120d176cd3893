// Lets the picture of the place that is shown be turned. What the plan puts in before it stands solid.
import { turningOn } from "./turning_canvas.js";
import { shapeOf } from "./turning_shape.js";

const frame = JSON.parse(document.getElementById("frame").textContent);
const shape = shapeOf(frame);
const words = document.getElementById("frame").dataset;

function marksBefore(name) {
  const letters = new Array(shape.hubs.length + shape.struts.length).fill("x");
  const turn = frame.order.indexOf(name);
  frame.order.forEach((place, number) => { letters[shape.row.get(place)] = number < turn ? "s" : "l"; });
  return { of: letters, this: name, facing: name, hold: [], words: { front: words.front } };
}

function made(tag, look, text = "") {
  const found = document.createElement(tag);
  found.className = look;
  found.textContent = text;
  return found;
}

function open(offer, names) {
  const known = names.filter((name) => document.getElementById(name));
  offer.replaceChildren(...known.map((name) => Object.assign(made("a", "press", name), { href: `#${name}` })));
  if (known.length === 1) {
    location.hash = known[0];
  }
}

function begin() {
  const place = document.getElementById(location.hash.slice(1));
  const still = place?.querySelector(".pictures > svg");
  if (!still) {
    return;
  }
  const box = made("div", "turning turns");
  const canvas = made("canvas", "drawing");
  Object.assign(canvas, { tabIndex: 0 });
  canvas.setAttribute("role", "application");
  canvas.setAttribute("aria-label", `${place.id}. ${words.keys}`);
  const acts = made("p", "turning-acts");
  const [whole, offer] = [made("button", "", words.whole), made("span", "")];
  offer.dataset.choice = "";
  offer.setAttribute("role", "status");
  still.replaceWith(box);
  box.append(canvas, still, acts);
  acts.append(offer, whole, made("span", "quiet", words.solid));
  const look = turningOn(canvas, shape, marksBefore(place.id), { open: (names) => open(offer, names) });
  whole.addEventListener("click", () => {
    look.reset();
    look.paint(false);
  });
}

begin();
addEventListener("hashchange", begin);
