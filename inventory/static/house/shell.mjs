// The page without signal: a new truck, and the trucks and machines of this shift.

import { newId } from "./sending.mjs";
import { canKeep, holder, shiftOf } from "./store.mjs";
import { el } from "./tiles.mjs";

const form = document.querySelector("form[data-new-truck]");
const list = document.getElementById("shift");
const nobody = document.getElementById("nobody");

// The phone's clock, as the hands of the dock's clock: phones travel.
function dockTime(zone) {
  const how = { timeZone: zone, hourCycle: "h23", year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit" };
  const said = new Intl.DateTimeFormat("en-US", how).formatToParts(new Date());
  const { year, month, day, hour, minute } = Object.fromEntries(said.map(({ type, value }) => [type, value]));
  return `${year}-${month}-${day}T${hour}:${minute}`;
}

let offered = ""; // the arrival that nobody has typed over

function choosePlace(place, zone) {
  const arrived = form.elements.arrived_at;
  if (arrived.value === offered) arrived.value = offered = dockTime(zone);
  form.action = `${form.dataset.newTruck}?location=${place}`;
  const box = form.querySelector("[data-strip]");
  box.dataset.url = `${box.dataset.capture}?location=${place}`;
}

function offer(owner) {
  const places = form.querySelector("select");
  for (const place of owner.places ?? []) places.append(new Option(place.name, place.id));
  if (!places.length) return;
  places.closest(".field").hidden = places.length < 2;
  const choose = () => choosePlace(places.value, owner.places[places.selectedIndex].zone);
  places.addEventListener("change", choose);
  choose();
  form.elements.once.value = newId();
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
