// Keeps a page that is open out of reach from being lost: a link or a form that would leave it first asks the laptop
// once more, and stays if there is no answer.
import { inReach, lookNow } from "./reach.js";

/** Let a form be pressed again. */
export function release(form) {
  delete form.dataset.sent;
  for (const button of form.querySelectorAll("button")) {
    button.removeAttribute("aria-busy");
  }
}

async function leave(element, go) {
  if (await lookNow()) {
    go();
    return;
  }
  if (element instanceof HTMLFormElement) {
    release(element);
  }
  const words = document.querySelector("[data-out-of-reach]");
  words.scrollIntoView({ block: "nearest" });
  words.focus({ preventScroll: true });
}

addEventListener("submit", (event) => {
  if (!event.defaultPrevented && !inReach() && !event.target.elements.key) {      // those with a key can wait
    event.preventDefault();
    leave(event.target, () => event.target.submit());
  }
});

addEventListener("click", (event) => {
  const link = event.target.closest?.("a[href]");
  if (link && !inReach() && link.origin === location.origin && !link.getAttribute("href").startsWith("#")) {
    event.preventDefault();
    leave(link, () => location.assign(link.href));
  }
});
