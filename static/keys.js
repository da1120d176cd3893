// Gives every form a fresh sender's key whenever the page is shown, also when the phone goes back to it.
// A double press of one showing sends the same key twice, which counts once.
"use strict";

function freshKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function renewKeys() {
  for (const field of document.querySelectorAll('input[name="key"]')) {
    field.value = freshKey();
  }
}

addEventListener("pageshow", renewKeys);
addEventListener("pagefresh", renewKeys);
