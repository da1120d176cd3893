// Blocks a second press while a form is being sent; the server would count it once anyway.
"use strict";

addEventListener("submit", (event) => {
  if (event.target.dataset.sent) {
    event.preventDefault();
    return;
  }
  event.target.dataset.sent = "yes";
  for (const button of event.target.querySelectorAll("button")) {
    button.setAttribute("aria-busy", "true");
  }
});

addEventListener("pageshow", () => {
  for (const form of document.forms) {
    delete form.dataset.sent;
    for (const button of form.querySelectorAll("button")) {
      button.removeAttribute("aria-busy");
    }
  }
});
