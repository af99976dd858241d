// Sending one photo, and saying what became of it. No page, no store: see photos.mjs
// and queue.mjs.

const STALLED = 30_000; // milliseconds without a byte moving
const PASSING = [0, 429, 502, 503, 504]; // no signal, or no server behind the door

export function newId() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  return hex(bytes).replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

export function hex(bytes) {
  return Array.from(new Uint8Array(bytes), (one) => one.toString(16).padStart(2, "0")).join("");
}

// Without HTTPS a browser does not hash; the server's answer then counts alone.
export async function hashOf(file) {
  if (!crypto.subtle) return "";
  return hex(await crypto.subtle.digest("SHA-256", await file.arrayBuffer()));
}

// Returns { state, body }: sent, held (until its truck is logged), waits (for its
// truck), offline, signed-out, barred (this person may not), refused.
export async function sendPhoto(photo, { csrf, hold = false, onProgress, signal } = {}) {
  const sha256 = await hashOf(photo.file);
  const form = new FormData();
  form.set("csrfmiddlewaretoken", csrf);
  form.set("client_id", photo.id);
  form.set("kind", photo.kind);
  form.set("caption", photo.caption ?? "");
  form.set("token", photo.token ?? "");
  form.set("once", photo.once ?? "");
  form.set("claimed", photo.claimed ?? "");
  form.set("sha256", sha256);
  if (hold) form.set("hold", "on");
  form.set("photo", photo.file, photo.name || "photo.jpg");
  const { status, body } = await post(photo.url, form, onProgress, signal);
  return { state: stateOf(status, body, sha256), status, body };
}

function stateOf(status, body, sha256) {
  const isWhole = body && (!sha256 || body.sha256 === sha256);
  if (status === 200 || status === 201) return isWhole ? "sent" : "offline";
  if (status === 202) return isWhole ? "held" : "offline";
  if (status === 401) return "signed-out";
  if (status === 409) return "waits";
  if (PASSING.includes(status) || !body) return "offline";
  return status === 403 || status === 507 ? "barred" : "refused";
}

function post(url, form, onProgress, signal) {
  return new Promise((resolve) => {
    const call = new XMLHttpRequest();
    let clock = 0;
    const lively = () => {
      clearTimeout(clock);
      clock = setTimeout(() => call.abort(), STALLED);
    };
    call.open("POST", url);
    call.setRequestHeader("Dock-Phone", "1");
    call.upload.addEventListener("progress", (event) => {
      lively();
      if (event.lengthComputable) onProgress?.(Math.round((100 * event.loaded) / event.total));
    });
    call.addEventListener("loadend", () => {
      clearTimeout(clock);
      resolve({ status: call.status, body: read(call.responseText) });
    });
    signal?.addEventListener("abort", () => call.abort());
    lively();
    call.send(form);
  });
}

function read(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
