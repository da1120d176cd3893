// Shows on an open page within seconds that building was stopped, or that the wind is too much, whatever else the
// page does meanwhile, and takes it away when it is over.
import { ask, SITE } from "./reach.js";

let fetching = false;

async function renew(box) {
  const answer = await ask(new URL("alarm", SITE));
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const fresh = page.querySelector("[data-alarm]");
  if (answer.ok && fresh) {
    box.replaceWith(document.adoptNode(fresh));
    if (!fresh.hidden) {
      navigator.vibrate?.([400, 200, 400, 200, 400]);
    }
  }
}

addEventListener("alarm", async (event) => {
  const box = document.querySelector("[data-alarm]");
  if (fetching || !box || box.dataset.alarm === event.detail) {
    return;
  }
  fetching = true;
  try {
    await renew(box);
  } catch {
    // Out of reach: the next answer brings it again.
  }
  fetching = false;
});
