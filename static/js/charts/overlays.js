// What Chart.js does not draw by itself: error bars, flagged points, named lines, the line of the reader.
const CAP = 5;
const APART = 12;
/** How high the name of a line is, in px. */
export const NAME = 16;

const metaOf = (chart, at) => chart.getSortedVisibleDatasetMetas().find(({ _dataset, index }) =>
  (chart.data.datasets[index] ?? _dataset).rackbound === at);

const valueAxis = (chart) => chart.scales[chart.options.indexAxis === "y" ? "x" : "y"];

/** Points of one place side by side: one must not hide the other. */
export const apart = (data) => ({
  id: "apart",
  afterUpdate(chart) {
    const ones = data.series.flatMap(({ kind }, at) => (kind === "points" ? [at] : []));
    if (data.numeric || ones.length < 2) return;
    const along = data.across ? "y" : "x";
    ones.forEach((at, place) => {
      for (const point of metaOf(chart, at).data) point[along] += APART * (place - (ones.length - 1) / 2);
    });
  },
});

/** An error bar from low to high at each value of bars and points. */
export const errorBars = (data, looks, colour) => ({
  id: "error-bars",
  afterDatasetsDraw(chart) {
    const axis = valueAxis(chart);
    data.series.forEach((series, at) => {
      if (!series.low || !["bars", "points"].includes(series.kind)) return;
      const bars = series.kind === "bars";
      metaOf(chart, at).data.forEach((point, i) => {
        if (series.low[i] === null || series.high[i] === null) return;
        const ends = [series.low[i], series.high[i]].map((value) => axis.getPixelForValue(value));
        whisker(chart.ctx, point, ends, axis.isHorizontal());
        // Pale and broad first, so that it stands out from the bar it crosses.
        if (bars) stroke(chart.ctx, colour("--paper"), 4);
        stroke(chart.ctx, bars ? colour("--pencil") : looks[at].borderColor, 1.5);
      });
    });
  },
});

function whisker(pen, { x, y }, [from, to], level) {
  const at = (along, off) => (level ? [along, y + off] : [x + off, along]);
  pen.beginPath();
  pen.moveTo(...at(from, 0));
  pen.lineTo(...at(to, 0));
  for (const end of [from, to]) {
    pen.moveTo(...at(end, -CAP));
    pen.lineTo(...at(end, CAP));
  }
}

function stroke(pen, ink, width) {
  pen.save();
  pen.strokeStyle = ink;
  pen.lineWidth = width;
  pen.stroke();
  pen.restore();
}

/** A triangle about each flagged value: another shape as well as another colour. */
export const flags = (data, colour) => ({
  id: "flags",
  afterDatasetsDraw(chart) {
    const pen = chart.ctx;
    data.series.forEach((series, at) => {
      for (const i of series.flagged) {
        if (series.values[i] === null) continue;
        const { x, y } = metaOf(chart, at).data[i];
        pen.save();
        pen.beginPath();
        pen.moveTo(x, y - 9);
        pen.lineTo(x + 8, y + 6);
        pen.lineTo(x - 8, y + 6);
        pen.closePath();
        pen.fillStyle = colour("--late");
        pen.strokeStyle = colour("--paper");
        pen.lineWidth = 1.5;
        pen.fill();
        pen.stroke();
        pen.restore();
      }
    });
  },
});

/** Reference lines across the chart, each named at its end. */
export const marks = (data, colour) => ({
  id: "marks",
  afterDatasetsDraw(chart) {
    const { ctx: pen, chartArea: area } = chart;
    const axis = valueAxis(chart);
    const level = !axis.isHorizontal();
    pen.save();
    pen.font = `13px ${chart.options.scales[axis.id].ticks.font.family}`;
    const taken = [];
    for (const { name, value } of data.marks) {
      const at = axis.getPixelForValue(value);
      pen.strokeStyle = colour("--lead");
      pen.lineWidth = 1.5;
      pen.setLineDash([5, 4]);
      pen.beginPath();
      pen.moveTo(...(level ? [area.left, at] : [at, area.top]));
      pen.lineTo(...(level ? [area.right, at] : [at, area.bottom]));
      pen.stroke();
      nameAtEnd(pen, `${name} ${value.toFixed(data.decimals)}`, { at, area, level, taken, colour });
    }
    pen.restore();
  },
});

// Above the line at its right end, or over its top; below or higher where another is.
function nameAtEnd(pen, text, { at, area, level, taken, colour }) {
  const wide = pen.measureText(text).width;
  const x = Math.max(area.left + 2, level ? area.right - wide - 4 : Math.min(at - wide / 2, area.right - wide - 2));
  const above = at - 5;
  const tries = level ? [above < area.top + 12 ? at + 15 : above, at + 15, above, above - NAME, at + 15 + NAME] : [0, 1, 2].map((one) => area.top - 6 - one * NAME);
  const free = (y) => taken.every((one) => Math.abs(one.y - y) > 14 || one.x > x + wide || one.x + one.wide < x);
  const y = tries.find(free) ?? tries[0];
  taken.push({ x, y, wide });
  pen.setLineDash([]);
  pen.lineJoin = "round";
  pen.lineWidth = 4;
  pen.strokeStyle = colour("--foam");
  pen.strokeText(text, x, y);
  pen.fillStyle = colour("--pencil");
  pen.fillText(text, x, y);
}

/** The line at the place that is read out; `chart.readAt` is its index, none where undefined. */
export const guide = (colour) => ({
  id: "guide",
  afterDatasetsDraw(chart) {
    if (chart.readAt === undefined) return;
    const { ctx: pen, chartArea: area } = chart;
    const point = chart.getSortedVisibleDatasetMetas()[0]?.data[chart.readAt];
    if (!point) return;
    const level = chart.options.indexAxis === "y";
    pen.save();
    pen.strokeStyle = colour("--focus");
    pen.lineWidth = 1.5;
    pen.beginPath();
    pen.moveTo(...(level ? [area.left, point.y] : [point.x, area.top]));
    pen.lineTo(...(level ? [area.right, point.y] : [point.x, area.bottom]));
    pen.stroke();
    pen.restore();
  },
});
