// The strip of photos on a form: each photo is sent the moment it is chosen, and the
// form carries its id. Without this file the plain file field does the same at once.

import * as queue from "./queue.mjs";
import { whenRead } from "./readings.mjs";
import { newId, sendPhoto } from "./sending.mjs";
import { Tile, button, el, icon } from "./tiles.mjs";

let line = Promise.resolve(); // one photo after another: the next never waits for a tap

function say(text) {
  const status = document.getElementById("house-says");
  if (status) status.textContent = text;
}

class Strip {
  constructor(box) {
    this.box = box;
    this.form = box.closest("form");
    this.name = box.dataset.strip;
    this.tiles = [];
    this.open = null;
    this.build(box.querySelector("input[type=file]"));
    this.takeOver();
    this.takeWaiting();
    box.strip = this;
    this.form.addEventListener("submit", (event) => this.hold(event));
    for (const kind of ["online", "dock-send"]) addEventListener(kind, () => this.retryAll());
  }

  // Photos that a form may be queued with: they wait on this phone too.
  get unsent() {
    const left = this.tiles.filter((tile) => tile.state === "failed" && tile.isPassing);
    return left.map(({ photo }) => ({ id: photo.id, field: this.name, once: photo.once }));
  }

  build(plain) {
    this.list = el("ul", "strip");
    this.list.setAttribute("aria-label", this.box.dataset.label || "Photos");
    const accept = plain.accept;
    this.camera = this.chooser("camera", "Take photo", { accept: "image/*", capture: "environment" });
    this.gallery = this.chooser("gallery", "From phone", { accept, multiple: true });
    this.camera.input.id = plain.id;
    this.gallery.input.name = plain.name; // always sent empty
    if (plain.hasAttribute("aria-describedby")) {
      this.camera.input.setAttribute("aria-describedby", plain.getAttribute("aria-describedby"));
    }
    this.about = el("div", "strip-about");
    this.about.hidden = true;
    this.words = el("div", "strip-words");
    this.list.append(this.camera.item, this.gallery.item);
    plain.replaceWith(this.list, this.about, this.words);
  }

  chooser(kind, words, attributes) {
    const item = el("li", `tile tile-${kind}`);
    const label = el("label", "tile-act");
    const input = el("input", "visually-hidden");
    input.type = "file";
    for (const [name, value] of Object.entries(attributes)) input.setAttribute(name, value);
    input.addEventListener("change", (event) => {
      event.stopPropagation(); // the list of chosen files is for plain fields
      const files = [...input.files];
      input.value = "";
      this.add(files);
    });
    label.append(input, icon(kind), el("span", "", words));
    item.append(label);
    return { item, input };
  }

  // Photos that an earlier sending of this form kept are tiles from the start.
  takeOver() {
    for (const box of this.box.closest(".field").querySelectorAll("input[type=checkbox]:checked")) {
      if (![`${this.name}_kept`, `${this.name}_held`].includes(box.name)) continue;
      const row = box.closest("li");
      const tile = this.tile({ name: row.textContent.trim(), held: box.dataset.photo });
      tile.picture(row.querySelector("img")?.src);
      tile.sent(box.name, box.value);
      const rows = row.parentElement;
      row.remove();
      if (!rows.children.length) rows.remove();
    }
  }

  // Where the page has no kind of its own, the form says kind and caption.
  get kind() {
    const { kind, caption } = this.form.elements;
    return this.box.dataset.kind ? { kind: this.box.dataset.kind } : { kind: kind.value, caption: caption.value, says: kind.selectedOptions[0].text };
  }

  // Photos of this page that an earlier visit could not send.
  async takeWaiting() {
    const waiting = await queue.items();
    const used = new Set(waiting.flatMap((item) => (item.photos ?? []).map((one) => one.id)));
    for (const item of waiting) {
      if (item.type !== "photo" || item.url !== this.box.dataset.url || used.has(item.id)) continue;
      if (item.once) {
        await this.takeHeld(item);
        continue;
      }
      const photo = await queue.read(item).catch(() => null);
      if (!photo || (this.box.dataset.kind && photo.kind !== this.box.dataset.kind)) continue;
      queue.managed.add(item.id);
      const tile = this.tile({ ...item, ...photo });
      tile.picture(URL.createObjectURL(photo.file));
      this.send(tile);
    }
  }

  // A form that comes back after an error carries its held photos: each has its picture here.
  async takeHeld(item) {
    if (item.once !== this.form.elements.once?.value) return;
    const tile = this.tiles.find((one) => one.photo.held === item.id);
    const photo = tile && await queue.read(item).catch(() => null);
    if (!photo) return;
    tile.photo = { ...tile.photo, ...item, ...photo };
    tile.picture(URL.createObjectURL(photo.file));
    this.settle(tile);
  }

  settle(tile) {
    tile.isHeld = tile.state === "sent"; // of a truck that is not logged yet
    queue.managed.add(tile.photo.id);
    queue.settled.add(tile.photo.id);
    queue.told();
  }

  tile(photo) {
    const tile = new Tile(photo, () => this.show(tile));
    this.tiles.push(tile);
    this.gallery.item.before(tile.item);
    this.number();
    return tile;
  }

  number() {
    this.tiles.forEach((tile, index) => tile.called(index + 1));
  }

  add(files) {
    const old = this.replaced;
    this.replaced = null;
    for (const file of files) {
      const tile = this.tile({
        id: newId(),
        file,
        name: file.name,
        url: this.box.dataset.url,
        ...this.kind,
        token: this.box.dataset.token,
        once: "waits" in this.box.dataset ? this.form.elements.once?.value ?? "" : "",
      });
      tile.picture(URL.createObjectURL(file));
      queue.managed.add(tile.photo.id);
      tile.kept = queue.keepPhoto(tile.photo).catch(() => false);
      this.send(tile);
    }
    if (files.length && old) this.remove(old);
    else if (files.length) say(`${files.length} chosen. ${this.tiles.length} on this form.`);
  }

  send(tile) {
    queue.settled.delete(tile.photo.id);
    tile.waiting();
    this.show(this.open);
    line = line.then(() => this.sendNow(tile));
  }

  async sendNow(tile) {
    if (tile.isGone) return;
    await tile.kept;
    const answer = await this.tried(tile);
    if (tile.isGone) return;
    if (answer.state === "sent") {
      tile.sent(`${this.name}_kept`, answer.body.id, answer.body);
      await queue.arrived(tile.photo.id, answer.body);
      this.watch(tile, answer.body.reading);
    } else if (answer.state === "held") tile.sent(`${this.name}_held`, answer.body.held, answer.body);
    else tile.failed(answer);
    if (answer.state === "held" || (tile.state === "failed" && !tile.isPassing)) this.settle(tile);
    say(tile.sentence);
    this.show(tile.state === "failed" ? tile : this.open);
    this.remarks();
    this.goOn();
  }

  // A photo is read after it was sent: what is noticed on it is said as soon as it is.
  async watch(tile, address) {
    const told = address && (await whenRead(address));
    if (!told || tile.isGone) return;
    tile.noticed(told);
    if (told.remarks.length) say(tile.sentence);
    this.remarks();
  }

  async tried(tile) {
    const how = { hold: true, signal: tile.signal, onProgress: (share) => tile.progress(share) };
    const known = this.form.elements.csrfmiddlewaretoken?.value;
    const answer = known ? await sendPhoto(tile.photo, { ...how, csrf: known }) : { status: 403 };
    if (answer.status !== 403 || answer.body) return answer;
    const me = await queue.whoIsHere(); // the page is older than the sign-in
    return me.state === "here" ? sendPhoto(tile.photo, { ...how, csrf: me.csrf }) : me;
  }

  retryAll() {
    if (!this.form.isConnected) return; // it waits on this phone, and its photos with it
    for (const tile of this.tiles) if (tile.state === "failed" && tile.isPassing) this.send(tile);
  }

  remove(tile) {
    const wasSent = tile.state === "sent" && !tile.isHeld;
    tile.drop();
    queue.managed.delete(tile.photo.id);
    queue.settled.delete(tile.photo.id);
    if (!wasSent) queue.remove(tile.photo.id);
    this.tiles = this.tiles.filter((one) => one !== tile);
    this.number();
    if (this.open === tile) this.show(null);
    this.remarks();
    say(wasSent ? "Not used on this form. The original stays saved." : "Removed.");
    this.goOn();
  }

  retake(tile) {
    this.replaced = tile;
    this.camera.input.click();
  }

  show(tile) {
    this.open = tile;
    this.tiles.forEach((one) => one.pressed(one === tile));
    this.about.hidden = !tile;
    if (!tile) return;
    const acts = el("div", "strip-acts");
    if (tile.state === "failed") acts.append(button("Retry", () => this.send(tile)));
    if (tile.state === "sent") acts.append(button("Take it again", () => this.retake(tile)));
    acts.append(button("Remove", () => this.remove(tile)));
    this.about.className = `strip-about ${tile.state}${tile.state === "failed" && !tile.isPassing ? " long" : ""}`;
    this.about.replaceChildren(tile.words(), acts);
  }

  remarks() {
    const rows = this.tiles.filter((tile) => tile.remarks.length).map((tile) => {
      const row = el("div", "strip-remark");
      row.append(tile.thumbnail(), el("p", "", `Photo ${tile.place}: ${tile.remarks.join(" ")}`));
      if (tile.asksAgain) row.append(button("Take it again", () => this.retake(tile)));
      return row;
    });
    this.words.replaceChildren(...rows);
  }

  // A form is not sent past a photo that is still on its way, or that was not taken.
  hold(event) {
    const busy = this.tiles.filter((tile) => tile.state === "waiting");
    const failed = this.tiles.find((tile) => tile.state === "failed" && !(tile.isPassing && this.mayWait));
    if (!busy.length && !failed) return;
    event.preventDefault();
    this.submitter = busy.length ? event.submitter ?? true : null;
    if (busy.length) {
      say(`Sending ${busy.length === 1 ? "1 photo" : `${busy.length} photos`} first.`);
      return;
    }
    this.show(failed);
    this.about.scrollIntoView({ block: "center" });
    this.about.querySelector("button").focus();
    say(`${failed.sentence} Retry, or remove it. Nothing else on this page is lost.`);
  }

  get mayWait() {
    return queue.canKeep && "queue" in document.querySelector("meta[name=phone]").dataset;
  }

  goOn() {
    if (!this.submitter || this.tiles.some((tile) => tile.state === "waiting")) return;
    const pressed = this.submitter;
    this.submitter = null;
    this.form.requestSubmit(pressed === true ? undefined : pressed);
  }
}

for (const box of document.querySelectorAll("[data-strip]")) new Strip(box);
