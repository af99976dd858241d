// One photo of a strip as a tile: its picture, its state in colour, word and mark.

const PATHS = {
  camera: "M4 8h5l2-3h6l2 3h5v15H4zM14 11.5a4 4 0 1 0 .01 0z",
  gallery: "M4 5h20v18H4zM4 19l6-6 5 5 3-3 6 6M18 9.5h.01",
  sent: "M5 15l6 6L23 7",
  waiting: "M14 24V5M6 13l8-8 8 8",
  failed: "M22 9A9 9 0 1 0 23 16M22 3v6h-6",
};

export function el(name, className = "", words = "") {
  const made = document.createElement(name);
  if (className) made.className = className;
  if (words) made.textContent = words;
  return made;
}

export function button(words, act) {
  const made = el("button", "btn", words);
  made.type = "button";
  made.addEventListener("click", act);
  return made;
}

export function icon(kind) {
  const space = "http://www.w3.org/2000/svg";
  const made = document.createElementNS(space, "svg");
  const path = document.createElementNS(space, "path");
  made.setAttribute("viewBox", "0 0 28 28");
  made.setAttribute("aria-hidden", "true");
  made.classList.add("mark");
  path.setAttribute("d", PATHS[kind]);
  made.append(path);
  return made;
}

export class Tile {
  constructor(photo, onOpen) {
    this.photo = photo;
    this.state = "waiting";
    this.remarks = [];
    this.stopper = new AbortController();
    this.item = el("li", "tile");
    this.face = el("button", "tile-act");
    this.face.type = "button";
    this.face.addEventListener("click", onOpen);
    this.image = el("img");
    this.image.alt = "";
    this.word = el("span", "tile-word");
    this.bar = el("progress");
    this.bar.max = 100;
    this.bar.setAttribute("aria-label", "Sent so far");
    this.face.append(this.image, this.word);
    this.item.append(this.face, this.bar);
  }

  get signal() { return this.stopper.signal; }

  get sentence() {
    if (this.state === "sent") return `Photo ${this.place} is sent. ${this.remarks.join(" ")}`.trim();
    if (this.state === "failed") return `Photo ${this.place} is not sent. ${this.why}`;
    return `Photo ${this.place} is on its way.`;
  }

  called(place) {
    this.place = place;
    this.name();
  }

  name() {
    this.face.setAttribute("aria-label", `${this.sentence} ${this.photo.name ?? ""}`.trim());
  }

  picture(address) {
    this.image.hidden = !address;
    if (!address) return;
    this.image.src = address;
    this.image.addEventListener("error", () => { this.image.hidden = true; });
  }

  turn(state, words) {
    this.state = state;
    this.item.dataset.state = state;
    this.word.replaceChildren(icon(state), el("span", "", words));
    this.bar.hidden = state !== "waiting";
    this.name();
  }

  waiting() {
    this.stopper = new AbortController();
    this.bar.value = 0;
    this.turn("waiting", "Next");
  }

  progress(share) {
    this.bar.value = share;
    this.word.lastChild.textContent = `${share}%`;
  }

  sent(name, value, { remarks = [], retake = false } = {}) {
    this.noticed({ remarks, retake });
    const tick = el("input");
    Object.assign(tick, { type: "hidden", name, value });
    this.item.append(tick);
    this.turn("sent", "Sent");
  }

  noticed({ remarks, retake }) {
    this.remarks = remarks;
    this.asksAgain = retake;
    if (this.state === "sent") this.name();
  }

  failed({ state, body }) {
    this.isPassing = state === "offline" || state === "signed-out";
    this.why = body?.error ?? "No signal. It is still on this phone.";
    this.turn("failed", "Not sent");
  }

  pressed(isOpen) {
    this.face.setAttribute("aria-expanded", String(isOpen));
  }

  words() {
    const box = el("div");
    const states = { sent: "sent", failed: "not sent", waiting: "on its way" };
    box.append(el("p", "strip-name", `Photo ${this.place}: ${states[this.state]}`));
    if (this.state === "failed") box.append(el("p", "", this.why));
    else box.append(el("p", "quiet", [this.photo.says, this.photo.name].filter(Boolean).join(", ")));
    return box;
  }

  thumbnail() {
    const copy = this.image.cloneNode();
    copy.className = "strip-thumb";
    return copy;
  }

  get isGone() { return this.signal.reason === "gone"; }

  drop() {
    this.stopper.abort("gone");
    this.item.remove();
    URL.revokeObjectURL(this.image.src);
  }
}
