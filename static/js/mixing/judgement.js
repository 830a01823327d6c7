// orders/glassing/judgement.py for a device by itself: whether what was weighed may be poured.
// tests/browser/test_mixing_judged.py holds the two equal. The sentences come with the page.

const POT_TOLERANCE = 0.1;
const DOSE_UNREAD = ["unread_resin", "unread_catalyst", "unread_hardener"];
const UNREAD = new Set(["unread_temperature", ...DOSE_UNREAD]);
const TIMELESS = new Set(["cold_catalyst", "cold_hardener", "hot"]);

export const unread = ({ code }) => UNREAD.has(code);
export const timeless = ({ code }) => TIMELESS.has(code);
export const doseUnread = ({ code }) => DOSE_UNREAD.includes(code);

const round = (value, places = 0) => Math.floor(value * 10 ** places + 0.5) / 10 ** places;

/** Grams as typed: 240, 5,4 or 12 g; null where it is none. */
export function gramsIn(text) {
  const clean = String(text).trim().toLowerCase().replace(",", ".");
  const match = /^(\d+(?:\.\d*)?|\.\d+)(?: ?g)?$/.exec(clean);
  return match ? Number(match[1]) : null;
}

/** Degrees C as typed: 19, 19,5 °C or 66 F; null where it is none. */
export function celsiusIn(text) {
  const clean = String(text).trim().toLowerCase().replace(",", ".").replace("°", " ");
  const match = /^([-−]?\d+(?:\.\d*)?) *([cf]?)$/.exec(clean);
  if (!match) return null;
  const degrees = Number(match[1].replace("−", "-"));
  return match[2] === "f" ? round(((degrees - 32) * 5) / 9, 2) : degrees;
}

/** Everything that is wrong, as { code, figures }; null is what could not be read. */
export function judge(limits, { celsius, resin_g, hardener_g }) {
  const hardener = limits.by_percent ? "catalyst" : "hardener";
  const found = [];
  const add = (code, figures = {}) => found.push({ code, figures });
  if (celsius === null) add("unread_temperature");
  else if (celsius < limits.coldest_c) add(`cold_${hardener}`, { celsius, coldest: limits.coldest_c });
  else if (celsius >= limits.hottest_c) add("hot", { celsius, hottest: limits.hottest_c });
  if (!resin_g || resin_g < 0) add("unread_resin");
  if (hardener_g === null || hardener_g < 0) add(`unread_${hardener}`);
  if (found.some(doseUnread)) return found;
  judgeDose(limits, resin_g, hardener_g, add);
  const grams = round(resin_g + hardener_g);
  if (resin_g + hardener_g > limits.pot_safe_g * (1 + POT_TOLERANCE)) {
    add("pot_large", { grams, safe: limits.pot_safe_g });
  }
  return found;
}

function judgeDose({ low, high, unit, by_percent }, resin_g, hardener_g, add) {
  if (hardener_g === 0) return add(by_percent ? "no_catalyst" : "no_hardener");
  const ratio = hardener_g / resin_g;
  const side = ratio < low - 1e-9 ? "low" : ratio > high + 1e-9 ? "high" : "";
  if (!side) return;
  const percents = { percent: ratio / unit, low: low / unit, high: high / unit };
  for (const name of Object.keys(percents)) percents[name] = round(percents[name], 2);
  if (by_percent) return add(`percent_${side}`, percents);
  const off = round(100 * Math.abs(ratio / unit - 1));
  add(`ratio_${side}`, { off, right: round(resin_g * unit, 1), resin: resin_g });
}

/** A sentence of gettext with its figures filled in. */
export const worded = (sentence, figures) =>
  sentence
    .replace(/%\((\w+)\)s/g, (_, name) => String(figures[name]))
    .replaceAll("%%", "%");
