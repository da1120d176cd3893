// Keeps a page up to date: asks the laptop every few seconds whether anything was written down, which costs
// nothing while nothing was, and then fetches the page anew. Says so when the laptop is out of reach.
"use strict";

const EVERY_MS = 3000;
const ANSWER_WITHIN_MS = 2500;
const MISSES_BEFORE_WORDS = 2;

let misses = 0;
let timer = 0;
let asking = false;

function main() {
  return document.querySelector("main[data-follow]");
}

function busy() {
  const fields = Array.from(document.querySelectorAll("main input:not([type=hidden]), main textarea"));
  const typed = fields.some((field) => field === document.activeElement || field.value !== field.defaultValue);
  return typed || document.querySelector("form[data-sent]") !== null;
}

function within(url) {
  const stop = new AbortController();
  const late = setTimeout(() => stop.abort(), ANSWER_WITHIN_MS);
  return fetch(url, { cache: "no-cache", signal: stop.signal }).finally(() => clearTimeout(late));
}

function show(text) {
  const fresh = new DOMParser().parseFromString(text, "text/html").querySelector("main[data-follow]");
  if (!fresh) {
    return;
  }
  const held = document.activeElement && document.activeElement.getAttribute("href");
  main().replaceWith(document.adoptNode(fresh));
  if (held) {
    const again = Array.from(document.querySelectorAll("main a")).find((link) => link.getAttribute("href") === held);
    again?.focus({ preventScroll: true });
  }
  dispatchEvent(new Event("pagefresh"));
}

async function look() {
  const last = main().dataset.follow;
  const answer = await within(`/api/state?since=${last}`);
  const said = await answer.json();
  if (String(said.last_number) !== last && !busy()) {
    show(await (await within(location.href)).text());
  }
}

function reach(inReach) {
  misses = inReach ? 0 : misses + 1;
  document.querySelector("[data-out-of-reach]").hidden = misses < MISSES_BEFORE_WORDS;
}

async function turn() {
  clearTimeout(timer);
  if (asking || document.hidden || !main()) {
    return;
  }
  asking = true;
  try {
    await look();
    reach(true);
  } catch {
    reach(false);
  }
  asking = false;
  timer = setTimeout(turn, EVERY_MS);
}

if (main()) {
  timer = setTimeout(turn, EVERY_MS);
  document.addEventListener("visibilitychange", turn);
  addEventListener("pageshow", turn);
  addEventListener("online", turn);
}
