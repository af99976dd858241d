// Small comforts. Every page works without this file; nothing here holds a rule.

const EACH = (root, selector, act) => root.querySelectorAll(selector).forEach(act);

function say(text) {
  const line = document.getElementById("house-says");
  if (line) line.textContent = text;
}

async function copyFrom(button) {
  const source = document.getElementById(button.dataset.copy);
  if (!source) return;
  const text = "value" in source ? source.value : source.textContent.trim();
  try {
    await navigator.clipboard.writeText(text);
    say("Copied.");
    button.textContent = "Copied";
  } catch {
    const range = document.createRange();
    range.selectNodeContents(source);
    const chosen = getSelection();
    chosen.removeAllRanges();
    chosen.addRange(range);
    say("The text is selected. Copy it with your keyboard or menu.");
  }
}

function addStepper(input) {
  if (input.parentElement.classList.contains("stepper")) return;
  const box = document.createElement("div");
  box.className = "stepper";
  input.before(box);
  const name = input.labels?.[0]?.firstChild?.textContent.trim() || "count";
  const low = Number(input.dataset.stepperMin ?? 0);
  const make = (sign, word, by) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "btn";
    button.textContent = sign;
    button.setAttribute("aria-label", `${word}: ${name}`);
    button.addEventListener("click", () => {
      const now = Number.parseInt(input.value, 10);
      input.value = String(Math.max(low, (Number.isNaN(now) ? 0 : now) + by));
      input.dispatchEvent(new Event("input", { bubbles: true }));
      input.dispatchEvent(new Event("change", { bubbles: true }));
      say(`${name}: ${input.value}`);
    });
    return button;
  };
  box.append(make("\u2212", "One fewer", -1), input, make("+", "One more", 1));
}

function showChosen(input) {
  const old = input.parentElement.querySelector("ul.chosen");
  if (old) {
    EACH(old, "img", (image) => URL.revokeObjectURL(image.src));
    old.remove();
  }
  if (!input.files.length) return;
  const list = document.createElement("ul");
  list.className = "chosen";
  for (const file of input.files) {
    const item = document.createElement("li");
    if (input.dataset.previews === "pictures" && file.type.startsWith("image/")) {
      const image = document.createElement("img");
      image.alt = "";
      image.src = URL.createObjectURL(file);
      image.addEventListener("error", () => image.remove());
      item.append(image);
    }
    const size = Math.max(1, Math.round(file.size / 1024)).toLocaleString();
    const words = document.createElement("span");
    words.textContent = `${file.name}, ${size} KB, not sent yet`;
    item.append(words);
    list.append(item);
  }
  input.after(list);
  say(`${input.files.length} chosen.`);
}

function filterRows(input) {
  const wanted = input.value.trim().toLowerCase();
  let shown = 0;
  EACH(document, `#${CSS.escape(input.dataset.filter)} [data-row]`, (row) => {
    row.hidden = wanted !== "" && !row.textContent.toLowerCase().includes(wanted);
    if (!row.hidden) shown += 1;
  });
  say(`${shown} shown.`);
}

// A chip that was tapped by mistake is tapped again.
function untap(event) {
  const chip = event.target.closest(".chip");
  const input = chip?.querySelector("input[type=radio]");
  if (!input || event.target === input) return;
  if (input.checked) {
    event.preventDefault();
    input.checked = false;
    input.dispatchEvent(new Event("change", { bubbles: true }));
  }
}

function countLetters(input) {
  const label = input.labels?.[0];
  if (!label) return;
  let line = label.querySelector(".counted");
  if (!line) {
    line = document.createElement("span");
    line.className = "counted";
    line.setAttribute("aria-hidden", "true");
    label.append(line);
  }
  line.textContent = `${input.value.length} of ${input.dataset.counts}`;
}

function sendOnce(event) {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post" || form.target) return;
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = "yes";
  // Disabled after this turn, so that the pressed button's own value is still sent.
  setTimeout(() => EACH(form, "button[type=submit]", (button) => {
    button.setAttribute("aria-disabled", "true");
  }), 0);
  say("Sending.");
}

function forget(root) {
  EACH(root, "form[data-sent]", (form) => {
    delete form.dataset.sent;
    EACH(form, "[aria-disabled]", (button) => button.removeAttribute("aria-disabled"));
  });
}

function furnish(root) {
  EACH(root, "button[data-copy]", (button) => { button.hidden = false; });
  EACH(root, "input[data-stepper]", addStepper);
  EACH(root, "input[data-filter]", (input) => {
    const box = input.closest("[data-filter-box]");
    if (box) box.hidden = false;
  });
  EACH(root, "input[data-counts]", countLetters);
  EACH(root, "form[data-sends-itself]", (form) => form.classList.add("alone"));
  EACH(root, "[data-closes]", (button) => { button.hidden = false; });
  root.querySelector("[data-takes-focus]")?.focus();
}

document.addEventListener("click", (event) => {
  const copy = event.target.closest("button[data-copy]");
  if (copy) copyFrom(copy);
  if (event.target.closest("button[data-print]")) print();
  untap(event);
  const closes = event.target.closest("button[data-closes]");
  if (closes) document.getElementById(closes.dataset.closes)?.removeAttribute("open");
  // Only a tap moves on: with the arrow keys a person is still choosing.
  const then = event.detail > 0 ? event.target.closest(".chip")?.querySelector("[data-then]") : null;
  if (then) setTimeout(() => document.getElementById(then.dataset.then)?.focus(), 0);
});
document.addEventListener("change", (event) => {
  const form = event.target.closest?.("form[data-sends-itself]");
  if (form && event.target.files?.length) form.requestSubmit();
  if (event.target.matches?.("input[type=file]")) showChosen(event.target);
});
document.addEventListener("input", (event) => {
  if (event.target.matches?.("input[data-filter]")) filterRows(event.target);
  if (event.target.matches?.("input[data-counts]")) countLetters(event.target);
});
document.addEventListener("submit", sendOnce);
// Coming back with the browser's own button finds the form usable again.
addEventListener("pageshow", () => forget(document));
furnish(document);
EACH(document, "button[data-print]", (button) => { button.hidden = false; });
if (document.querySelector("input[data-scan]")) import("./scan.mjs");
