// Keeps a page up to date: when something was written down anywhere, it fetches the page anew, unless somebody
// is typing, turning a picture, or a press is on its way. A page that is still being computed is looked at again by itself.
import { ask } from "./reach.js";

const SOON_MS = 1500;

let fetching = false;

function busy() {
  const fields = Array.from(document.querySelectorAll("main input:not([type=hidden]), main textarea"));
  const typed = fields.some((field) => field === document.activeElement || changed(field));
  return typed || document.querySelector("main form[data-sent], main [data-busy]") !== null;
}

function changed(field) {
  const choice = field.type === "radio" || field.type === "checkbox";
  return choice ? field.checked !== field.defaultChecked : field.value !== field.defaultValue;
}

/** Put the content of a fetched page in the place of this one's; false if it has none. */
export function show(text) {
  const page = new DOMParser().parseFromString(text, "text/html");
  const fresh = page.querySelector("main");
  if (!fresh) {
    return false;
  }
  const held = document.activeElement?.getAttribute("href");
  document.querySelector("main").replaceWith(document.adoptNode(fresh));
  document.title = page.title;
  document.documentElement.dataset.renewed = "";      // no press led here: a finger may press at once
  if (held) {
    const again = Array.from(document.querySelectorAll("main a")).find((link) => link.getAttribute("href") === held);
    again?.focus({ preventScroll: true });
  }
  dispatchEvent(new Event("pagefresh"));
  return true;
}

addEventListener("news", async () => {
  if (fetching || busy()) {
    return;
  }
  fetching = true;
  try {
    const answer = await ask(location.href);
    if (answer.ok) {
      show(await answer.text());
    }
  } catch {
    // Out of reach: the next answer brings the news again.
  }
  fetching = false;
});

setInterval(() => {
  if (!document.hidden && document.querySelector("[data-soon]")) {
    dispatchEvent(new Event("news"));
  }
}, SOON_MS);
