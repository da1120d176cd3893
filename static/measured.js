// While a number is out of its limits the button of the check writes down what fails; it does not say that all is sound.
// The laptop judges again, also without this script.

function judge(field) {
  const value = Number(field.value.trim().replace(",", "."));
  const { low, high } = field.dataset;
  const typed = field.value.trim() !== "" && Number.isFinite(value);
  const out = typed && ((low !== "" && value < Number(low)) || (high !== "" && value > Number(high)));
  field.toggleAttribute("data-out", out);
  field.setAttribute("aria-invalid", String(out));
}

function judgeAll() {
  document.querySelectorAll("input[data-low]").forEach(judge);
}

addEventListener("input", (event) => event.target.matches?.("input[data-low]") && judge(event.target));
addEventListener("pagefresh", judgeAll);
judgeAll();
