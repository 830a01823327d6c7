// Lengths and masses as people write them, read as orders/shape/units.py and orders/glassing/
// units.py read them: whole nanometres, whole grams; null for what could mean two things. A test
// holds both to the same answers.
const NM_PER_MM = 1_000_000;
const NM_PER_INCH = 25_400_000;
const LONGEST_NM = 10_000 * NM_PER_MM;
const SHORTEST_BOARD_IN = 24n;
const LONGEST_BOARD_IN = 144n;
const METRIC = { mm: NM_PER_MM, cm: 10 * NM_PER_MM, m: 1000 * NM_PER_MM };

const VULGAR = {
  "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
  "⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
  "⅙": "1/6", "⅚": "5/6", "⅒": "1/10",
};
const DECIMAL = "(?:[0-9]+(?:\\.[0-9]+)?|\\.[0-9]+)";
const MIXED = `(?:[0-9]+(?: *- *| +)[0-9]+ *\\/ *[0-9]+|[0-9]+ *\\/ *[0-9]+|${DECIMAL})`;
const whole = (pattern) => new RegExp(`^(?:${pattern})$`);
const IN_METRIC = whole(
  `(${MIXED}) ?(mm|cm|m|millimet(?:re|er)s?|centimet(?:re|er)s?|met(?:re|er)s?)\\.?`,
);
const IN_FEET = whole(
  `(${DECIMAL}) ?(?:ft|feet|foot|')\\.? ?-? ?(?:(${MIXED}) ?(?:"|in|inch|inches|)\\.?)?`,
);
const IN_INCHES = whole(`(${MIXED}) ?("|in|inch|inches)\\.?`);
const BARE = whole(`(${MIXED})`);
const FEET_DASH = whole(`([0-9]+)(?: ?- ?| )(${MIXED})(?: ?(?:"|in|inch|inches))?`);

function clean(text) {
  if (text.length > 40) return "";
  let tidy = text
    .replace(/[’‘‛′`´ʹʼ＇]/g, "'").replace(/[”“„‟″ʺ＂]/g, '"')
    .replace(/[‐‑‒–—―−]/g, "-").replace(/[⁄∕]/g, "/").replace(/[\u00a0\u2009\u202f\u2007\t]/g, " ");
  for (const [sign, plain] of Object.entries(VULGAR)) tidy = tidy.replaceAll(sign, ` ${plain}`);
  tidy = tidy.replaceAll("''", '"').toLowerCase().trim().replace(/\s+/g, " ")
    .replace(/\.$/, "");
  if (tidy.startsWith("-") || /[0-9],[0-9]{3}(?![0-9])/.test(tidy)) return "";
  return tidy.replace(/(?<=[0-9]),(?=[0-9])/g, ".");
}

// 19, 19.5, 1/2 or 19 1/2 as [over, under], in whole numbers of any size.
function number(text) {
  if (!text.includes("/")) {
    const [units, part = ""] = text.split(".");
    return [BigInt(units + part), 10n ** BigInt(part.length)];
  }
  const parts = text.match(/[0-9]+/g).map(BigInt);
  const [over, under] = parts.slice(-2);
  if (under === 0n || over >= under) return null;
  return [(parts.length > 2 ? parts[0] : 0n) * under + over, under];
}

// Whole nanometres, exactly; null where there are none.
function sized(value, size) {
  if (!value) return null;
  const top = value[0] * BigInt(size);
  if (top % value[1]) return null;
  const nm = Number(top / value[1]);
  return nm > LONGEST_NM ? null : nm;
}

function feet(count, inches) {
  if (count.includes(".")) return null;
  const extra = inches === undefined ? [0n, 1n] : number(inches);
  if (!extra || extra[0] >= 12n * extra[1]) return null;
  return sized([BigInt(count) * 12n * extra[1] + extra[0], extra[1]], NM_PER_INCH);
}

// A board's length without a foot mark: 6-2, 6 2, 74". A number alone could be two things.
function boardLength(text) {
  let match = text.match(IN_INCHES);
  if (match) {
    const value = number(match[1]);
    if (value && value[0] < SHORTEST_BOARD_IN * value[1] && /^[0-9]+ ?- ?[0-9]/.test(text)) return null;
    return sized(value, NM_PER_INCH);
  }
  if (BARE.test(text)) return null;
  match = text.match(FEET_DASH);
  if (!match || BigInt(match[1]) * 12n >= 2n * LONGEST_BOARD_IN) return null;
  return feet(match[1], match[2]);
}

export function readLength(text, bare, signed = false) {
  const trimmed = text.trim();
  const behind = signed && /^[-−–]/.test(trimmed);
  const nm = read(clean(behind ? trimmed.slice(1) : trimmed), bare);
  return behind && nm ? -nm : nm;
}

function read(text, bare) {
  let match = text.match(IN_METRIC);
  if (match) {
    const unit = /^mm|^mil/.test(match[2]) ? "mm" : match[2].startsWith("c") ? "cm" : "m";
    return sized(number(match[1]), METRIC[unit]);
  }
  match = text.match(IN_FEET);
  if (match) return feet(match[1], match[2]);
  if (bare === "ft") return boardLength(text);
  match = text.match(IN_INCHES);
  if (match) return sized(number(match[1]), NM_PER_INCH);
  match = text.match(BARE);
  if (!match) return null;
  const value = number(match[1]);
  if (bare === "mm") return sized(value, NM_PER_MM);
  return value && value[0] < LONGEST_BOARD_IN * value[1] ? sized(value, NM_PER_INCH) : null;
}

const SIZES = { in: NM_PER_INCH, cm: 10 * NM_PER_MM, mm: NM_PER_MM };
const RUN_TOGETHER = /^([0-9]{1,2})([0-9])((?:[^0-9].*)?)$/;
const isNear = (nm, ordered) => nm !== null && Math.abs(nm - Math.abs(ordered)) * 10 <= Math.abs(ordered);

function counted(text, unit) {
  const value = number(text);
  if (unit === "in" && value && value[0] >= LONGEST_BOARD_IN * value[1]) return null;
  return sized(value, SIZES[unit]);
}

function runTogether(text) {
  const [, count, inches, rest] = text.match(RUN_TOGETHER) ?? [];
  return count ? read(`${count}'${inches}${rest}`, "in") : null;
}

// A length that was measured where `ordered` was asked for, which tells what a number without a unit
// means where the field alone does not: 74 1/4 of a board of 6'2".
export function readMeasured(text, bare, ordered, signed = false) {
  const trimmed = text.trim();
  const behind = signed && /^[-−–]/.test(trimmed);
  const plain = clean(behind ? trimmed.slice(1) : trimmed);
  const nm = BARE.test(plain) ? bareMeasured(plain, bare, ordered) : read(plain, bare);
  return behind && nm ? -nm : nm;
}

function bareMeasured(plain, bare, ordered) {
  const near = Object.keys(SIZES).filter((unit) => isNear(counted(plain, unit), ordered));
  if (!near.length) return read(plain, bare);
  if (bare === "ft") return isNear(runTogether(plain), ordered) ? null : counted(plain, near[0]);
  return near.includes(bare) ? counted(plain, near[0]) : null;
}

// What a tap on less or more moves a number by.
export const stepOf = (unit) => (unit === "mm" ? NM_PER_MM : NM_PER_INCH / 16);

function inches(nm) {
  let over = Math.round((nm % NM_PER_INCH) / (NM_PER_INCH / 32));
  let under = 32;
  while (over && over % 2 === 0) [over, under] = [over / 2, under / 2];
  const units = Math.floor(nm / NM_PER_INCH);
  if (!over) return String(units);
  return units ? `${units} ${over}/${under}` : `${over}/${under}`;
}

// As it is typed into a field of its kind; what is no whole number of 32nds in millimetres.
export function writeLength(nm, bare) {
  const sign = nm < 0 ? "-" : "";
  const size = Math.abs(nm);
  if (bare === "mm" || size % (NM_PER_INCH / 32)) return `${sign}${size / NM_PER_MM} mm`;
  if (bare !== "ft") return sign + inches(size);
  if (size < 12 * NM_PER_INCH) return `${sign}${inches(size)}"`;
  const rest = size % (12 * NM_PER_INCH);
  const nought = rest && rest < NM_PER_INCH ? "0 " : "";
  return `${sign}${Math.floor(size / (12 * NM_PER_INCH))}'${nought}${inches(rest)}"`;
}

// A difference as it is told: what is no whole number of 32nds rounded.
export function sayLength(nm, unit) {
  if (unit === "mm") return `${Number((nm / NM_PER_MM).toFixed(1))} mm`;
  if (nm % (NM_PER_INCH / 32)) return `${(nm / NM_PER_INCH).toFixed(2)}"`;
  return `${inches(nm)}"`;
}

const GRAMS = { g: 1, gram: 1, grams: 1, kg: 1000, kilo: 1000, kilos: 1000 };
const G_PER_LB = 453.59237;
const POUNDS = { lb: G_PER_LB, lbs: G_PER_LB, pound: G_PER_LB, pounds: G_PER_LB };
const OUNCES = { oz: G_PER_LB / 16, ounce: G_PER_LB / 16, ounces: G_PER_LB / 16 };
const UNITS = { ...GRAMS, ...POUNDS, ...OUNCES, "": 1000 };
const ANY = "[0-9]+ [0-9]+\\/[0-9]+|[0-9]+\\/[0-9]+|[0-9]+(?:\\.[0-9]+)?|\\.[0-9]+";
const IN_POUNDS = whole(`(${ANY}) ?lbs? (${ANY}) ?oz`);
const MEASURE = whole(`(${ANY}) ?([a-z]*)`);

const TOO_FINE = whole("[1-9][0-9]{0,2}\\.[0-9]{3} ?(?:g|grams?)");

// Null for a fraction of one or more, which is a slip.
const plain = (text) => {
  let sum = 0;
  for (const part of text.split(" ")) {
    const [over, under] = part.split("/").map(Number);
    if (over >= under) return null;
    sum += over / (under ?? 1);
  }
  return sum;
};

export function readMass(text) {
  if (/[0-9],[0-9]{3}(?![0-9])/.test(text)) return null;
  const tidy = text
    .replaceAll("½", " 1/2").replaceAll("¼", " 1/4").replaceAll("¾", " 3/4")
    .replaceAll(",", ".").toLowerCase().trim().replace(/\s+/g, " ");
  let match = tidy.match(IN_POUNDS);
  if (match) {
    const [pounds, ounces] = [plain(match[1]), plain(match[2])];
    if (pounds === null || ounces === null) return null;
    if (!Number.isInteger(pounds) || ounces >= 16) return null;
    return board(pounds * G_PER_LB + (ounces * G_PER_LB) / 16);
  }
  match = tidy.match(MEASURE);
  if (!match || !(match[2] in UNITS) || TOO_FINE.test(tidy)) return null;
  const size = plain(match[1]);
  return size === null ? null : board(size * UNITS[match[2]]);
}

function board(grams) {
  return grams >= 200 && grams <= 40_000 ? Math.round(grams) : null;
}
