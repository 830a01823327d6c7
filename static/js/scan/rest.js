// On a shared tablet: back to the names when the person at it is forgotten, keeping the board.
const WARN_SECONDS = 20;
let opened = Date.now();

function look() {
  const box = document.querySelector("[data-forget-after]");
  if (!box) return;
  const left = Number(box.dataset.forgetAfter) - (Date.now() - opened) / 1000;
  box.hidden = left > WARN_SECONDS;
  box.querySelector("[data-left]").textContent = Math.max(0, Math.ceil(left));
  if (left <= 0) {
    location.replace(`${box.dataset.names}?next=${encodeURIComponent(location.pathname)}`);
  }
}

// Each page from the server starts the time again there, so it does here.
document.addEventListener("htmx:after:swap", () => {
  opened = Date.now();
});
document.addEventListener("click", (event) => {
  if (event.target.closest("[data-stay]")) location.reload();
});
setInterval(look, 1000);
look();
