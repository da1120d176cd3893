// Sends what waits, one after the other in the order of the presses. The sender's key in each makes it count once,
// however often it is sent. What is refused stays, with the laptop's words, until somebody has read it.
import { all, put, remove } from "./kept.js";
import { ask } from "./reach.js";

const LAPTOP = "raisebook";      // what the site laptop calls itself in every answer
const WITHIN_MS = 4000;
const WITHIN_WITH_PHOTO_MS = 30000;
const TRIES_IN_A_ROW = 5;
const STUCK_AGAIN_AFTER_MS = 60000;

let running = null;

/** Form fields as they can be kept: photos as bytes. */
export async function packed(data) {
  const one = async ([name, value]) =>
    [name, value instanceof File ? { bytes: await value.arrayBuffer(), type: value.type, file: value.name } : value];
  const chosen = Array.from(data.entries()).filter(([, value]) => !(value instanceof File) || value.size > 0);
  return Promise.all(chosen.map(one));
}

function unpacked(fields) {
  const data = fields.some(([, value]) => typeof value !== "string") ? new FormData() : new URLSearchParams();
  for (const [name, value] of fields) {
    data.append(name, typeof value === "string" ? value : new File([value.bytes], value.file, { type: value.type }));
  }
  return data;
}

/** Send everything that waits; gives what became of each: {item, outcome, page, url}. */
export function sendAll() {
  running = running ?? sendInOrder().finally(() => { running = null; });
  return running;
}

async function sendInOrder() {
  const done = [];
  for (const item of await all()) {
    if (item.refused || (stuck(item) && Date.now() - item.tried < STUCK_AGAIN_AFTER_MS)) {
      continue;
    }
    const result = await send(item);
    done.push(result);
    if (result.outcome === "waits" && !stuck(result.item)) {
      break;
    }
  }
  dispatchEvent(new CustomEvent("waiting", { detail: done }));
  return done;
}

// One at which the laptop trips again and again is tried now and then, and holds up no other.
function stuck(item) {
  return (item.faults ?? 0) >= TRIES_IN_A_ROW;
}

async function send(item) {
  const body = unpacked(item.fields);
  let answer, page;
  try {
    answer = await ask(item.url, { method: "POST", body }, body instanceof FormData ? WITHIN_WITH_PHOTO_MS : WITHIN_MS);
    page = await answer.text();
  } catch {
    return { item, outcome: "waits" };
  }
  if (answer.headers.get("server") !== LAPTOP) {
    return { item, outcome: "waits" };      // another network's router or door page, whatever it says
  }
  return settle(item, answer, page);
}

// 2xx: written down. 403: this phone has not joined, the item waits for that. 429 and 5xx: later. Whatever the laptop
// trips over, the item stays in the phone until it is written down or refused in words.
async function settle(item, answer, page) {
  const result = { item, page, url: answer.url };
  if (answer.ok) {
    await remove(item.order);
    return { ...result, outcome: "written" };
  }
  if (answer.status >= 500 || [403, 429].includes(answer.status)) {
    const faults = (item.faults ?? 0) + (answer.status === 500 ? 1 : 0);
    result.item = { ...item, faults, tried: Date.now(), says: words(page) };
    await put(result.item);
    return { ...result, outcome: "waits" };
  }
  await put({ ...item, refused: words(page) });
  return { ...result, outcome: "refused" };
}

function words(page) {
  const main = new DOMParser().parseFromString(page, "text/html").querySelector("main");
  const said = main?.querySelector("[role=alert]") ?? main?.querySelector("h1");
  return said?.textContent.trim().replace(/\s+/g, " ") || "?";
}
