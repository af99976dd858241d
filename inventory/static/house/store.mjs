// What this phone keeps: photos and forms that wait, and the trucks of this shift. All
// of it is locked with a key of the person who is signed in; signing out forgets the key.

import { hex } from "./sending.mjs";

const SHIFT = 12 * 60 * 60 * 1000; // milliseconds
const STORES = { items: "id", keys: "person", shift: "url" };

export const canKeep = globalThis.isSecureContext && "indexedDB" in globalThis && Boolean(crypto.subtle);

let opened = null;

function open() {
  opened ??= new Promise((resolve, reject) => {
    const ask = indexedDB.open("dock", 1);
    ask.onupgradeneeded = () => {
      for (const [name, keyPath] of Object.entries(STORES)) ask.result.createObjectStore(name, { keyPath });
    };
    ask.onsuccess = () => resolve(ask.result);
    ask.onerror = () => reject(ask.error);
  });
  return opened;
}

async function run(store, mode, act) {
  const database = await open();
  return new Promise((resolve, reject) => {
    const turn = database.transaction(store, mode, { durability: "strict" });
    const ask = act(turn.objectStore(store));
    turn.oncomplete = () => resolve(ask.result);
    turn.onabort = () => reject(turn.error);
  });
}

export const put = (store, row) => run(store, "readwrite", (rows) => rows.put(row));
export const get = (store, key) => run(store, "readonly", (rows) => rows.get(key));
export const all = (store) => run(store, "readonly", (rows) => rows.getAll());
export const drop = (store, key) => run(store, "readwrite", (rows) => rows.delete(key));

export const forgetKeys = () => run("keys", "readwrite", (rows) => rows.clear());

// The one who is signed in on this phone: { person, name, places, key }, or null.
export async function holder() {
  const rows = await all("keys");
  const row = rows.find((one) => one.until > Date.now());
  if (!row && rows.length) await forgetKeys();
  return row ?? null;
}

export async function holdKey({ person, name, places, secret }) {
  const hash = { name: "HMAC", hash: "SHA-256" };
  const key = await crypto.subtle.importKey("raw", bytes(secret), hash, false, ["sign"]);
  await forgetKeys();
  await put("keys", { person, name, places, key, until: Date.now() + SHIFT });
}

function bytes(text) {
  return Uint8Array.from(text.match(/../g), (pair) => Number.parseInt(pair, 16));
}

// The key of one item: of the page's word for a photo, of its person otherwise.
async function keyFor(owner, word) {
  const drawn = await crypto.subtle.sign("HMAC", owner.key, new TextEncoder().encode(word));
  return keyFrom(hex(drawn));
}

export function keyFrom(text) {
  return crypto.subtle.importKey("raw", bytes(text), "AES-GCM", false, ["encrypt", "decrypt"]);
}

export async function lock(owner, word, data) {
  const iv = crypto.getRandomValues(new Uint8Array(12));
  const key = await keyFor(owner, word);
  return { iv, data: await crypto.subtle.encrypt({ name: "AES-GCM", iv }, key, data) };
}

export async function unlock(ownerOrKey, word, { iv, data }) {
  const key = ownerOrKey instanceof CryptoKey ? ownerOrKey : await keyFor(ownerOrKey, word);
  return crypto.subtle.decrypt({ name: "AES-GCM", iv }, key, data);
}

export const packed = (value) => new TextEncoder().encode(JSON.stringify(value));
export const unpacked = (data) => JSON.parse(new TextDecoder().decode(data));

// -- the trucks and machines of this shift -----------------------------------------

export async function remember(url, told) {
  const owner = await holder();
  if (!owner) return;
  const locked = await lock(owner, url, packed(told));
  await put("shift", { url, person: owner.person, at: Date.now(), locked });
}

export async function shiftOf(owner) {
  const shown = [];
  for (const row of await all("shift")) {
    if (row.at < Date.now() - SHIFT) await drop("shift", row.url);
    else if (row.person === owner.person) shown.push(unpacked(await unlock(owner, row.url, row.locked)));
  }
  return shown;
}
