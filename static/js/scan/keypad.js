// The large keys of the PIN page. The page works without them, with the device's own keyboard.
const form = document.querySelector("form[data-pin]");
const field = form.elements.pin;
const pad = form.querySelector("[data-keypad]");
// How many digits this person's last good PIN had, so that the last digit may send it.
const known = `pin-length-${form.dataset.pin}`;

function digits() {
  try {
    return Number(localStorage.getItem(known));
  } catch {
    return 0;
  }
}

function remember(length) {
  try {
    if (length) localStorage.setItem(known, length);
    else localStorage.removeItem(known);
  } catch {
    // A device that keeps nothing asks for the OK key each time.
  }
}

function typed() {
  if (digits() && field.value.length === digits()) form.requestSubmit();
}

pad.hidden = false;
if (form.querySelector(".error")) remember(0);
// Our own keys are larger than the device's: it need not open its keyboard too.
if (matchMedia("(pointer: coarse)").matches) field.inputMode = "none";

pad.addEventListener("click", (event) => {
  const key = event.target.closest("button")?.dataset.key;
  if (key === undefined) return;
  field.value = key === "back" ? field.value.slice(0, -1) : (field.value + key).slice(0, 8);
  if (key !== "back") typed();
});
field.addEventListener("input", typed);
form.addEventListener("submit", () => remember(field.value.length));
