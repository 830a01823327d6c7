// The floor by keyboard and by pointer, and what keeps the screen honest when nobody answers.
// Without this file every board is a link in the tab order and the page can be loaded again.

const pointed = document.querySelector("#pointed");
const slots = (root) => [...root.querySelectorAll(".slot")];
const racksWithBoards = () =>
  [...document.querySelectorAll(".rack")].filter((rack) => rack.querySelector(".slot"));

// One tab stop a rack; arrows walk along it and to the next one.
function oneStopARack() {
  for (const rack of racksWithBoards()) {
    slots(rack).forEach((slot, index) => (slot.tabIndex = index ? -1 : 0));
  }
}

function stepTo(slot) {
  if (!slot) return;
  for (const other of slots(slot.closest(".rack"))) other.tabIndex = -1;
  slot.tabIndex = 0;
  slot.focus();
}

document.addEventListener("keydown", (event) => {
  const slot = event.target.closest?.(".slot");
  if (!slot || event.ctrlKey || event.altKey || event.metaKey) return;
  const rack = slot.closest(".rack");
  const here = slots(rack);
  const at = here.indexOf(slot);
  const racks = racksWithBoards();
  const beside = (step) => {
    const next = racks[racks.indexOf(rack) + step];
    return next && slots(next)[Math.min(at, slots(next).length - 1)];
  };
  const goal = {
    ArrowRight: () => here[at + 1],
    ArrowLeft: () => here[at - 1],
    ArrowDown: () => beside(1),
    ArrowUp: () => beside(-1),
    Home: () => here[0],
    End: () => here.at(-1),
  }[event.key];
  if (!goal) return;
  event.preventDefault();
  stepTo(goal());
});

// What a board says when it is pointed at; a screen reader reads the link's own name.
function say(slot) {
  pointed.hidden = !slot;
  pointed.textContent = slot?.getAttribute("aria-label") ?? "";
}
for (const kind of ["pointerover", "focusin"]) {
  document.addEventListener(kind, (event) => {
    if (event.pointerType !== "touch") say(event.target.closest?.(".slot"));
  });
}

// The racks are swapped whole: the board that had the focus gets it back.
let focused = null;
document.addEventListener("htmx:before:swap", (event) => {
  // An error's page must not take the place of the racks: they stay, and are said to be old.
  if ((event.detail?.ctx?.response?.status ?? 0) >= 400) event.preventDefault();
  focused = document.activeElement?.dataset?.board ?? null;
});
document.addEventListener("htmx:after:swap", () => {
  oneStopARack();
  if (focused) stepTo(document.querySelector(`.slot[data-board="${focused}"]`));
});

let answered = Date.now();
document.addEventListener("htmx:after:request", (event) => {
  const status = event.detail?.ctx?.response?.status ?? 0;
  if (status >= 200 && status < 400) answered = Date.now();
  showIfOld();
});
function showIfOld() {
  const old = document.querySelector("#floor-old");
  if (old) old.hidden = Date.now() - answered < 50_000;
}
setInterval(showIfOld, 5_000);

oneStopARack();
