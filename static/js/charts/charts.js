// Draws every chart of the page from its own figures, again when the light changes or a part is swapped in.
import { config } from "./config.js";
import { steps } from "./steps.js";

const dark = matchMedia("(prefers-color-scheme: dark)");
const drawn = new Map(); // figure -> what Chart.js made of it

function draw(figure) {
  const data = JSON.parse(figure.querySelector('script[type="application/json"]').textContent);
  const place = figure.querySelector("[data-draw]");
  const first = !drawn.has(figure);
  place.hidden = false;
  if (data.across) place.style.height = `${Math.max(9, 5 + 2.2 * data.x.length)}rem`;
  drawn.get(figure)?.destroy();
  drawn.set(figure, new Chart(place.querySelector("canvas"), config(data, getComputedStyle(figure))));
  if (!first) return;
  figure.querySelector("[data-table]").open = false;
  steps(figure, data, () => drawn.get(figure));
}

function drawAll() {
  for (const [figure, chart] of drawn) {
    if (figure.isConnected) continue;
    chart.destroy();
    drawn.delete(figure);
  }
  for (const figure of document.querySelectorAll("[data-chart]")) {
    if (!drawn.has(figure) && figure.querySelector("canvas")) draw(figure);
  }
}

dark.addEventListener("change", () => [...drawn.keys()].forEach(draw));
document.addEventListener("htmx:after:swap", drawAll);
drawAll();
