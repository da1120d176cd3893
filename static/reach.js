// Knows whether the laptop is in reach: asks it every few seconds, which costs nothing while nothing changed.
// Tells the rest of the page by events: "reach" after every answer or miss, "news" when something was written down or
// what somebody has in hand lapsed,
// "trouble" with what is wrong with the laptop, "alarm" with the mark of what stands above every page.
// The browser's own word on being online is not asked: in a Wi-Fi without internet it is often wrong.

/** Where the pages of this kit begin: at the root, or below it where one laptop serves several kits. */
export const SITE = new URL("../../", import.meta.url);

const EVERY_MS = 2500;
const ANSWER_WITHIN_MS = 2500;
const MISSES_BEFORE_WORDS = 2;

let misses = 0;
let timer = 0;
let asking = null;

/** Fetch with a limit of time; throws if no answer came. */
export function ask(url, options = {}, withinMs = ANSWER_WITHIN_MS) {
  const stop = new AbortController();
  const late = setTimeout(() => stop.abort(), withinMs);
  return fetch(url, { cache: "no-cache", signal: stop.signal, ...options }).finally(() => clearTimeout(late));
}

/** False once two questions in a row were not answered. */
export function inReach() {
  return misses < MISSES_BEFORE_WORDS;
}

/** Ask now, whatever the time; true if the laptop answered. */
export function lookNow() {
  asking = asking ?? turn();
  return asking;
}

function say(answered) {
  misses = answered ? 0 : misses + 1;
  const words = document.querySelector("[data-out-of-reach]");
  if (words && words.hidden !== inReach()) {
    words.hidden = inReach();
  }
  dispatchEvent(new CustomEvent("reach", { detail: { answered } }));
}

async function question() {
  const main = document.querySelector("main[data-follow]");
  const last = main?.dataset.follow;
  if (last === undefined) {
    const answer = await ask(new URL("api/alarm", SITE));
    dispatchEvent(new CustomEvent("alarm", { detail: (await answer.json()).alarm }));
    return;
  }
  const answer = await ask(new URL(`api/state?since=${last}`, SITE));
  const said = await answer.json();
  dispatchEvent(new CustomEvent("trouble", { detail: said.trouble }));
  dispatchEvent(new CustomEvent("alarm", { detail: said.alarm }));
  // What people have in hand lapses by the clock, without an entry.
  if (String(said.last_number) !== last || (said.duties ?? "") !== (main.dataset.duties ?? "")) {
    dispatchEvent(new Event("news"));
  }
}

async function turn() {
  clearTimeout(timer);
  let answered = true;
  try {
    await question();
  } catch {
    answered = false;
  }
  asking = null;
  say(answered);
  timer = setTimeout(wake, EVERY_MS);
  return answered;
}

// A hidden page asks nothing; timers that the phone froze are made up for when it is looked at again.
function wake() {
  if (!document.hidden) {
    lookNow();
  }
}

timer = setTimeout(wake, EVERY_MS);
document.addEventListener("visibilitychange", wake);
addEventListener("pageshow", (event) => event.persisted && wake());
addEventListener("focus", wake);
addEventListener("online", wake);
