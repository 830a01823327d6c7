// Choosing a customer without leaving the keyboard: Enter or arrow down goes from the search to
// the first one found; what was searched for is the start of somebody new.
const find = document.querySelector("#id_find");

let wanted = false;

// Who types fast presses Enter before the list has followed: nobody is chosen from an older list.
const isOfNow = () => document.querySelector("#found [data-words]")?.dataset.words === find.value;

function choose() {
  const first = document.querySelector("#found input[type=radio]")
    ?? document.querySelector("input[type=radio][data-newcomer]");
  if (!first) return;
  first.focus();
  first.click();
}

find?.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" && event.key !== "ArrowDown") return;
  event.preventDefault();
  wanted = !isOfNow();
  if (!wanted) choose();
});

find?.addEventListener("input", () => {
  wanted = false;
});

// Who chooses while a list is on its way has chosen all the same.
let chosen = null;

document.addEventListener("htmx:before:swap", () => {
  chosen = document.querySelector("#found input:checked")?.value;
});

document.addEventListener("htmx:after:swap", () => {
  const same = chosen && document.querySelector(`#found input[value="${CSS.escape(chosen)}"]`);
  if (same && !document.querySelector("#who-people input:checked")) same.checked = true;
  if (!wanted || !isOfNow()) return;
  wanted = false;
  choose();
});

document.addEventListener("change", ({ target }) => {
  if (!target.matches?.("input[data-newcomer]")) return;
  const [name, phone, email] = ["name", "phone", "email"].map((field) => target.form.elements[field]);
  const typed = find.value.trim();
  if (!typed || name.value || phone.value || email.value) return;
  const field = typed.includes("@") ? email : /[a-z]/i.test(typed) || !/\d/.test(typed) ? name : phone;
  field.value = typed;
  field.dispatchEvent(new Event("input", { bubbles: true }));
});

// With scripts the list follows the typing, so the button has nothing to do.
document.querySelector("[data-look]")?.setAttribute("hidden", "");
