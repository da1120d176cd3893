// Says on an open page what is wrong with the laptop, as soon as the phone hears of it, and takes it away when it is over.

addEventListener("trouble", (event) => {
  const box = document.querySelector("[data-laptop-trouble]");
  const said = Array.from(box.children, (line) => line.textContent);
  if (said.join("\n") === event.detail.join("\n")) {
    return;
  }
  box.replaceChildren(...event.detail.map((words) => {
    const line = document.createElement("p");
    line.className = "told no";
    line.textContent = words;
    return line;
  }));
});
