// Shows as many tiles as the screen holds, and the next ones after a while: nobody scrolls a wall.

const EACH_MS = 10_000;
let first = 0;

function tilesAPage(list) {
  const style = getComputedStyle(list);
  const gap = parseFloat(style.rowGap);
  const rows = Math.floor((list.clientHeight + gap) / (parseFloat(style.gridAutoRows) + gap));
  return style.gridTemplateColumns.split(" ").length * Math.max(1, rows);
}

export function showPage() {
  const list = document.querySelector(".tiles");
  const tiles = [...list.children];
  for (const tile of tiles) tile.hidden = false;
  const fits = tilesAPage(list);
  if (first >= tiles.length) first = 0;
  first -= first % fits;
  tiles.forEach((tile, index) => (tile.hidden = index < first || index >= first + fits));
  const pages = Math.ceil(tiles.length / fits);
  const at = document.querySelector("#wall-page");
  at.textContent = pages > 1 ? `${first / fits + 1} of ${pages}` : "";
  return fits;
}

export function turnPages() {
  showPage();
  window.addEventListener("resize", showPage);
  setInterval(() => {
    first += tilesAPage(document.querySelector(".tiles"));
    showPage();
  }, EACH_MS);
}
