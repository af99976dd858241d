// Read a label with the camera, where the browser can. Without this file the page
// takes a photo or typed text; what was read goes the same way as what is typed.

const WANTED = ["qr_code", "code_128", "data_matrix"];
const EVERY = 200; // milliseconds between two looks

const form = document.querySelector("form[data-scan-form]");
const start = form?.querySelector("[data-scan]");
const view = form?.querySelector("[data-scan-view]");
const video = view?.querySelector("video");

let stream = null;
let timer = 0;

function say(text) {
  const line = document.getElementById("house-says");
  if (line) line.textContent = text;
}

function stop() {
  clearTimeout(timer);
  stream?.getTracks().forEach((track) => track.stop());
  stream = null;
  video.srcObject = null;
  view.hidden = true;
  start.hidden = false;
}

function take(code) {
  form.elements.code.value = code;
  stop();
  say("Read. Looking for the crate.");
  form.requestSubmit();
}

async function look(detector) {
  if (!stream) return;
  try {
    const codes = await detector.detect(video);
    const code = codes.find((one) => one.rawValue);
    if (code) {
      take(code.rawValue);
      return;
    }
  } catch {
    // A frame that is not ready yet: the next one will be.
  }
  timer = setTimeout(() => look(detector), EVERY);
}

async function open(detector) {
  start.hidden = true;
  try {
    stream = await navigator.mediaDevices.getUserMedia({
      video: { facingMode: "environment" },
    });
  } catch {
    start.hidden = false;
    say("The camera cannot be used. Take a photo of the label, or type its code.");
    form.elements.code.focus();
    return;
  }
  view.hidden = false;
  video.srcObject = stream;
  video.play().catch(() => {}); // it may take a while; looking waits by itself
  say("The camera is on. Hold the code in front of it.");
  look(detector);
}

async function offer() {
  if (!start || !("BarcodeDetector" in window) || !navigator.mediaDevices) return;
  const known = await BarcodeDetector.getSupportedFormats();
  const formats = WANTED.filter((name) => known.includes(name));
  if (!formats.length) return;
  const detector = new BarcodeDetector({ formats });
  start.hidden = false;
  start.addEventListener("click", () => open(detector));
  view.querySelector("[data-scan-stop]").addEventListener("click", () => {
    stop();
    say("The camera is off.");
    start.focus();
  });
  addEventListener("pagehide", stop);
}

offer();
