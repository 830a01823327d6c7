// From a chart's figures and the page's colours to what Chart.js draws.
import { looksOf } from "./looks.js";
import { NAME, apart, errorBars, flags, guide, marks } from "./overlays.js";

const LONG = 16; // letters; a longer name of a bar goes on in the next line

/** How each series looks, by the colours of its figure. */
export const looks = (data, colour) => {
  const calm = data.series.some((series) => series.calm);
  return data.series.map((series) => looksOf(series, series.look, data.series.length, colour, calm));
};

/** `data` is Chart.drawn of stages/charts/chart.py, `own` the look of each series, `colour` gives
 *  that of a token. */
export function config(data, own, colour, family) {
  return {
    type: data.series.every(({ kind }) => kind === "bars") ? "bar" : "line",
    data: {
      labels: data.x,
      datasets: data.series.flatMap((series, at) => datasets(data, series, at, own[at])),
    },
    options: options(data, colour, family),
    plugins: [apart(data), errorBars(data, own, colour), flags(data, colour), marks(data, colour), guide(colour)],
  };
}

// The place along x, and the value: Chart.js wants pairs on an axis of numbers.
const pairs = (data, values) =>
  data.numeric ? values.map((y, i) => ({ x: data.x[i], y })) : values;

function datasets(data, series, at, look) {
  const bars = series.kind === "bars";
  const stack = series.stack || `own-${at}`; // of no stack: on its own feet
  const shown = {
    type: bars ? "bar" : "line",
    label: series.name,
    data: pairs(data, series.values),
    stack,
    order: bars ? 2 : 1,
    stepped: series.kind === "steps" ? "before" : false,
    showLine: series.kind !== "points",
    fill: series.kind === "area" ? underneath(data, series, at) : false,
    rackbound: at,
    ...look,
  };
  const band = series.low && !["bars", "points"].includes(series.kind);
  return band ? [shown, ...bandOf(data, series, at, look)] : [shown];
}

// An area stands on the one before it in its stack, which is the data set just before.
function underneath(data, series, at) {
  const below = data.series[at - 1];
  return series.stack && below?.kind === "area" && below.stack === series.stack ? "-1" : "origin";
}

function bandOf(data, series, at, look) {
  const edge = (values, name, fill) => ({
    type: "line",
    label: `${series.name}, ${name}`,
    data: pairs(data, values),
    stack: `band-${at}-${name}`,
    order: 3,
    stepped: series.kind === "steps" ? "before" : false,
    fill,
    backgroundColor: look.wash,
    borderColor: look.borderColor,
    borderWidth: 0.75,
    pointRadius: 0,
    edge: true,
  });
  return [edge(series.low, "low", false), edge(series.high, "high", "-1")];
}

function options(data, colour, family) {
  const [along, up] = data.across ? ["y", "x"] : ["x", "y"];
  const text = { color: colour("--pencil"), font: { family, size: 13 } };
  const grid = { color: colour("--line"), tickColor: colour("--line") };
  const reach = data.series.flatMap(({ low, high }) => [...(low ?? []), ...(high ?? [])]);
  reach.push(...data.marks.map(({ value }) => value));
  const ends = reach.filter((value) => value !== null);
  // Of days and numbers some are enough; of names without a figure in them each is told.
  const named = !data.numeric && !data.x.some((one) => /\d/.test(one));
  const whole = data.series.some(({ kind }) => kind === "bars" || kind === "area");
  return {
    animation: false,
    responsive: true,
    maintainAspectRatio: false,
    normalized: true,
    indexAxis: along,
    events: [], // what stands under a finger is read out by steps.js, for hand and keys alike
    layout: { padding: { top: data.across ? 6 + NAME * data.marks.length : 6, right: 8 } },
    scales: {
      [along]: {
        type: data.numeric ? "linear" : "category",
        offset: data.series.some(({ kind }) => kind === "bars" || (kind === "points" && !data.numeric)),
        stacked: data.series.some(({ stack }) => stack),
        title: { display: true, text: data.x_name, ...text, color: colour("--lead") },
        grid: { ...grid, display: data.numeric },
        border: { color: colour("--lead") },
        ticks: {
          ...text,
          maxRotation: named ? 70 : 0,
          autoSkip: !data.across && !named,
          autoSkipPadding: 22,
          ...(data.numeric ? {} : { callback: (i) => (named || data.across ? folded(data.x[i]) : data.x[i]) }),
        },
      },
      [up]: {
        beginAtZero: whole,
        suggestedMin: ends.length ? Math.min(...ends) : undefined,
        suggestedMax: ends.length ? Math.max(...ends) : undefined,
        stacked: data.series.some(({ stack }) => stack),
        title: { display: true, text: data.y_name, ...text, color: colour("--lead") },
        grid,
        border: { display: false },
        ticks: { ...text, maxRotation: 0, precision: data.decimals, maxTicksLimit: 7 },
      },
    },
    plugins: {
      tooltip: { enabled: false },
      legend: { display: false }, // key.js writes it, as text
    },
  };
}

/** How high a chart of bars sideways wants to be, in rem. */
export function heightOf({ x }) {
  const most = Math.max(...x.map((name) => folded(`${name}`).length));
  return 6 + x.length * Math.max(2.2, 1.2 * most);
}

/** A long name over several lines, broken between words. */
function folded(name) {
  const lines = [""];
  for (const word of name.split(" ")) {
    const last = lines.at(-1);
    if (last && last.length + word.length >= LONG) lines.push(word);
    else lines[lines.length - 1] = last ? `${last} ${word}` : word;
  }
  return lines;
}
