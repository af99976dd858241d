// Draw marks on a photo by touch, mouse or keys. Without this file the same marks are
// typed as percentages: here each mark is one line of that form, and nothing else.

import { circleAround, drawDot, drawMark } from "./markup_shapes.mjs";

const NAMES = { circle: "Circle", arrow: "Arrow", measure: "Measure line", words: "Words" };
const NEEDS = { circle: [], arrow: [], measure: ["length", "unit"], words: ["text"] };
const FIELDS = ["kind", "x1", "y1", "x2", "y2", "text", "length", "unit"];
const FIRST = {
  circle: "Tap the middle of the damage, then its edge. Or drag.",
  arrow: "Tap where the arrow begins, then what it points at. Or drag.",
  measure: "Tap one end, then the other. Or drag.",
  words: "Tap where the words begin.",
};
const [LEAST, STEP] = [20, 10]; // thousandths, as in inventory/rules/evidence/markup.py

const box = document.querySelector("[data-marking]");
const form = document.querySelector("[name='mark-TOTAL_FORMS']")?.form;
const stage = box?.querySelector("[data-stage]");
const svg = stage?.querySelector("svg.marks");
const list = box?.querySelector("[data-list]");
const tools = box?.querySelectorAll("[data-tool]");
const high = Number(svg?.dataset.high);
const lines = [];
const past = [];
let tool = "";
let start = null;
let chosen = -1;

const clamp = (value) => Math.min(1000, Math.max(0, Math.round(value)));
const mark = (line) => Object.fromEntries(FIELDS.map((name) => {
  const text = line[name].value;
  return [name, name.length === 2 ? Math.round(Number.parseFloat(text || "0") * 10) : text];
}));
const used = () => lines.filter((line) => line.kind.value);
const named = (line) => `${used().indexOf(line) + 1}. ${NAMES[line.kind.value]}`;

function say(text) {
  box.querySelector("[data-says]").textContent = text;
}

function write(line, values) {
  for (const name of FIELDS) {
    const value = values[name] ?? "";
    line[name].value = typeof value === "number" ? String(value / 10) : value;
  }
}

function remember() {
  past.push(lines.map((line) => FIELDS.map((name) => line[name].value)));
}

function draw() {
  svg.replaceChildren();
  used().forEach((line) => drawMark(svg, mark(line), high));
  if (start) drawDot(svg, start, high);
  const had = list.contains(document.activeElement);
  list.replaceChildren(...used().map((line) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "btn";
    button.textContent = named(line);
    button.setAttribute("aria-pressed", String(lines.indexOf(line) === chosen));
    button.addEventListener("click", () => choose(lines.indexOf(line)));
    return button;
  }));
  if (had) list.querySelector("[aria-pressed=true]")?.focus();
  lines.forEach((line, at) => {
    const wanted = at === chosen ? NEEDS[line.kind.value] ?? [] : [];
    for (const name of FIELDS) {
      const field = line[name].closest(".field");
      field.hidden = !wanted.includes(name) && !field.classList.contains("wrong");
    }
    line.row.hidden = [...line.row.children].every((field) => field.hidden);
  });
  form.querySelector("fieldset.group").hidden = lines.every((line) => line.row.hidden);
  box.querySelector("[data-keys]").hidden = chosen < 0;
  tools.forEach((button) => button.setAttribute("aria-pressed", String(button.dataset.tool === tool)));
  box.querySelector("[data-middle]").disabled = !tool;
  box.querySelector("[data-undo]").disabled = !past.length;
  box.querySelector("[data-clear]").disabled = !used().length;
  stage.classList.toggle("drawing", tool !== "");
}

function choose(at, words = "") {
  chosen = at;
  draw();
  list.querySelector("[aria-pressed=true]")?.focus();
  if (at >= 0) say(words || `${named(lines[at])} chosen.`);
}

function place(from, to) {
  const line = lines.find((one) => !one.kind.value);
  const kind = tool;
  const short = Math.max(Math.abs(to.x - from.x), Math.abs(to.y - from.y)) < LEAST;
  if (!line) return say(`A photo takes at most ${lines.length} marks. Remove one first.`);
  if (short && (kind === "arrow" || kind === "measure")) return say("Both ends are at one place. Tap the other end.");
  remember();
  const points = kind === "circle" ? circleAround(from, to, stage.getBoundingClientRect()) : { x1: from.x, y1: from.y, x2: to.x, y2: to.y };
  write(line, kind === "words" ? { kind, x1: from.x, y1: from.y } : { kind, ...points });
  [tool, start] = ["", null];
  choose(lines.indexOf(line), `${NAMES[kind]} added.${NEEDS[kind].length ? " Type what it says." : ""}`);
  if (NEEDS[kind].length) line[NEEDS[kind][0]].focus();
}

function point(event) {
  const { left, top, width, height } = stage.getBoundingClientRect();
  return { x: clamp((event.clientX - left) / width * 1000), y: clamp((event.clientY - top) / height * 1000) };
}

function release(event) {
  if (!tool || !event.isPrimary) return;
  const end = point(event);
  const far = start && Math.hypot(end.x - start.x, end.y - start.y) > LEAST * 2;
  if (tool === "words") place(end, end);
  else if (start && (far || start.waits)) place(start, end);
  else if (start) {
    start.waits = true;
    say(tool === "circle" ? "Now tap its edge." : "Now tap the other end.");
  }
}

function remove() {
  remember();
  write(lines[chosen], {});
  choose(-1);
  say("Mark removed. Undo brings it back.");
  box.querySelector("[data-undo]").focus();
}

function press(event) {
  const step = { ArrowLeft: [-STEP, 0], ArrowRight: [STEP, 0], ArrowUp: [0, -STEP], ArrowDown: [0, STEP] }[event.key];
  if (chosen < 0 || (!step && event.key !== "Delete")) return;
  event.preventDefault();
  if (!step) return remove();
  const one = mark(lines[chosen]);
  if (event.shiftKey && one.kind === "words") return say("Words have one size.");
  const ends = event.shiftKey ? [["x2", "y2"]] : [["x1", "y1"], ["x2", "y2"]];
  const moved = { ...one };
  for (const [x, y] of ends) Object.assign(moved, { [x]: one[x] + step[0], [y]: one[y] + step[1] });
  const [wide, tall] = [moved.x2 - moved.x1, moved.y2 - moved.y1];
  const small = one.kind === "circle" ? Math.min(wide, tall) : Math.max(Math.abs(wide), Math.abs(tall));
  const corners = one.kind === "words" ? [moved.x1, moved.y1] : [moved.x1, moved.y1, moved.x2, moved.y2];
  if (corners.some((value) => value < 0 || value > 1000) || (one.kind !== "words" && small < LEAST)) {
    return say("It goes no further.");
  }
  remember();
  write(lines[chosen], one.kind === "words" ? { ...moved, x2: "", y2: "" } : moved);
  draw();
  say(`${named(lines[chosen])}: ${moved.x1 / 10} % from the left, ${moved.y1 / 10} % from the top.`);
}

function begin() {
  for (let at = 0; form.elements[`mark-${at}-kind`]; at += 1) {
    const line = Object.fromEntries(FIELDS.map((name) => [name, form.elements[`mark-${at}-${name}`]]));
    line.row = line.kind.closest(".row");
    lines.push(line);
  }
  form.querySelectorAll("details.more").forEach((fold) => { fold.open = true; fold.firstElementChild.hidden = true; });
  form.querySelectorAll("fieldset.group > :is(legend, .hint)").forEach((hint) => { hint.hidden = true; });
  stage.querySelector("[data-grid]")?.remove();
  box.querySelector("[data-tools]").hidden = false;
  tools.forEach((button) => button.addEventListener("click", () => {
    [tool, start] = [button.dataset.tool, null];
    say(FIRST[tool]);
    draw();
  }));
  box.querySelector("[data-middle]").addEventListener("click", () => {
    if (tool) place({ x: 500, y: 500 }, tool === "circle" ? { x: 600, y: 500 } : { x: 700, y: 500 });
  });
  box.querySelector("[data-undo]").addEventListener("click", () => {
    past.pop()?.forEach((values, at) => FIELDS.forEach((name, n) => { lines[at][name].value = values[n]; }));
    chosen = -1;
    say("Undone.");
    draw();
  });
  box.querySelector("[data-clear]").addEventListener("click", () => {
    remember();
    lines.forEach((line) => write(line, {}));
    choose(-1);
    say("All marks cleared. Save to remove them, or undo.");
  });
  stage.addEventListener("pointerdown", (event) => {
    if (!tool || !event.isPrimary) return;
    event.preventDefault();
    stage.setPointerCapture(event.pointerId);
    if (!start) start = point(event);
    draw();
  });
  stage.addEventListener("pointerup", release);
  stage.addEventListener("pointercancel", () => { if (!start?.waits) start = null; });
  // Or the browser would take the focus away from the field to type in.
  stage.addEventListener("mousedown", (event) => event.preventDefault());
  list.addEventListener("keydown", press);
  form.addEventListener("input", draw);
  draw();
}

if (box && form && svg) begin();
