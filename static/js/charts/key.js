// Which series looks how: a list above the drawing, each name behind a small piece of what is drawn.
const WIDE = 34;
const HIGH = 14;

export function key(figure, data, own) {
  if (data.series.length < 2) return;
  const list = figure.querySelector("[data-key]");
  list.hidden = false;
  list.replaceChildren(...data.series.map(({ name }, at) => {
    const item = document.createElement("li");
    item.append(piece(own[at]), name);
    return item;
  }));
}

function piece(look) {
  const canvas = document.createElement("canvas");
  const sharp = devicePixelRatio;
  Object.assign(canvas, { width: WIDE * sharp, height: HIGH * sharp, className: "chart-piece" });
  canvas.setAttribute("aria-hidden", "true");
  const pen = canvas.getContext("2d");
  pen.scale(sharp, sharp);
  pen.fillStyle = look.backgroundColor;
  pen.strokeStyle = look.borderColor;
  pen.lineWidth = look.borderWidth;
  if (look.filled) {
    pen.fillRect(1, 1, WIDE - 2, HIGH - 2);
    pen.strokeRect(1, 1, WIDE - 2, HIGH - 2);
    return canvas;
  }
  if (!look.pointsOnly) {
    pen.setLineDash(look.borderDash);
    pen.beginPath();
    pen.moveTo(0, HIGH / 2);
    pen.lineTo(WIDE, HIGH / 2);
    pen.stroke();
  }
  pen.setLineDash([]);
  const point = { pointStyle: look.pointStyle, radius: look.pointRadius, borderWidth: 1 };
  if (look.pointRadius) Chart.helpers.drawPoint(pen, point, WIDE / 2, HIGH / 2);
  return canvas;
}
