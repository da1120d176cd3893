// Writing down out of reach, where no part's page can be opened: type the ID, press what happened. The entry waits in
// this phone like any other; the laptop looks the ID up when it arrives.

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

// Before the press is taken into the queue: where it goes, and what it is called in the list. Right after it the
// form is ready for the next ID, which needs a key of its own.
form?.addEventListener("submit", (event) => {
  last = form.elements.id.value.trim().toUpperCase();
  form.dataset.about = last;
  form.action = `/P/${encodeURIComponent(last)}/${event.submitter?.value ?? "fitted"}`;
});

form?.addEventListener("taken", ready);
form?.addEventListener("notkept", () => { form.elements.id.value = last; });
