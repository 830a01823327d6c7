// Small things every page shares: puts the focus on what went wrong, keeps shown ages honest, and
// keeps what is typed while a part of the page is on its way.

function age(seconds) {
  const minutes = Math.max(0, Math.floor(seconds / 60));
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 24) return `${hours} h ${minutes % 60} min`;
  return `${Math.floor(hours / 24)} d ${hours % 24} h`;
}

// <time data-since="ISO"> shows how long ago that was, without asking the server again.
function showAges() {
  const now = Date.now();
  for (const element of document.querySelectorAll("time[data-since]")) {
    element.textContent = age((now - Date.parse(element.dataset.since)) / 1000);
  }
}

// A row of pages that slides sideways shows the one it is on.
function showCurrent() {
  for (const row of document.querySelectorAll(".top-nav, .room-row")) {
    const here = row.querySelector("[aria-current]")?.getBoundingClientRect();
    if (here) row.scrollLeft += here.left + here.width / 2 - row.clientWidth / 2;
  }
}

// A part that the server drew holds the values as they were when it was asked. Those typed since
// then are written into it before it takes the place of the old one.
const TYPED_INTO = "input:not([type=hidden]):not([type=file]), select, textarea";
const asked = new WeakMap(); // request -> Map(field -> its state then)
const typed = new Set(); // fields that hold what the server has not seen
const stateOf = ({ value, checked }) => `${checked} ${value}`;

document.addEventListener("htmx:before:request", ({ detail: { ctx } }) => {
  const target = typeof ctx.target === "string" ? document.querySelector(ctx.target) : ctx.target;
  const fields = [...(target?.querySelectorAll(TYPED_INTO) ?? [])].filter((field) => field.id);
  asked.set(ctx, new Map(fields.map((field) => [field, stateOf(field)])));
});

document.addEventListener("htmx:before:swap", ({ detail }) => {
  for (const [field, before] of asked.get(detail?.ctx) ?? []) {
    if (stateOf(field) === before) continue;
    for (const { fragment } of detail.tasks) {
      const drawn = fragment?.querySelector(`#${CSS.escape(field.id)}`);
      if (!drawn) continue;
      if (["checkbox", "radio"].includes(drawn.type)) drawn.checked = field.checked;
      else drawn.value = field.value;
      typed.add(drawn);
    }
  }
});

// The focus moves once, to the first problem of a page that was loaded: never with a swap.
document.addEventListener("DOMContentLoaded", () => {
  document.querySelector("[data-focus]")?.focus();
  showCurrent();
  showAges();
  setInterval(showAges, 20_000);
});
document.addEventListener("htmx:after:swap", () => {
  for (const field of typed) field.dispatchEvent(new Event("input", { bubbles: true }));
  typed.clear();
  showAges();
});
