// A defect is put on the board's drawing by a tap. The list of places says the same: the tap becomes
// one more line of it, so what is sent is always what the list shows.
document.documentElement.classList.add("has-script");

const THIRDS = ["nose", "middle", "tail"];
const ON_STRINGER = 20; // mm

document.addEventListener("click", (event) => {
  const drawing = event.target.closest("[data-spot] svg[data-side]");
  if (drawing) place(drawing, event);
});

document.addEventListener("change", (event) => {
  if (event.target.name === "spot") mark(event.target.closest("[data-spot]"), event.target.value);
});

function place(drawing, event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(
    drawing.getScreenCTM().inverse(),
  );
  const { side } = drawing.dataset;
  const box = drawing.viewBox.baseVal;
  const edge = -box.y;
  const length = box.height - 2 * edge;
  const half = box.width / 2 - edge;
  const down = Math.round(Math.min(Math.max(at.y, 0), length));
  const drawn = Math.round(Math.min(Math.max(at.x, -half), half));
  // Seen from the bottom the right rail is on the left.
  const across = side === "bottom" ? -drawn : drawn;
  const here = drawing.closest("[data-spot]");
  const list = here.querySelector("select[name=spot]");
  const option = list.querySelector("[data-tapped]") ?? document.createElement("option");
  option.dataset.tapped = "";
  option.value = `${side}:${across}:${down}`;
  const third = THIRDS[Math.min(2, Math.floor((3 * down) / length))];
  const hand = Math.abs(across) <= ON_STRINGER ? "stringer" : across > 0 ? "right" : "left";
  option.textContent = `tapped: ${side}, ${third}, ${hand}`;
  list.options[0].after(option);
  option.selected = true;
  mark(here, option.value);
}

function mark(here, value) {
  const [side, across, down] = value.split(":");
  for (const drawing of here.querySelectorAll("svg[data-side]")) {
    const cross = drawing.querySelector(".spot-mark");
    if (drawing.dataset.side !== side) {
      cross.setAttribute("display", "none");
      continue;
    }
    cross.removeAttribute("display");
    cross.setAttribute("transform", `translate(${side === "bottom" ? -across : across} ${down})`);
  }
}

// What was typed before, after a page that was refused.
for (const here of document.querySelectorAll("[data-spot]")) {
  mark(here, here.querySelector("select[name=spot]").value);
}
