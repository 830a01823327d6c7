// The table of a resin as the server reckoned it, looked up for this pot: no chemistry here.
import { judge, worded } from "./judgement.js";

const round = (value, places) => Number(value.toFixed(places));

// (up to ml, marks of ml) of syringes, as orders/glassing/hardener.py has them.
const MARKS = [[3, 0.1], [12, 0.2], [Infinity, 1]];

/** Rounded to a mark of the syringe that holds it. */
export function syringe(ml) {
  const [, mark] = MARKS.find(([most]) => ml <= most);
  return round(Math.floor(ml / mark + 0.5 + 1e-9) * mark, 1);
}

/** The row of the table that a temperature falls in. The table has half degrees and the rows of a chart
    begin at one: a reading between two belongs to the colder, of which the chart speaks. */
function rowAt({ rows, limits }, celsius) {
  if (celsius === null || celsius < limits.coldest_c || celsius >= limits.hottest_c) return null;
  const at = (degrees) => rows[String(degrees)];
  const [row, next] = [at(Math.floor(celsius * 2) / 2), at(Math.ceil(celsius * 2) / 2)];
  if (!row?.hardener) return next ?? row ?? null;
  // The time of the warmer half degree, where the dose is the same: it is the shorter one.
  return next?.percent === row.percent && next?.minutes ? { ...row, minutes: next.minutes } : row;
}

/** What goes in a pot, or `{ stop }`. `amounts` are the boards' grams of mix, null: not reckoned. */
export function dose(bench, celsius, amounts) {
  const row = rowAt(bench, celsius);
  if (!row) {
    const [{ code, figures }] = judge(bench.limits, { celsius, resin_g: null, hardener_g: null });
    return { stop: worded(bench.says[code], figures) };
  }
  if (row.stop) return { stop: row.stop };
  const { said, note, percent, minutes } = row;
  const found = { said, note, percent, minutes, row, pots: 1, resin_g: null, hardener_g: null };
  if (amounts.some((grams) => grams == null)) return found;
  const total = amounts.reduce((sum, grams) => sum + grams, 0);
  const pots = Math.max(1, Math.ceil(total / bench.safe_g - 1e-9));
  const resin_g = Math.round((total / pots) * row.resin);
  return { ...found, pots, resin_g, ...hardenerFor(row, resin_g) };
}

export const hardenerFor = (row, resin_g) => ({
  hardener_g: round(resin_g * row.hardener, 1),
  ml: syringe(resin_g * row.ml),
});

/** Whether what was weighed is the dose the time was told for: within a tenth, or the scale's step. */
export const isDose = (row, resin_g, hardener_g) =>
  Math.abs(hardener_g - resin_g * row.hardener) <= Math.max(0.1, 0.1 * resin_g * row.hardener);
