// The page without signal: a new truck, and the trucks and machines of this shift.

import { newId } from "./sending.mjs";
import { canKeep, holder, shiftOf } from "./store.mjs";
import { el } from "./tiles.mjs";

const form = document.querySelector("form[data-new-truck]");
const list = document.getElementById("shift");
const nobody = document.getElementById("nobody");

function two(number) {
  return String(number).padStart(2, "0");
}

function dockTime() {
  const now = new Date();
  const day = [now.getFullYear(), two(now.getMonth() + 1), two(now.getDate())].join("-");
  return `${day} ${two(now.getHours())}:${two(now.getMinutes())}`;
}

function choosePlace(place) {
  form.action = `${form.dataset.newTruck}?location=${place}`;
  const box = form.querySelector("[data-strip]");
  box.dataset.url = `${box.dataset.capture}?location=${place}`;
}

function offer(owner) {
  const places = form.querySelector("select");
  for (const place of owner.places ?? []) places.append(new Option(place.name, place.id));
  if (!places.length) return;
  places.closest(".field").hidden = places.length < 2;
  places.addEventListener("change", () => choosePlace(places.value));
  choosePlace(places.value);
  form.elements.once.value = newId();
  form.elements.arrived_at.value = dockTime();
  form.hidden = false;
}

function shown(told) {
  const item = el("li");
  const more = el("details", "more");
  more.append(el("summary", "", told.name));
  for (const line of told.lines) more.append(el("p", "", line));
  item.append(more);
  return item;
}

async function begin() {
  const owner = canKeep ? await holder() : null;
  nobody.hidden = Boolean(owner);
  if (!owner) return;
  offer(owner);
  const rows = await shiftOf(owner);
  document.getElementById("shift-head").hidden = !rows.length;
  list.replaceChildren(...rows.map(shown));
}

await begin();
await import("./photos.mjs");
