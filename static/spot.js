// An arm that is tapped in the drawing is chosen in the list below it; what was said already stays. Without this script the
// page is loaded again with that arm.
"use strict";

addEventListener("click", (event) => {
  const number = /[?&]where=(\d+)/.exec(event.target.closest?.("form a[href]")?.getAttribute("href"))?.[1];
  const choice = number && document.querySelector(`form input[name=where][value="${number}"]`);
  if (choice) {
    event.preventDefault();
    event.stopPropagation();        // nobody leaves the page, in reach or not
    choice.checked = true;
    choice.focus();
  }
}, true);
