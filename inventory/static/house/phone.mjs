// On every page: the service worker, the key of whoever is signed in, and the line that
// says what waits on this phone. What is heavy is loaded where it is used.

import { canKeep, flush, items, read, remove, settled, whoIsHere } from "./queue.mjs";
import { all, drop, forgetKeys, holder, holdKey, remember } from "./store.mjs";
import { button, el } from "./tiles.mjs";

const page = document.querySelector("meta[name=phone]");
const DAY = 24 * 60 * 60 * 1000; // milliseconds
const SHIFT = DAY / 2;
const FULL = 0.8; // of the room that the browser gives
const isShell = "shell" in page.dataset;
let stopped = isShell ? "offline" : "";

function many(count, word) {
  return `${count} ${word}${count === 1 ? "" : "s"}`;
}

function counted(rows) {
  const photos = rows.filter((row) => row.file).length;
  const forms = rows.length - photos;
  return [photos && many(photos, "photo"), forms && many(forms, "form")].filter(Boolean).join(" and ");
}

async function sendNow(how = {}) {
  if (how.forced) dispatchEvent(new Event("dock-send")); // the open page sends its own
  stopped = page.content || isShell ? await flush(how) : "signed-out";
  await show();
}

// -- the line --------------------------------------------------------------------

let drawing = 0;

async function show() {
  const mine = (drawing += 1);
  const line = await drawn();
  if (mine !== drawing) return; // another change came meanwhile
  const old = document.getElementById("phone-line");
  if (old && line) old.replaceWith(line);
  else if (line) document.getElementById("main").before(line);
  else old?.remove();
  dispatchEvent(new Event("dock-line"));
}

async function drawn() {
  const rows = (await items()).filter((row) => !settled.has(row.id));
  if (!rows.length) return null;
  const owner = await holder();
  const mine = rows.filter((row) => row.person === owner?.person);
  const others = rows.filter((row) => row.person !== owner?.person);
  const line = el("section", "phone-line");
  line.id = "phone-line";
  line.setAttribute("aria-label", "Waiting on this phone");
  const head = el("div", "phone-head");
  const words = el("div");
  const left = rows.filter((row) => !isCompared(row));
  const ours = mine.filter((row) => !isCompared(row));
  if (left.length) {
    words.append(el("p", "phone-count", `${counted(ours.length ? ours : others)} waiting`), el("p", "", why(left)));
    head.append(words, action(left));
  } else head.append(el("p", "phone-count", `${many(rows.length, "number")} to compare`));
  const isOpen = page.content || isShell; // a sign-in page shows numbers only
  line.append(head, ...(isOpen ? await rowsOf(mine) : []), ...othersOf(others), ...(await loud(rows)));
  return line;
}

// A photo of a number that was read: a person compares it with what was typed.
const isCompared = (row) => row.type === "number" && row.state === "look";

function standing() {
  if (stopped) return stopped;
  if (!navigator.onLine) return "offline";
  return page.content ? "" : "signed-out";
}

function why(rows) {
  const is = rows.length === 1 ? "is" : "are";
  if (standing() === "signed-out") return `Sign in again. ${counted(rows)} ${is} safe on this phone.`;
  if (standing() === "offline") return "No signal. Saved on this phone.";
  return "Saved on this phone until the server has it.";
}

function action(rows) {
  if (standing() !== "signed-out") return button(`Send now (${rows.length})`, () => sendNow({ forced: true }));
  const way = el("a", "btn", "Sign in");
  way.href = `${page.dataset.signIn}?next=${encodeURIComponent(location.pathname + location.search)}`;
  return way;
}

async function rowsOf(mine) {
  if (!mine.length) return [];
  const list = el("ul", "phone-items");
  for (const item of mine) {
    const about = await read(item).catch(() => null);
    const row = el("li", item.state);
    const minutes = Math.round((Date.now() - item.created) / 60_000);
    const age = minutes < 60 ? `${minutes} min` : `${Math.round(minutes / 60)} h`;
    if (about?.file) row.append(picture(about.file));
    const words = el("p", "", `${about?.title || "Waiting"}, ${age}`);
    row.append(words);
    if (item.why) words.append(el("br"), `${item.state === "look" && !isCompared(item) ? "Not saved. " : ""}${item.why}`);
    if (item.state === "look" && about?.from) row.append(wayTo(item, about));
    if (item.state === "look" || item.why) row.append(button(item.state === "look" ? "Seen, remove it" : "Remove", () => remove(item.id)));
    list.append(row);
  }
  return [list];
}

// A tap has nothing to mend: its page shows how things are now, and offers it again.
function wayTo(item, about) {
  const way = el("a", "", about.isButton ? "Open the page and tap again if it still applies" : "Open it as you sent it");
  way.href = about.isButton ? about.from : `${about.from}#mend=${item.id}`;
  return way;
}

function picture(file) {
  const image = el("img");
  image.alt = "";
  image.src = URL.createObjectURL(file);
  image.addEventListener("load", () => URL.revokeObjectURL(image.src), { once: true });
  image.addEventListener("error", () => image.remove());
  return image;
}

function othersOf(rows) {
  return [...new Set(rows.map((row) => row.name))].map((name) => {
    const found = rows.filter((row) => row.name === name);
    const reason = found.find((row) => row.why)?.why ?? "";
    return el("p", "phone-other", `${name}: ${counted(found)} waiting. ${reason}`.trim());
  });
}

async function loud(rows) {
  const said = [];
  if (rows.some((row) => row.created < Date.now() - DAY)) {
    said.push("Waiting for more than a day. Go where there is signal and send it now.");
  }
  const { usage = 0, quota = 0 } = (await navigator.storage?.estimate?.()) ?? {};
  if (quota && usage > FULL * quota) said.push("This phone is nearly full. Send what waits before you take more photos.");
  return said.map((words) => el("p", "phone-loud", words));
}

// -- whose phone it is -----------------------------------------------------------

async function knowOwner() {
  const owner = await holder();
  if (!page.content || owner?.person === page.content) return;
  if (owner) await forgetKeys();
  const me = await whoIsHere();
  if (me.state === "here") await holdKey(me);
}

async function keepShift() {
  for (const row of await all("shift")) if (row.at < Date.now() - SHIFT) await drop("shift", row.url);
  const url = page.dataset.remember;
  if (!url) return;
  const answer = await fetch(url, { headers: { "Dock-Phone": "1" } }).catch(() => null);
  if (answer?.ok) await remember(url, await answer.json());
}

function warnWithoutHttps() {
  if (!("queue" in page.dataset) || globalThis.isSecureContext) return;
  const words = "Without HTTPS this phone keeps nothing while there is no signal. Ask your administrator for the HTTPS address.";
  document.getElementById("main").prepend(el("p", "notice running", words));
}

async function begin() {
  warnWithoutHttps();
  if (!canKeep) return;
  navigator.serviceWorker?.register(page.dataset.worker, { updateViaCache: "none" }).catch(() => {});
  document.querySelector("header form[method=post]")?.addEventListener("submit", () => { forgetKeys(); });
  await knowOwner();
  if ("queue" in page.dataset) await import("./forms.mjs");
  if ((await items()).length) {
    navigator.storage?.persist?.();
    await sendNow();
  }
  await keepShift();
}

addEventListener("dock-queue", show);
addEventListener("online", () => sendNow());
addEventListener("offline", show);
document.addEventListener("visibilitychange", () => { if (!document.hidden) sendNow(); });
begin();
