// How one series looks among the others: colour, and beside it dash, shape of its points or hatching.
// Their numbers have no common divisor with that of the colours: thirty series look each their own way.
const COLOURS = 6;
const SHAPES = ["circle", "rect", "rectRot", "crossRot", "cross"]; // a triangle is a flag
const DASHES = [[], [7, 4], [2, 3], [10, 3, 2, 3], [14, 5]];
const MANY = 40; // points; more than that are a line without them

// Beside one that matters the others stay calm: greys, no two neighbours alike.
const GREYS = [14, 34, 22, 44, 28, 52, 18];
const apart = () => matchMedia("(forced-colors: active), (prefers-contrast: more), print").matches;

export function looksOf(series, at, among, colour, calm = false) {
  const plain = calm && !apart(); // hatches only where colour fails
  const grey = `color-mix(in srgb, ${colour("--pencil")} ${GREYS[at % GREYS.length]}%, ${colour("--paper")})`;
  const one = colour(`--series-${calm && !series.calm ? 1 : (at % COLOURS) + 1}`);
  const own = plain && series.calm ? grey : one;
  const paper = colour("--paper");
  const filled = ["bars", "area"].includes(series.kind);
  const shape = SHAPES[at % SHAPES.length];
  const points = series.kind === "points";
  const few = series.values.length <= MANY;
  const line = ["line", "steps"].includes(series.kind);
  return {
    borderColor: own,
    borderWidth: filled ? 1 : 2,
    borderDash: series.dashed ? [6, 5] : line ? DASHES[at % DASHES.length] : [],
    backgroundColor: filled ? filling(own, paper, among > 1 && !plain ? at : 0) : own,
    wash: `color-mix(in srgb, ${own} 18%, transparent)`,
    pointStyle: filled ? "rect" : shape,
    pointRadius: points || (line && few) ? (points ? 4 : 3) : 0,
    pointBackgroundColor: own,
    pointBorderColor: own,
    maxBarThickness: 48,
    filled,
    pointsOnly: points,
  };
}

// The first is plain; the others are hatched each in its way, so that no colour need be told apart.
const HATCHES = [
  null,
  (pen) => lines(pen, [[0, 8, 8, 0], [-2, 2, 2, -2], [6, 10, 10, 6]]),
  (pen) => pen.fillRect(2, 2, 3, 3),
  (pen) => lines(pen, [[0, 4, 8, 4]]),
  (pen) => lines(pen, [[0, 0, 8, 8], [0, 8, 8, 0]]),
  (pen) => lines(pen, [[4, 0, 4, 8]]),
  (pen) => pen.strokeRect(1.5, 1.5, 4, 4),
];

function filling(own, paper, at) {
  const hatch = HATCHES[at % HATCHES.length];
  if (!hatch) return own;
  const sharp = devicePixelRatio;
  const tile = new OffscreenCanvas(8 * sharp, 8 * sharp);
  const pen = tile.getContext("2d");
  pen.scale(sharp, sharp);
  pen.fillStyle = paper;
  pen.fillRect(0, 0, 8, 8);
  pen.fillStyle = pen.strokeStyle = own;
  pen.lineWidth = 1.5;
  hatch(pen);
  const pattern = pen.createPattern(tile, "repeat");
  pattern.setTransform(new DOMMatrix().scale(1 / sharp));
  return pattern;
}

function lines(pen, all) {
  pen.beginPath();
  for (const [x1, y1, x2, y2] of all) {
    pen.moveTo(x1, y1);
    pen.lineTo(x2, y2);
  }
  pen.stroke();
}
