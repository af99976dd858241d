// The drawing of one mark, as inventory/rules/evidence/markup_shapes.py draws it: a white
// halo under black ink, on a picture that is 10,000 wide.

const WIDE = 10000;
const LEAST = 20; // thousandths, the least extent of a mark

const clamp = (value) => Math.min(1000, Math.max(0, Math.round(value)));

function add(svg, name, attributes, text = "") {
  for (const [colour, width] of [["white", 150], ["black", 64]]) {
    const part = document.createElementNS("http://www.w3.org/2000/svg", name);
    const written = name === "text";
    const look = { fill: written ? colour : "none", stroke: colour, "stroke-linejoin": "round",
      "stroke-width": written && colour === "black" ? 0 : width, "stroke-linecap": "round" };
    for (const [key, value] of Object.entries({ ...look, ...attributes })) part.setAttribute(key, value);
    part.textContent = text;
    svg.append(part);
  }
}

function label(svg, text, x, y, high) {
  const rows = text.trim().match(/\S.{0,23}(?=\s|$)|\S{1,24}/g) ?? [];
  const wide = Math.max(0, ...rows.map((row) => row.length)) * 290;
  const left = Math.max(140, Math.min(x + 140, WIDE - wide - 140));
  const top = Math.max(460, Math.min(y - 140, high - 140 - 520 * (rows.length - 1)));
  rows.forEach((row, at) => add(svg, "text", { x: left, y: top + at * 520, "font-size": 460, "font-weight": 700 }, row));
}

export function drawMark(svg, one, high) {
  const [ax, ay, bx, by] = [one.x1 * 10, one.y1 * high / 1000, one.x2 * 10, one.y2 * high / 1000];
  const line = (...points) => add(svg, "polyline", { points: points.map((point) => point.join(",")).join(" ") });
  if (one.kind === "words") return label(svg, one.text, ax, ay, high);
  if (one.kind === "circle") {
    return add(svg, "ellipse", { cx: (ax + bx) / 2, cy: (ay + by) / 2, rx: Math.abs(bx - ax) / 2, ry: Math.abs(by - ay) / 2 });
  }
  line([ax, ay], [bx, by]);
  const whole = Math.hypot(bx - ax, by - ay) || 1;
  const [dx, dy] = [(bx - ax) / whole, (by - ay) / whole];
  if (one.kind === "arrow") {
    const back = [bx - dx * 420, by - dy * 420];
    return line([back[0] - dy * 252, back[1] + dx * 252], [bx, by], [back[0] + dy * 252, back[1] - dx * 252]);
  }
  for (const [x, y] of [[ax, ay], [bx, by]]) line([x - dy * 210, y + dx * 210], [x + dy * 210, y - dx * 210]);
  return label(svg, `${one.length} ${one.unit}`, (ax + bx) / 2, (ay + by) / 2, high);
}

export function drawDot(svg, at, high) {
  add(svg, "circle", { cx: at.x * 10, cy: at.y * high / 1000, r: 90 });
}

// The circle around a middle that reaches an edge, as wide as it is high on the screen.
export function circleAround(middle, edge, { width, height }) {
  const radius = Math.max(Math.hypot((edge.x - middle.x) * width, (edge.y - middle.y) * height), LEAST * width / 2);
  const [rx, ry] = [radius / width, radius / height];
  return { x1: clamp(middle.x - rx), y1: clamp(middle.y - ry), x2: clamp(middle.x + rx), y2: clamp(middle.y + ry) };
}
