// The clocks of the wall screen, and what keeps it honest when nobody answers.
// Without this file the boards stand there as they were when the page was opened.
import { keepAwake } from "./awake.js";
import { showPage, turnPages } from "./pages.js";

const SILENT_MS = 40_000;
const clock = document.querySelector("#wall-clock");
let ahead = 0; // the server's clock less this device's
let answered = Date.now();

const now = () => Date.now() + ahead;
const readClock = () => (ahead = Date.parse(document.querySelector("#wall").dataset.now) - Date.now());
const hour = (moment) =>
  new Date(moment).toLocaleTimeString("en-GB", {
    hour: "2-digit",
    minute: "2-digit",
    timeZone: clock.dataset.zone,
  });

function span(ms) {
  const minutes = Math.max(0, Math.floor(ms / 60_000));
  if (minutes < 60) return `${minutes} min`;
  if (minutes < 1440) return `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
  return `${Math.floor(minutes / 1440)} d ${Math.floor(minutes / 60) % 24} h`;
}

function tell(place, words) {
  const at = document.querySelector(place);
  if (at.textContent !== words) at.textContent = words;
  if (at.hidden === !words) return;
  at.hidden = !words;
  showPage();
}

function tick() {
  clock.textContent = hour(now());
  for (const time of document.querySelectorAll("[data-since]")) {
    time.textContent = span(now() - Date.parse(time.dataset.since));
  }
  for (const time of document.querySelectorAll("[data-until]")) {
    const left = Date.parse(time.dataset.until) - now();
    time.textContent = left > 0 ? span(left + 59_999) : "over";
  }
  const silent = Date.now() - answered > SILENT_MS;
  tell("#wall-silent", silent ? `No signal since ${hour(answered + ahead)}` : "");
}

document.addEventListener("htmx:before:swap", (event) => {
  // An error's page must not take the place of the boards: they stay, and are said to be old.
  if ((event.detail?.ctx?.response?.status ?? 0) >= 400) event.preventDefault();
});
document.addEventListener("htmx:after:swap", () => {
  readClock();
  showPage();
  tick();
});
document.addEventListener("htmx:after:request", (event) => {
  const status = event.detail?.ctx?.response?.status ?? 0;
  if (status >= 200 && status < 400) answered = Date.now();
});

readClock();
turnPages();
keepAwake((words) => tell("#wall-awake", words));
tick();
setInterval(tick, 1_000);
