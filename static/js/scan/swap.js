// New content in the place of old, under the hands of somebody at work: what they typed, chose and
// opened stays, and so do the focus, the selection and the height they look at.
const FIELDS = "input:not([type=hidden], [type=file]), select, textarea";
const TEXT = "input:not([type=radio], [type=checkbox], [type=file], [type=hidden]), textarea";
const PLACES = `${FIELDS}, button, summary, a`;

const ticks = (field) => field.matches("[type=radio], [type=checkbox]");

/** Typed by a person on a card that keeps the page from waiting for it: see mixing/card.js. */
export const isTyped = (field) => "typedHere" in field.dataset;

/** Whether a field holds what the page did not come with. */
function touched(field) {
  if (ticks(field)) return field.checked !== field.defaultChecked;
  if (!field.matches("select")) return field.value !== field.defaultValue;
  const options = [...field.options];
  return field.selectedIndex !== Math.max(0, options.findIndex((one) => one.defaultSelected));
}

/** Somebody is in a text field, or typed what is not sent yet. */
export const typing = () => Boolean(document.activeElement?.matches(`main :is(${TEXT})`));
export const typedOn = () =>
  [...document.querySelectorAll(`main form :is(${FIELDS})`)].some(touched);

/** What was typed is dealt with: it no longer keeps the page as it is. */
export function settle(place) {
  for (const one of place?.querySelectorAll(FIELDS) ?? []) {
    if (ticks(one)) one.defaultChecked = one.checked;
    else if (one.matches("select")) for (const option of one.options) option.defaultSelected = option.selected;
    else one.defaultValue = one.value;
  }
  for (const fold of place?.querySelectorAll("details[open]") ?? []) fold.open = false;
}

// What is typed on a card of a mix belongs to that step of that board.
function mixOf(element) {
  const { code, stage, attempt } = element.closest("[data-mix]")?.dataset ?? {};
  return code ? `${code} ${stage} ${attempt}` : "";
}

// The same element in two drawings of a page: by its id, else by its name among those of that name.
function named(place, selector) {
  const [found, seen] = [new Map(), new Map()];
  for (const one of place.querySelectorAll(selector)) {
    const own = ticks(one) || one.matches("button") ? one.value : "";
    const name = one.id || `${mixOf(one)} ${one.localName} ${one.name ?? one.textContent.trim()} ${own}`;
    seen.set(name, (seen.get(name) ?? 0) + 1);
    found.set(`${name} ${seen.get(name)}`, one);
  }
  return found;
}

const foldName = (fold) => `${fold.className} ${fold.querySelector("summary")?.textContent.trim()}`;

/** `put` replaces what stands in `place` and returns where the new content stands. */
export function swapIn(place, put) {
  const fields = [...named(place, FIELDS)].filter(([, field]) => touched(field) || isTyped(field));
  const open = new Set([...place.querySelectorAll("details[open]")].map(foldName));
  const photos = [...place.querySelectorAll("[data-photo-pick]")];
  const at = document.activeElement;
  const focus = [...named(place, PLACES)].find(([, one]) => one === at)?.[0];
  const selection = at?.matches?.(TEXT) ? [at.selectionStart, at.selectionEnd] : null;
  const top = focus ? at.getBoundingClientRect().top : null;
  const height = scrollY;

  const fresh = put();

  for (const fold of fresh.querySelectorAll("details")) if (open.has(foldName(fold))) fold.open = true;
  const drawn = named(fresh, FIELDS);
  for (const [name, field] of fields) putValue(drawn.get(name), field);
  for (const one of photos) keepPhotos(fresh, one);
  const again = focus && named(fresh, PLACES).get(focus);
  if (!again) return scrollTo(0, height);
  again.focus({ preventScroll: true });
  if (selection?.[0] != null) again.setSelectionRange(...selection);
  scrollBy(0, again.getBoundingClientRect().top - top);
}

function putValue(drawn, field) {
  if (!drawn) return;
  if (isTyped(field)) drawn.dataset.typedHere = "";
  if (ticks(drawn)) drawn.checked = field.checked;
  else if (drawn.matches("select")) choose(drawn, field.selectedOptions[0]);
  else drawn.value = field.value;
}

function choose(list, option) {
  if (![...list.options].some((one) => one.value === option.value)) list.append(option.cloneNode(true));
  list.value = option.value;
  list.dispatchEvent(new Event("change", { bubbles: true }));
}

/** Photos that are to go with a tap are named in it and shown beside it. */
function keepPhotos(fresh, old) {
  if (!old.querySelector("[data-photo-refs]").value) return;
  const drawn = fresh.querySelector(`[data-photo-pick][data-kind="${old.dataset.kind}"]`);
  if (drawn && drawn !== old) drawn.replaceWith(old);
}
