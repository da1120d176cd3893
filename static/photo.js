// Shrinks a photo in the phone before it is sent, and sends it as soon as it is taken.
// Without this script the form sends the whole photo at a press of its button.
"use strict";

const LONGEST_PX = 2400;
const JPEG_QUALITY = 0.8;

async function shrunk(file) {
  const bitmap = await createImageBitmap(file);
  const scale = LONGEST_PX / Math.max(bitmap.width, bitmap.height);
  if (scale >= 1) {
    return file;
  }
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(bitmap.width * scale);
  canvas.height = Math.round(bitmap.height * scale);
  canvas.getContext("2d").drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", JPEG_QUALITY));
  return blob ? new File([blob], "photo.jpg", { type: "image/jpeg" }) : file;
}

async function send(form, field) {
  form.querySelector("[data-photo-says]").textContent = form.dataset.photo;
  try {
    const list = new DataTransfer();
    list.items.add(await shrunk(field.files[0]));
    field.files = list.files;
  } catch {
    // The phone cannot shrink it: the whole photo goes as it is.
  }
  form.requestSubmit();
}

function prepare() {
  for (const form of document.querySelectorAll("form[data-photo]")) {
    form.classList.add("by-itself");
  }
}

prepare();
addEventListener("pagefresh", prepare);
addEventListener("change", (event) => {
  const form = event.target.closest("form[data-photo]");
  if (form && event.target.type === "file" && event.target.files.length) {
    send(form, event.target);
  }
});
