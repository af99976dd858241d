// Forms of the dock and the bench that wait on the phone while there is no signal.

import * as queue from "./queue.mjs";
import { el } from "./tiles.mjs";

function say(text) {
  const line = document.getElementById("house-says");
  if (line) line.textContent = text;
}

function takes(form) {
  if (form.method !== "post" || !form.closest("main")) return false;
  return [...form.querySelectorAll("input[type=file]")].every((input) => !input.files.length);
}

function unsent(form) {
  return [...form.querySelectorAll("[data-strip]")].flatMap((box) => box.strip?.unsent ?? []);
}

function fieldsOf(form, submitter) {
  return [...new FormData(form, submitter)].filter(
    ([name, value]) => typeof value === "string" && name !== "csrfmiddlewaretoken",
  );
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (event.defaultPrevented || !takes(form)) return;
  event.preventDefault();
  if (form.dataset.queueing) return;
  form.dataset.queueing = "yes";
  say("Sending.");
  const fields = fieldsOf(form, event.submitter);
  const photos = unsent(form);
  const answer = photos.length ? { state: "offline" } : await sent(form, fields);
  if (answer.state === "done") {
    if (form.dataset.item) await queue.remove(form.dataset.item);
    location.assign(answer.page);
    return;
  }
  const isPassing = ["offline", "signed-out"].includes(answer.state);
  if (isPassing && (await keep(form, fields, photos, event.submitter))) return;
  nativeSubmit(form, event.submitter);
});

async function sent(form, fields) {
  const csrf = form.elements.csrfmiddlewaretoken?.value ?? (await queue.whoIsHere()).csrf;
  return csrf ? queue.sendForm(form.action, fields, csrf) : { state: "offline" };
}

// Held photos are bytes without a row, swept after a day: they wait here instead.
async function keep(form, fields, photos, submitter) {
  const { pathname, search } = new URL(form.action);
  const title = document.querySelector("h1")?.textContent.trim() ?? "";
  const isKept = await queue.keepForm({
    id: form.dataset.item,
    url: pathname + search,
    title: submitter?.textContent.trim() ? `${title}: ${submitter.textContent.trim()}` : title,
    fields: fields.filter(([name]) => !name.endsWith("_held")),
    photos: photos.filter((one) => !one.once),
    once: form.elements.once?.value ?? "",
  });
  if (!isKept) return false;
  queue.managed.clear();
  const note = el("div", "notice running saved-here");
  note.tabIndex = -1;
  const words = el("p");
  words.append(el("span", "notice-word", "Saved on this phone."), " It is sent when there is signal. Keep this phone.");
  const way = el("a", "", "New truck, and what was open in this shift");
  way.href = document.querySelector("meta[name=phone]").dataset.offline;
  const on = el("p");
  on.append(way);
  note.append(words, on);
  form.replaceWith(note);
  note.scrollIntoView({ block: "center" });
  note.focus();
  say("No signal. Saved on this phone.");
  return true;
}

function nativeSubmit(form, submitter) {
  if (submitter?.name) {
    const pressed = el("input");
    Object.assign(pressed, { type: "hidden", name: submitter.name, value: submitter.value });
    form.append(pressed);
  }
  HTMLFormElement.prototype.submit.call(form);
}

// A form that the server did not take is opened again as it was, to be mended.
async function fill() {
  const id = new URLSearchParams(location.hash.slice(1)).get("mend");
  const item = id && (await queue.items()).find((one) => one.id === id);
  const kept = item && (await queue.read(item));
  const form = kept && document.querySelector("main form[method=post]");
  if (!form) return;
  form.dataset.item = id;
  const arrived = item.photos.map((one) => [`${one.field}_kept`, item.arrived[one.id]]);
  const names = new Set(kept.fields.map(([name]) => name));
  for (const box of form.querySelectorAll("[type=checkbox], [type=radio]")) if (names.has(box.name)) box.checked = false;
  for (const [name, value] of [...kept.fields, ...arrived]) set(form, name, value);
  form.dispatchEvent(new Event("change", { bubbles: true }));
  say("As you sent it. Mend it and save it again.");
}

function set(form, name, value) {
  if (name === "version" || name.endsWith("_batch")) return;
  const inputs = [...form.querySelectorAll(`[name="${CSS.escape(name)}"]`)].filter((one) => one.type !== "file");
  const box = inputs.find((one) => ["checkbox", "radio"].includes(one.type) && one.value === value);
  if (box) box.checked = true;
  else if (name.endsWith("_kept")) form.append(Object.assign(el("input"), { type: "hidden", name, value }));
  else if (inputs.length && !["checkbox", "radio"].includes(inputs[0].type)) inputs[0].value = value;
}

addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-queueing]")) delete form.dataset.queueing;
});
if (location.hash.includes("mend=")) fill();
