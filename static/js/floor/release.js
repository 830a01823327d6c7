// One button for all the ticks; without this file each board is ticked by hand.
const button = document.querySelector("[data-tick-all]");
const ticks = [...document.querySelectorAll("input[name=board]")];
if (button && ticks.length > 1) {
  button.hidden = false;
  button.addEventListener("click", () => {
    const all = ticks.every((tick) => tick.checked);
    for (const tick of ticks) tick.checked = !all;
    button.textContent = all ? "Tick all" : "Untick all";
  });
}
