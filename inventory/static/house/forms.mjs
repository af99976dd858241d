// Forms of the dock and the bench that wait on the phone while there is no signal.

import * as queue from "./queue.mjs";
import { newId } from "./sending.mjs";
import { el } from "./tiles.mjs";

const page = document.querySelector("meta[name=phone]");

function say(text) {
  const line = document.getElementById("house-says");
  if (line) line.textContent = text;
}

function filesOf(form) {
  return [...form.querySelectorAll("input[type=file]")].flatMap((input) => [...input.files]);
}

function unsent(form) {
  return [...form.querySelectorAll("[data-strip]")].flatMap((box) => box.strip?.unsent ?? []);
}

// A form without an id of its own is given one: sent twice, it is saved once.
function fieldsOf(form, submitter) {
  const fields = [...new FormData(form, submitter)].filter(
    ([name, value]) => typeof value === "string" && name !== "csrfmiddlewaretoken",
  );
  if (form.elements.once) return fields;
  form.dataset.once ??= newId();
  return [...fields, ["once", form.dataset.once]];
}

// A button that takes a photo is a form of its own: the photo goes as all others do.
async function sendPhotos(form, files) {
  const { searchParams } = new URL(form.action);
  const subject = new URLSearchParams([...searchParams].filter(([name]) => !["kind", "next"].includes(name)));
  for (const file of files) {
    const photo = { id: newId(), file, name: file.name, kind: form.elements.kind.value, token: "", once: "" };
    if (!(await queue.keepPhoto({ ...photo, url: `${page.dataset.capture}?${subject}` }))) {
      nativeSubmit(form);
      return;
    }
  }
  const stopped = await queue.flush();
  if (!stopped && searchParams.get("next")) location.assign(searchParams.get("next"));
  else {
    form.reset();
    delete form.dataset.queueing;
    say("Saved on this phone. It is sent when there is signal.");
  }
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  const files = filesOf(form);
  const isCamera = files.length > 0 && new URL(form.action).pathname === page.dataset.evidence;
  if (event.defaultPrevented || !form.closest("main") || form.method !== "post") return;
  if (files.length && !isCamera) return; // the browser sends it, whole
  event.preventDefault();
  if (form.dataset.queueing) return;
  form.dataset.queueing = "yes";
  say("Sending.");
  if (isCamera) {
    await sendPhotos(form, files);
    return;
  }
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
    isButton: !form.querySelector("input:not([type=hidden]), select, textarea"),
    photos: photos.filter((one) => !one.once),
    once: form.elements.once?.value ?? "",
  });
  if (!isKept) return false;
  queue.managed.clear();
  queue.settled.clear();
  const note = el("div", "notice running saved-here");
  note.tabIndex = -1;
  const words = el("p");
  words.append(el("span", "notice-word", "Saved on this phone."), " It is sent when there is signal. Keep this phone.");
  const way = el("a", "", "New truck, and what was open in this shift");
  way.href = page.dataset.offline;
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
  const forms = [...document.querySelectorAll("main form[method=post]")];
  const form = kept && (forms.find((one) => new URL(one.action).pathname === item.url.split("?")[0]) ?? forms[0]);
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
