// Turns what a page says grey, and says why: half a minute without an answer of the laptop, a log that went on while
// somebody types here, or entries that still wait in this phone. Nothing that looks like "now" may be older than that.
const AFTER_MS = 30000;
const LOOK_MS = 5000;

let answered = Date.now();
let olderThanLog = null;

function why() {
  const number = document.querySelector("main[data-follow]")?.dataset.follow;
  if (number === undefined) {
    return "";
  }
  if (Date.now() - answered > AFTER_MS) {
    return "late";
  }
  if (document.querySelector("[data-waiting]")?.hidden === false) {
    return "own";
  }
  return number === olderThanLog ? "older" : "";
}

function show() {
  const reason = why();
  document.querySelector("main").classList.toggle("stale", reason !== "");
  const line = document.querySelector("[data-stale]");
  line.hidden = reason === "";
  const words = reason ? line.dataset[reason] : "";
  if (line.textContent !== words) {
    line.textContent = words;
  }
}

addEventListener("reach", (event) => {
  answered = event.detail.answered ? Date.now() : answered;
  show();
});
addEventListener("news", () => {
  olderThanLog = document.querySelector("main[data-follow]")?.dataset.follow ?? null;
  show();
});
addEventListener("pagefresh", show);
addEventListener("waiting", () => setTimeout(show, 100));
document.addEventListener("visibilitychange", show);
setInterval(show, LOOK_MS);
