// Reads a chart out, one place along x at a time: by arrow keys, by mouse, by finger.
const KEYS = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };

export function steps(figure, data, chartNow) {
  const place = figure.querySelector("[data-draw]");
  const line = figure.querySelector("[data-read]");
  const last = data.x.length - 1;
  let at;
  line.hidden = false;
  place.tabIndex = 0;
  place.setAttribute("role", "application");
  place.setAttribute("aria-roledescription", "chart");
  place.setAttribute("aria-label", `${figure.querySelector("figcaption").textContent}: step through it with the arrow keys`);

  function read(index) {
    if (index === at) return;
    at = index;
    line.textContent = spoken(data, at);
    const chart = chartNow();
    chart.readAt = at;
    chart.draw();
  }

  place.addEventListener("keydown", (event) => {
    const next = target(event.key, at, last);
    if (next === undefined) return;
    event.preventDefault();
    read(next);
  });
  const pointed = ({ offsetX, offsetY }) => read(nearest(chartNow(), data, offsetX, offsetY));
  place.addEventListener("pointermove", pointed);
  place.addEventListener("pointerdown", pointed);
}

function target(key, at, last) {
  if (key === "Home") return 0;
  if (key === "End") return last;
  if (!KEYS[key]) return undefined;
  if (at === undefined) return KEYS[key] > 0 ? 0 : last;
  return Math.min(last, Math.max(0, at + KEYS[key]));
}

function nearest(chart, data, x, y) {
  const axis = chart.scales[data.across ? "y" : "x"];
  const along = data.across ? y : x;
  const away = data.x.map((value, i) => Math.abs(axis.getPixelForValue(data.numeric ? value : i) - along));
  return away.indexOf(Math.min(...away));
}

/** "12 May: passed 3, 2 to 5; waiting, none known" */
function spoken(data, at) {
  const figure = (value) => value.toFixed(data.decimals);
  const said = data.series.map(({ name, values, low, high, flagged }) => {
    if (values[at] === null) return `${name}: none known`;
    const known = low && low[at] !== null && high[at] !== null;
    const between = known ? `, between ${figure(low[at])} and ${figure(high[at])}` : "";
    return `${name}: ${figure(values[at])}${between}${flagged.includes(at) ? ", marked" : ""}`;
  });
  return `${data.x[at]}. ${said.join("; ")}`;
}
