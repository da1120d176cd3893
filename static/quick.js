// Writing down out of reach, where no part's page can be opened: type the ID, press what happened. The entry waits in
// this phone like any other; the laptop looks the ID up when it arrives. An ID that cannot exist is refused at once,
// since nobody will be there to correct it later.
import { trouble } from "./known_ids.js";
import { SITE } from "./reach.js";

const form = document.querySelector("form[data-quick]");
let last = "";

function ready() {
  form.reset();
  delete form.dataset.sent;
  for (const button of form.querySelectorAll("button")) {
    button.removeAttribute("aria-busy");
  }
  dispatchEvent(new Event("pagefresh"));
  form.elements.id.focus();
}

function say(words) {
  const line = form.querySelector("[data-quick-says]");
  line.textContent = words;
  line.hidden = words === "";
}

function refusal(text, damaged) {
  const found = trouble(text, JSON.parse(form.dataset.known));
  if (!found.what) {
    return "";
  }
  const words = (found.what === "other" ? form.dataset.otherKit : form.dataset.unknown)
    .replace("{id}", found.id ?? text).replace("{other}", found.kit ?? "");
  return damaged ? `${words} ${form.dataset.hold}` : words;
}

// Before the press is taken into the queue: where it goes, and what it is called in the list. Right after it the
// form is ready for the next ID, which needs a key of its own.
form?.addEventListener("submit", (event) => {
  const act = event.submitter?.value ?? "fitted";
  last = form.elements.id.value.trim().toUpperCase();
  const words = refusal(last, act === "damaged");
  say(words);
  if (words) {
    event.preventDefault();
    event.stopPropagation();
    form.elements.id.select();
    return;
  }
  form.dataset.about = last;
  const id = encodeURIComponent(last);
  form.action = new URL(act === "damaged" ? `damage/${id}` : `P/${id}/${act}`, SITE);
  form.dataset.kept = act === "damaged" ? form.dataset.keptDamaged : form.dataset.keptElse;
});

form?.addEventListener("taken", ready);
form?.addEventListener("notkept", () => { form.elements.id.value = last; });
