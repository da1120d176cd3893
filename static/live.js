// Live scanning: reads labels from the camera's picture, in the phone where it can, else on the laptop, which gets a
// small picture at a time and at most one after the other.
import { ask, SITE } from "./reach.js";

const PAUSE_MS = 350;
const PICTURE_PX = 960;
const JPEG_QUALITY = 0.7;
const ANSWER_WITHIN_MS = 5000;

const box = document.querySelector("[data-live-scan]");
const video = box.querySelector("video");

function say(words) {
  const line = box.querySelector("[data-live-says]");
  if (line.textContent !== words) {
    line.textContent = words;
  }
}

async function detector() {
  try {
    const known = await BarcodeDetector.getSupportedFormats();
    return known.includes("qr_code") ? new BarcodeDetector({ formats: ["qr_code"] }) : null;
  } catch {
    return null;
  }
}

async function picture() {
  const scale = Math.min(1, PICTURE_PX / Math.max(video.videoWidth, video.videoHeight));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(video.videoWidth * scale);
  canvas.height = Math.round(video.videoHeight * scale);
  canvas.getContext("2d").drawImage(video, 0, 0, canvas.width, canvas.height);
  return new Promise((done) => canvas.toBlob(done, "image/jpeg", JPEG_QUALITY));
}

async function onLaptop() {
  const answer = await ask(new URL("live", SITE), { method: "POST", body: await picture() }, ANSWER_WITHIN_MS);
  return answer.ok ? answer.json() : {};
}

async function inPhone(reader) {
  const found = await reader.detect(video);
  return found.length ? { url: new URL(`find?q=${encodeURIComponent(found[0].rawValue)}`, SITE) } : {};
}

async function look(reader) {
  let said = {};
  try {
    said = await (reader ? inPhone(reader) : onLaptop());
  } catch {
    // Out of reach, or no picture yet: the next round tries again.
  }
  if (said.url) {
    navigator.vibrate?.(80);
    location.assign(said.url);
    return;
  }
  say(said.message ?? box.dataset.looking);
  setTimeout(() => look(reader), document.hidden ? 2000 : PAUSE_MS);
}

async function start() {
  box.hidden = false;
  document.querySelector("[data-live-cannot]").hidden = true;
  try {
    video.srcObject = await navigator.mediaDevices.getUserMedia(
      { audio: false, video: { facingMode: "environment", width: { ideal: 1280 } } });
    await video.play();
  } catch {
    say(box.dataset.noCamera);
    return;
  }
  look(await detector());
}

// A page that comes back from the phone's memory has lost its camera.
addEventListener("pageshow", (event) => event.persisted && location.reload());

if (isSecureContext && navigator.mediaDevices?.getUserMedia) {
  start();
}
