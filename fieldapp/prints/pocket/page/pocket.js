// Finds a place by the ID that was typed: whole, without prefix, without its check character, or only the number;
// or by an old mark.
"use strict";

const parts = JSON.parse(document.getElementById("parts").textContent);
const form = document.getElementById("look");
const said = document.getElementById("said");

function plain(text) {
  return text.toUpperCase().split("/").pop().replace(/\.[12]$/, "").replace(/[^A-Z0-9]/g, "");
}

function numbered(body) {
  const found = /^([HS])0*(\d+)$/.exec(body);
  return found && parts.numbers[found[1] + found[2]];
}

function marked(typed) {
  return parts.marks[typed.normalize("NFKC").replace(/\s+/g, "").toUpperCase()] ?? [];
}

function found(typed) {
  const text = plain(typed);
  const body = text.startsWith(parts.prefix) ? text.slice(parts.prefix.length) : text;
  const carrying = marked(typed);
  return parts.whole[body] ?? numbered(body) ?? (carrying.length === 1 ? carrying[0] : undefined);
}

form.hidden = false;
form.addEventListener("submit", (event) => {
  event.preventDefault();
  const field = document.getElementById("id");
  const place = found(field.value);
  said.textContent = "";
  if (!place) {
    const several = marked(field.value);
    said.textContent = several.length ? `${said.dataset.several} ${several.join(", ")}` : said.dataset.none;
    return;
  }
  const row = document.querySelector(`[data-spare="${place}"]`);
  if (row) {
    said.textContent = said.dataset.spare;
    row.scrollIntoView();
    return;
  }
  field.value = "";
  location.hash = place;
});

addEventListener("hashchange", () => document.getElementById(location.hash.slice(1))?.focus());
