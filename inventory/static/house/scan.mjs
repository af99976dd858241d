// "Scan" beside each field for a number (data-scan holds the address that reads photos).
// Where the browser reads codes itself the camera is looked through, in place; elsewhere a
// photo goes to the server, which keeps nothing. Without signal the photo waits on the
// phone, and what it says is compared with what was typed. Without this file numbers are
// typed.

import { keepNumber, noteNumber } from "./queue.mjs";
import { newId } from "./sending.mjs";

const WANTED = ["qr_code", "code_128", "data_matrix", "code_39", "itf"];
const EVERY = 200; // milliseconds between two looks
const TYPE_IT = "Type the number.";
const NO_CAMERA = `The camera cannot be used. Take a photo of the code, or type it.`;

let detector = null;
let open = null; // the panel that is open: { input, box, stream, timer }
const waits = new Map(); // the fields whose photo waits on this phone, by its id
let chooser = null; // kept here, so that the browser does not forget it while it is open

function make(name, attributes, words = "") {
  const part = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) part.setAttribute(key, value);
  part.textContent = words;
  return part;
}

function button(words, act, look = "btn") {
  const made = make("button", { type: "button", class: look }, words);
  made.addEventListener("click", act);
  return made;
}

function say(text) {
  if (open) open.line.textContent = text;
}

function close() {
  if (!open) return;
  clearTimeout(open.timer);
  open.stream?.getTracks().forEach((track) => track.stop());
  open.box.remove();
  open = null;
}

function show(input) {
  close();
  const box = make("div", { class: "scan-panel" });
  const line = make("p", { role: "status" });
  box.append(line);
  (input.closest("form.search") ?? input.closest(".scan-row")).after(box);
  open = { input, box, line, stream: null, timer: 0 };
  return open;
}

function fill(code) {
  const { input } = open;
  close();
  input.value = code;
  input.dispatchEvent(new Event("input", { bubbles: true }));
  input.dispatchEvent(new Event("change", { bubbles: true }));
  input.focus();
  const line = document.getElementById("house-says");
  if (line) line.textContent = `Read: ${code}`;
  if ("scanSends" in input.dataset) input.form.requestSubmit();
}

function offer(codes) {
  if (codes.length === 1) return fill(codes[0]);
  open.box.querySelectorAll("video, .acts").forEach((part) => part.remove());
  open.stream?.getTracks().forEach((track) => track.stop());
  say(`${codes.length} codes were read. Choose one.`);
  const acts = make("div", { class: "acts" });
  acts.append(...codes.map((code) => button(code, () => fill(code), "btn ident")));
  acts.append(button("None of these", close, "btn btn-quiet"));
  open.box.append(acts);
  bringUp(open.box);
  return acts.firstElementChild.focus();
}

async function read(photo, input) {
  const body = new FormData();
  body.append("photo", photo);
  const token = document.querySelector("[name=csrfmiddlewaretoken]");
  const here = show(input);
  say("Reading the photo.");
  let told = null;
  let why = "No signal.";
  try {
    const answer = await fetch(input.dataset.scan, {
      method: "POST", body, headers: { "X-CSRFToken": token?.value ?? "", Accept: "application/json" },
    });
    if (answer.redirected) why = "You were signed out.";
    else told = await answer.json();
  } catch {
    // No answer, or one that is no answer: the photo waits.
  }
  if (!told) {
    await wait(photo, input, why);
    return;
  }
  if (open !== here) return;
  if (told.codes) offer(told.codes);
  else problem(told.problem, input);
}

// The photo stays on the phone until the server has read it; the number is typed now.
async function wait(photo, input, why) {
  const id = newId();
  const about = { id, file: photo, url: input.dataset.scan, label: nameOf(input), typed: input.value };
  const isKept = !("scanSends" in input.dataset) && (await keepNumber(about).catch(() => false));
  const here = show(input);
  const kept = "The photo is saved on this phone, to be compared later.";
  say(isKept ? `${why} ${kept} ${TYPE_IT}` : `${why} The photo could not be read and was not saved. ${TYPE_IT}`);
  here.box.append(make("div", { class: "acts" }));
  here.box.lastChild.append(button("Close", () => { close(); input.focus(); }, "btn btn-quiet"));
  bringUp(here.box);
  input.focus({ preventScroll: true });
  if (!isKept) return;
  waits.set(id, input);
  input.addEventListener("change", () => noteNumber(id, input.value));
}

// A photo that waited was read: it fills the field, unless something was typed there.
addEventListener("dock-number", (event) => {
  const { id, codes } = event.detail;
  const input = waits.get(id);
  if (!input?.isConnected || input.value || !codes.length) return;
  event.preventDefault();
  show(input);
  offer(codes);
});

function problem(words, input) {
  say(words);
  const acts = make("div", { class: "acts" });
  acts.append(button("Take a photo", () => takePhoto(input)), button("Type it", () => { close(); input.focus(); }, "btn btn-quiet"));
  open.box.querySelector(".acts")?.remove();
  open.box.append(acts);
  bringUp(open.box);
}

addEventListener("dock-line", () => { if (open) bringUp(open.box); }); // it moves the page

// The whole panel, above the bar with the page's act: scroll-padding knows how high it is.
function bringUp(box) {
  box.scrollIntoView({ block: "nearest" });
}

function takePhoto(input) {
  chooser = make("input", { type: "file", accept: "image/*", capture: "environment" });
  chooser.addEventListener("change", () => { if (chooser.files.length) read(chooser.files[0], input); });
  chooser.click();
}

async function look(video, here) {
  if (open !== here) return;
  try {
    const codes = (await detector.detect(video)).map((one) => one.rawValue).filter(Boolean);
    if (codes.length && open === here) {
      offer([...new Set(codes)]);
      return;
    }
  } catch {
    // A frame that is not ready yet: the next one will be.
  }
  here.timer = setTimeout(() => look(video, here), EVERY);
}

async function lookThrough(input) {
  const here = show(input);
  let stream = null;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
  } catch {
    if (open === here) problem(NO_CAMERA, input);
    return;
  }
  if (open !== here) {
    stream.getTracks().forEach((track) => track.stop());
    return;
  }
  here.stream = stream;
  const video = make("video", { class: "scan-view", playsinline: "", "aria-label": "What the camera sees" });
  video.muted = true;
  video.srcObject = stream;
  video.play().catch(() => {}); // it may take a while; looking waits by itself
  const acts = make("div", { class: "acts" });
  const stop = button("Stop the camera", () => { close(); input.focus(); }, "btn btn-quiet");
  acts.append(stop);
  here.box.append(video, acts);
  say("The camera is on. Hold the code in front of it.");
  bringUp(here.box);
  look(video, here);
}

const nameOf = (input) => input.labels?.[0]?.firstChild?.textContent.trim() || "the number";

function furnish(input) {
  const scan = button("Scan", () => (detector ? lookThrough(input) : takePhoto(input)), "btn scan");
  scan.append(make("span", { class: "visually-hidden" }, ` ${nameOf(input)}`));
  if (input.form?.classList.contains("search")) {
    input.after(scan);
    return;
  }
  const row = make("div", { class: "scan-row" });
  const had = document.activeElement === input;
  input.before(row);
  row.append(input, scan);
  if (had) input.focus();
}

async function begin() {
  if ("BarcodeDetector" in window && navigator.mediaDevices) {
    const known = await BarcodeDetector.getSupportedFormats();
    const formats = WANTED.filter((name) => known.includes(name));
    if (formats.length) detector = new BarcodeDetector({ formats });
  }
  document.querySelectorAll("input[data-scan]").forEach(furnish);
  addEventListener("pagehide", close);
}

begin();
