// Takes every press that writes something down: keeps it in the phone first, then sends it. In reach the page
// goes on as without this script, or shows the answer in its place where the form asks for it (data-in-place), which
// saves loading it a second time; out of reach the press waits, and the page says so.
import { show } from "./follow.js";
import { put, remove } from "./kept.js";
import { inReach, lookNow } from "./reach.js";
import { packed, sendAll } from "./sending.js";
import { release } from "./stay.js";

const SAY_KEPT_AFTER_MS = 700;

let leaving = false;

addEventListener("beforeunload", () => { leaving = true; });
addEventListener("pageshow", () => { leaving = false; });

function says(form, name) {
  let line = form.nextElementSibling?.matches("[data-kept-says]") ? form.nextElementSibling : null;
  if (!line) {
    line = document.createElement("p");
    line.className = "told kept-says";
    line.dataset.keptSays = "";
    line.setAttribute("role", "status");
    form.after(line);
  }
  line.textContent = form.dataset[name] ?? document.querySelector("[data-waiting]").dataset[name];
}

function title(form, button) {
  const about = form.dataset.about || document.title.split(" · ")[0];
  return `${(button ?? form.querySelector("button"))?.textContent.trim() ?? ""}: ${about}`;
}

async function keep(form, button) {
  const data = new FormData(form);
  if (button?.name) {
    data.append(button.name, button.value);
  }
  const now = new Date();
  const item = { url: form.action, at: now.getTime(), words: title(form, button) };
  form.dispatchEvent(new Event("taken"));
  const fields = await packed(data);
  return put({ ...item, fields: [...fields, ["sent_at", now.toISOString()]] });
}

async function press(form, button) {
  let order;
  try {
    order = await keep(form, button);
  } catch {
    release(form);
    says(form, "cannotKeep");
    form.dispatchEvent(new Event("notkept"));
    return;
  }
  dispatchEvent(new CustomEvent("waiting", { detail: [] }));
  const late = setTimeout(() => says(form, "kept"), inReach() ? SAY_KEPT_AFTER_MS : 0);
  const mine = await sent(order);
  clearTimeout(late);
  await answered(form, mine, order);
}

// A round that was under way already may have begun before this press.
async function sent(order) {
  for (let round = 0; round < 2; round += 1) {
    const done = await sendAll();
    const mine = done.find((result) => result.item.order === order);
    if (mine || done.some((result) => result.outcome === "waits")) {
      return mine;
    }
  }
  return undefined;
}

async function answered(form, mine, order) {
  if (form.dataset.quick !== undefined) {
    says(form, mine?.outcome === "written" ? "sent" : "kept");
  } else if (leaving) {
    release(form);      // somebody pressed on meanwhile: where they go comes first
  } else if (mine?.outcome === "written" && form.dataset.inPlace !== undefined) {
    history.replaceState(null, "", mine.url);
    showAnswer(mine.page);
  } else if (mine?.outcome === "written") {
    location.assign(mine.url);
  } else if (mine?.outcome === "refused") {
    await remove(order);
    dispatchEvent(new CustomEvent("waiting", { detail: [] }));
    showAnswer(mine.page);
  } else if (mine?.page) {
    showAnswer(mine.page);
  } else {
    says(form, "kept");
    lookNow();
  }
}

function showAnswer(page) {
  show(page);
  scrollTo(0, 0);
  const head = document.querySelector("main [autofocus]") ?? document.querySelector("main h1");
  if (head?.matches("h1")) {
    head.setAttribute("tabindex", "-1");
  }
  head?.focus();
}

addEventListener("submit", (event) => {
  const form = event.target;
  const secret = form.querySelector("input[type=password]");
  if (!event.defaultPrevented && form.method === "post" && form.elements.key && !secret) {
    event.preventDefault();
    press(form, event.submitter);
  }
});
