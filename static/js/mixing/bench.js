// The table of a resin as the server reckoned it, looked up for this pot: no chemistry here.

const round = (value, places) => Number(value.toFixed(places));

/** To the half degree that the table has. */
export const half = (celsius) => Math.round(celsius * 2) / 2;

/** What goes in a pot, or `{ stop }`. `amounts` are the boards' grams of mix, null: not reckoned. */
export function dose(bench, celsius, amounts) {
  const row = Number.isFinite(celsius) ? bench.rows[String(half(celsius))] : null;
  if (!row) {
    const all = Object.keys(bench.rows).map(Number);
    const [low, high] = [Math.min(...all), Math.max(...all)];
    return { stop: `The table goes from ${low} to ${high} °C. Type the temperature of the resin.` };
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
  ml: round(resin_g * row.ml, 1),
});

/** Whether what was weighed is the dose the time was told for: within a tenth, or the scale's step. */
export const isDose = (row, resin_g, hardener_g) =>
  Math.abs(hardener_g - resin_g * row.hardener) <= Math.max(0.1, 0.1 * resin_g * row.hardener);
