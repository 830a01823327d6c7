// Draws every chart of the page from its own figures, again when the light changes or a part is swapped in.
import { config, heightOf, looks } from "./config.js";
import { key } from "./key.js";
import { steps } from "./steps.js";

const dark = matchMedia("(prefers-color-scheme: dark)");
const drawn = new Map(); // figure -> what Chart.js made of it

function draw(figure) {
  const data = JSON.parse(figure.querySelector('script[type="application/json"]').textContent);
  const place = figure.querySelector("[data-draw]");
  const first = !drawn.has(figure);
  const style = getComputedStyle(figure);
  const colour = (name) => style.getPropertyValue(name).trim();
  const own = looks(data, colour);
  place.hidden = false;
  if (data.across) place.style.height = `${heightOf(data)}rem`;
  key(figure, data, own);
  drawn.get(figure)?.destroy();
  const canvas = place.querySelector("canvas");
  drawn.set(figure, new Chart(canvas, config(data, own, colour, style.fontFamily)));
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
