// Photos and forms that wait on this phone, and sending them: each is kept until the
// server's answer is here, and sent under its own id, so that twice is once.

import * as store from "./store.mjs";
import { newId, sendPhoto } from "./sending.mjs";

export const { canKeep } = store;
const page = document.querySelector("meta[name=phone]");
const PASSING = [429, 502, 503, 504];
const LONGEST = 20_000; // milliseconds for the answer to a form

export const managed = new Set(); // photos that the open page sends by itself
export const settled = new Set(); // of those, what its form says all about: nothing waits for signal

export function told() {
  dispatchEvent(new Event("dock-queue"));
}

// -- keeping ---------------------------------------------------------------------

export async function keepPhoto(photo) {
  const owner = canKeep && (await store.holder());
  if (!owner) return false;
  const word = photo.token || owner.person;
  const { id, url, once, token } = photo;
  const about = { kind: photo.kind, caption: photo.caption ?? "", name: photo.name, title: document.querySelector("h1")?.textContent ?? "" };
  await store.put("items", {
    id, url, once, token, word, type: "photo", state: "waiting",
    person: owner.person, name: owner.name, created: Date.now(),
    about: await store.lock(owner, word, store.packed(about)),
    file: await store.lock(owner, word, await photo.file.arrayBuffer()),
  });
  told();
  return true;
}

export async function keepForm({ id, url, title, fields, photos, once, isButton }) {
  const owner = canKeep && (await store.holder());
  if (!owner) return false;
  const about = { title, fields, isButton, from: location.pathname + location.search };
  await store.put("items", {
    id: id || newId(), url, photos, once, arrived: {}, word: owner.person, type: "form", state: "waiting",
    person: owner.person, name: owner.name, created: Date.now(),
    about: await store.lock(owner, owner.person, store.packed(about)),
  });
  told();
  return true;
}

// A photo of a number: it is read once there is signal, and compared with what was typed.
export async function keepNumber({ id, file, url, label, typed }) {
  const owner = canKeep && (await store.holder());
  if (!owner) return false;
  const about = { title: label, name: file.name, typed };
  await store.put("items", {
    id, url, word: owner.person, type: "number", state: "waiting",
    person: owner.person, name: owner.name, created: Date.now(),
    about: await store.lock(owner, owner.person, store.packed(about)),
    file: await store.lock(owner, owner.person, await file.arrayBuffer()),
  });
  told();
  return true;
}

export async function noteNumber(id, typed) {
  const owner = await store.holder();
  const item = await store.get("items", id);
  if (!item || owner?.person !== item.person) return;
  const about = { ...store.unpacked(await store.unlock(owner, item.word, item.about)), typed };
  await store.put("items", { ...item, about: await store.lock(owner, item.word, store.packed(about)) });
}

export async function remove(id) {
  if (!canKeep) return;
  await store.drop("items", id);
  for (const form of await forms()) {
    if (!form.photos.some((one) => one.id === id) || form.arrived[id]) continue;
    await store.put("items", { ...form, photos: form.photos.filter((one) => one.id !== id) });
  }
  told();
}

export const items = async () => (canKeep ? (await store.all("items")).sort((a, b) => a.created - b.created) : []);
const forms = async () => (await items()).filter((one) => one.type === "form");

export async function read(item, key = null) {
  const owner = key ?? (await store.holder());
  if (!key && owner?.person !== item.person) return null;
  const about = store.unpacked(await store.unlock(owner, item.word, item.about));
  if (!item.file) return about;
  const data = await store.unlock(owner, item.word, item.file);
  return { ...about, file: new File([data], about.name || "photo.jpg") };
}

// -- sending ---------------------------------------------------------------------

export async function whoIsHere() {
  try {
    const answer = await fetch(page.dataset.me, { headers: { "Dock-Phone": "1" }, cache: "no-store" });
    if (answer.status === 401) return { state: "signed-out" };
    if (!answer.ok) return { state: "offline" };
    return { state: "here", ...(await answer.json()) };
  } catch {
    return { state: "offline" };
  }
}

// Returns { state, page, why }: done, offline, signed-out, barred, refused.
// Of a form that waited since ``saved`` the server is told what this phone's clock shows.
export async function sendForm(url, fields, csrf, saved = 0) {
  const form = new FormData();
  const moment = (time) => new Date(time).toISOString();
  const clock = saved ? { "Phone-Clock": moment(Date.now()), "Phone-Saved": moment(saved) } : {};
  for (const [name, value] of fields) form.append(name, value);
  form.set("csrfmiddlewaretoken", csrf);
  let answer;
  try {
    const signal = AbortSignal.timeout(LONGEST);
    answer = await fetch(url, { method: "POST", body: form, headers: { "Dock-Phone": "1", ...clock }, signal });
    const isTold = answer.headers.get("Content-Type")?.startsWith("application/json");
    const body = isTold ? await answer.json() : { error: wrong(await answer.text()) };
    if (answer.ok && body.page) return { state: "done", page: body.page };
    if (answer.status === 401) return { state: "signed-out" };
    if (PASSING.includes(answer.status)) return { state: "offline" };
    return { state: answer.status === 403 ? "barred" : "refused", why: body.error };
  } catch {
    return { state: "offline" };
  }
}

function wrong(html) {
  const answer = new DOMParser().parseFromString(html, "text/html");
  const said = [...answer.querySelectorAll(".problem li, .problem p")].map((one) => one.textContent.trim());
  return said.join(" ") || "The server did not take it.";
}

// Sends all that may go now; returns where it stopped: "" or offline or signed-out.
// What needs a look is tried again only where a person asks for it (forced).
export function flush({ forced = false } = {}) {
  if (!canKeep) return "";
  return navigator.locks.request("dock-queue", { ifAvailable: true }, (turn) => (turn ? sendAll(forced) : ""));
}

async function sendAll(forced) {
  const waiting = await items();
  if (!waiting.length) return "";
  const me = await whoIsHere();
  if (me.state !== "here") return me.state;
  if ((await store.holder())?.person !== me.person) await store.holdKey(me);
  for (const turn of [photoNow, formNow, photoOfTruck, numberNow]) {
    for (const item of await items()) {
      if (item.state === "look" && !(forced && item.type === "photo")) continue;
      const stop = await turn(item, me);
      if (stop) return stop;
    }
  }
  return "";
}

const photoNow = (item, me) => item.type === "photo" && !item.once && photoSent(item, me);
const photoOfTruck = (item, me) => item.type === "photo" && item.once && photoSent(item, me);

// A form that is shown again after an error still carries the photos of its truck.
const isOnThisForm = ({ once }) => Boolean(once && document.querySelector(`main [name=once][value="${CSS.escape(once)}"]`));

async function photoSent(item, me) {
  if (managed.has(item.id) || isOnThisForm(item)) return "";
  const key = item.person === me.person ? null : await keyOf(item, me);
  if (key === "") return "";
  const photo = { ...item, ...(await read(item, key)), claimed: item.name };
  const answer = await sendPhoto(photo, { csrf: me.csrf });
  if (answer.state === "sent") await arrived(item.id, answer.body);
  else if (["offline", "signed-out"].includes(answer.state)) return answer.state;
  else await store.put("items", { ...item, state: await stateAfter(answer, item), why: answer.body?.error });
  told();
  return "";
}

// A photo whose truck is neither logged nor waiting here was left by its form.
async function stateAfter({ state }, item) {
  if (state === "waits") return (await forms()).some((one) => one.once === item.once) ? "waiting" : "look";
  return state === "refused" ? "look" : "waiting";
}

// A colleague's photo is unlocked by the server, for whoever may add it where it belongs.
async function keyOf(item, me) {
  if (!item.token) return "";
  const form = new FormData();
  form.set("token", item.token);
  form.set("csrfmiddlewaretoken", me.csrf);
  const url = page.dataset.key + new URL(item.url, location.href).search;
  const answer = await fetch(url, { method: "POST", body: form, headers: { "Dock-Phone": "1" } }).catch(() => null);
  if (answer?.ok) return store.keyFrom((await answer.json()).key);
  const why = answer && (await answer.json().catch(() => null))?.error;
  if (why) await store.put("items", { ...item, why });
  return "";
}

export async function arrived(id, body) {
  if (!canKeep) return;
  for (const form of await forms()) {
    if (!form.photos.some((one) => one.id === id)) continue;
    await store.put("items", { ...form, arrived: { ...form.arrived, [id]: body.id } });
  }
  await store.drop("items", id);
  told();
}

async function formNow(item, me) {
  if (item.type !== "form" || item.person !== me.person) return "";
  if (item.photos.some((one) => !item.arrived[one.id])) return "";
  const { fields } = await read(item);
  const kept = item.photos.map((one) => [`${one.field}_kept`, item.arrived[one.id]]);
  const answer = await sendForm(item.url, [...fields, ...kept], me.csrf, item.created);
  if (answer.state === "done") await store.drop("items", item.id);
  else if (["offline", "signed-out"].includes(answer.state)) return answer.state;
  else await store.put("items", { ...item, state: "look", why: answer.why });
  told();
  return "";
}

async function numberNow(item, me) {
  if (item.type !== "number" || item.person !== me.person) return "";
  const { file, typed } = await read(item);
  const codes = await codesOn(file, item.url, me.csrf);
  if (!codes) return "offline";
  const isUsed = !dispatchEvent(new CustomEvent("dock-number", { detail: { id: item.id, codes }, cancelable: true }));
  if (isUsed || codes.some((code) => plain(code) === plain(typed))) await store.drop("items", item.id);
  else await store.put("items", { ...item, state: "look", why: compared(codes, typed) });
  told();
  return "";
}

// Returns the codes on a photo, none where there are none, null where nobody answered.
async function codesOn(file, url, csrf) {
  const form = new FormData();
  form.set("csrfmiddlewaretoken", csrf);
  form.set("photo", file);
  try {
    const answer = await fetch(url, { method: "POST", body: form, signal: AbortSignal.timeout(LONGEST) });
    const { codes = [] } = await answer.json();
    return PASSING.includes(answer.status) ? null : codes;
  } catch {
    return null;
  }
}

const plain = (number) => number.replace(/[^0-9a-z]/gi, "").toUpperCase();

function compared(codes, typed) {
  const shown = codes.length ? `The photo says ${codes.join(" or ")}.` : "No code could be read on this photo.";
  if (!typed) return shown;
  return `${shown} You typed ${typed}. Compare them, and correct what is wrong.`;
}
