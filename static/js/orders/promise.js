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

function failed(hidden) {
  return ({ target }) => {
    const notice = target.closest?.("#promise-panel")?.querySelector("[data-promise-failed]");
    if (notice) notice.hidden = hidden;
  };
}

document.addEventListener("htmx:response:error", failed(false));
document.addEventListener("htmx:error", failed(false));
document.addEventListener("htmx:after:swap", failed(true));

document.addEventListener("htmx:after:swap", () => {
  const said = document.querySelector("[data-promise-said]");
  const says = [...document.querySelectorAll("[data-promise-says]")];
  const text = says.map((line) => line.textContent.replace(/\s+/g, " ").trim()).join(". ");
  if (said && said.textContent !== text) said.textContent = text;
});
