// Small things every page shares: puts the focus on what went wrong, keeps shown ages honest.
const focusOnProblem = (root) => root.querySelector("[data-focus]")?.focus();

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
  for (const row of document.querySelectorAll(".top-nav, .reading")) {
    const here = row.querySelector("[aria-current]")?.getBoundingClientRect();
    if (here) row.scrollLeft += here.left + here.width / 2 - row.clientWidth / 2;
  }
}

document.addEventListener("DOMContentLoaded", () => {
  focusOnProblem(document);
  showCurrent();
  showAges();
  setInterval(showAges, 20_000);
});
document.addEventListener("htmx:after:swap", () => {
  focusOnProblem(document);
  showAges();
});
