// A reading in inches goes up and down by a sixteenth with a tap; typing stays as it is.
// Server: the same fields without the buttons (class "short", data-step).

const SIGNS = { "¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8" };
const FORM = /^(?:(\d+)(?:\s+|-))?(\d+)\/(\d+)$|^(\d+)(?:\.(\d+))?$/;

/** Return the sixteenths of a reading as typed, or null where it is none of ours. */
export function sixteenths(text) {
  let bare = text.trim().replace(/\s*(in\.?|inch(es)?|")$/i, "").trim();
  bare = bare.replace(/[¼½¾⅛⅜⅝⅞]/u, (sign) => ` ${SIGNS[sign]}`).trim();
  const found = FORM.exec(bare);
  if (!found) return null;
  const [, whole, top, bottom, plain, decimals] = found;
  const value = plain === undefined
    ? 16 * Number(whole ?? 0) + (16 * Number(top)) / Number(bottom)
    : 16 * Number(`${plain}.${decimals ?? 0}`);
  return Number.isFinite(value) ? value : null;
}

/** Return sixteenths as a tape is read: 3 3/4. */
export function onTape(value) {
  const whole = Math.floor(value / 16);
  let top = value % 16;
  let bottom = 16;
  while (top && top % 2 === 0) { top /= 2; bottom /= 2; }
  return [whole || !top ? String(whole) : "", top ? `${top}/${bottom}` : ""].filter(Boolean).join(" ");
}

/** Return where an empty field begins: at a reading beside it, else nowhere. */
function beside(field) {
  for (const other of field.form.querySelectorAll("input[data-step]")) {
    const value = sixteenths(other.value);
    if (value !== null) return value;
  }
  return null;
}

function move(field, by) {
  const empty = field.value.trim() === "";
  const now = empty ? beside(field) : sixteenths(field.value);
  if (now === null) { field.focus(); return; }
  const rounded = by > 0 ? Math.floor(now) + 1 : Math.ceil(now) - 1;
  field.value = onTape(empty ? now : Math.max(0, rounded));
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

function button(field, sign, by, words) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "btn step";
  made.textContent = sign;
  made.setAttribute("aria-label", `${field.labels[0].innerText.trim()}: ${words}`);
  made.addEventListener("click", () => move(field, by));
  return made;
}

for (const field of document.querySelectorAll("input[data-step]")) {
  const around = document.createElement("div");
  around.className = "steps";
  const less = button(field, "−", -1, "1/16 less");
  const more = button(field, "+", 1, "1/16 more");
  field.replaceWith(around);
  around.append(less, field, more);
}
