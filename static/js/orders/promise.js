// Puts the day that was worked out into the date field, and says so when none could be. An answer
// comes with every pause in typing: a screen reader hears of it when it is another one.
document.addEventListener("click", ({ target }) => {
  const button = target.closest?.("[data-use-date]");
  const field = button && document.querySelector("#id_promised_on");
  if (!field) return;
  field.value = button.dataset.useDate;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  field.focus();
});

// No day is left standing that was worked out for another board than the one now typed.
function showFailed({ target }, hasFailed) {
  const panel = target.closest?.("#promise-panel");
  const notice = panel?.querySelector("[data-promise-failed]");
  if (!notice) return;
  notice.hidden = !hasFailed;
  if (hasFailed) panel.querySelector("#promise-answer")?.replaceChildren();
}

document.addEventListener("htmx:error", (event) => showFailed(event, true));
document.addEventListener("htmx:after:request", (event) => {
  showFailed(event, (event.detail?.ctx?.response?.status ?? 0) >= 400);
});

document.addEventListener("htmx:after:swap", () => {
  const said = document.querySelector("[data-promise-said]");
  const says = [...document.querySelectorAll("[data-promise-says]")];
  const text = says.map((line) => line.textContent.replace(/\s+/g, " ").trim()).join(". ");
  if (said && said.textContent !== text) said.textContent = text;
});
