// Shows how many entries wait in this phone and which were refused, and lets their owner throw them away.
// Sends them whenever the laptop answers, in the order of the presses.
import { all, remove } from "./kept.js";
import { lookNow } from "./reach.js";
import { sendAll } from "./sending.js";
import { release } from "./stay.js";

function line(item, words) {
  const row = document.createElement("li");
  const text = document.createElement("span");
  const at = new Date(item.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  text.textContent = [`${at} ${item.words}`, item.refused ?? item.says].filter(Boolean).join(" – ");
  const button = document.createElement("button");
  button.type = "button";
  button.className = "press small";
  button.dataset.discard = item.order;
  button.textContent = item.refused ? words.read : words.discard;
  row.append(text, button);
  return row;
}

function fill(box, items, words) {
  box.hidden = items.length === 0;
  box.querySelector("ul").replaceChildren(...items.map((item) => line(item, words)));
  const count = box.querySelector("[data-count]");
  if (items.length) {
    const said = (items.length === 1 ? words.one : words.many).replace("{n}", items.length);
    if (count.textContent !== said) {
      count.textContent = said;
    }
  }
}

async function display() {
  let items = [];
  try {
    items = await all();
  } catch {
    // Nothing can be kept here; a press says so.
  }
  const waiting = document.querySelector("[data-waiting]");
  const refused = document.querySelector("[data-refused]");
  fill(waiting, items.filter((item) => !item.refused), { ...waiting.dataset });
  fill(refused, items.filter((item) => item.refused), { ...refused.dataset });
  return items;
}

// A press that waited and is written down now: its page says so and leads on, as it would have at once. Of damage that
// is the answer to it. One that was refused is said above, and may be put right and pressed again.
function goneOut(line, url) {
  if (!url) {
    line.remove();
    return;
  }
  const words = document.querySelector("[data-waiting]").dataset;
  const link = document.createElement("a");
  link.className = "press go";
  link.href = url;
  link.textContent = words.onward;
  line.replaceChildren(words.sent, " ", link);
}

function loosen(done) {
  for (const { item, outcome, url } of done.filter((result) => result.outcome !== "waits")) {
    const key = item.fields.find(([name]) => name === "key")?.[1];
    for (const field of document.querySelectorAll("main form[data-sent] input[name=key]")) {
      if (field.value === key && field.form.nextElementSibling?.matches("[data-kept-says]")) {
        goneOut(field.form.nextElementSibling, outcome === "written" ? url : "");
        release(field.form);
      }
    }
  }
}

addEventListener("waiting", (event) => {
  display();
  loosen(event.detail);
});

addEventListener("reach", async (event) => {
  if (event.detail.answered && (await display()).some((item) => !item.refused)) {
    sendAll();
  }
});

addEventListener("click", async (event) => {
  const order = event.target.dataset?.discard;
  if (order !== undefined && (event.target.closest("[data-refused]") || confirm(event.target.textContent + "?"))) {
    await remove(Number(order));
    display();
  }
});

// What an earlier page left behind goes out at once.
async function begin() {
  if ((await display()).some((item) => !item.refused)) {
    lookNow();
  }
}

addEventListener("pageshow", begin);
