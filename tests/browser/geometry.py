"""Measures of a page as it is laid out: targets, gaps, focus, sideways scroll.

The numbers: WCAG 2.2 (W3C Recommendation, 2023-10-05), 2.5.8 target size (24 by 24 CSS
px, or 24 px circles that do not touch), 1.4.10 reflow (no sideways scroll at 320 px),
2.4.11 focus not obscured. 56 px for an act on a phone is our own, from gloves.
"""

from dataclasses import dataclass

MEASURE = """
() => {
  const wanted = "a[href], button, input:not([type=hidden]), select, textarea, summary";
  const shown = (one) => one.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const boxes = [];
  for (const one of document.querySelectorAll(wanted)) {
    if (!shown(one) || one.closest("[aria-hidden=true]")) continue;
    const label = one.closest("label") ?? one.labels?.[0];
    const labelled = label && (/radio|checkbox/.test(one.type) || label.contains(one));
    // A link of a list is tapped anywhere in its row: its ::after lies over the row.
    const row = getComputedStyle(one, "::after").position === "absolute" && one.closest("li");
    const of = (labelled ? label : row || one).getBoundingClientRect();
    if (of.width < 2 || of.height < 2) continue;
    let floats = false;
    for (let up = one; up; up = up.parentElement) {
      floats ||= /sticky|fixed/.test(getComputedStyle(up).position);
    }
    const inline = one.tagName === "A" && getComputedStyle(one).display === "inline";
    boxes.push({
      words: (one.innerText || one.ariaLabel || one.name || one.tagName).trim().slice(0, 40),
      inline, floats, x: of.x + scrollX, y: of.y + scrollY, width: of.width, height: of.height,
      act: one.matches("button, .btn, summary, input:not([type=checkbox]):not([type=radio])"),
    });
  }
  const page = document.documentElement;
  return { boxes, wide: page.scrollWidth, room: page.clientWidth, high: page.scrollHeight };
}
"""

COVERED = """
async () => {
  const wanted = "a[href], button, input:not([type=hidden]), select, textarea, summary";
  const covered = [];
  for (const one of document.querySelectorAll(wanted)) {
    if (!one.checkVisibility({ visibilityProperty: true }) || one.disabled) continue;
    one.focus();
    if (document.activeElement !== one) continue;
    await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
    // A photo field is a hidden input; its last label is the tile that is tapped.
    const label = one.type === "file" ? [...one.labels].at(-1) : one.labels?.[0];
    const byLabel = /radio|checkbox/.test(one.type) || (one.type === "file" && one.offsetWidth < 2);
    // The first line of a link that runs over two: the box of both holds other words too.
    const at = (byLabel && label ? label : one).getClientRects()[0];
    if (!at || at.width < 2 || at.height < 2) continue;
    const top = document.elementFromPoint(at.x + at.width / 2, at.y + Math.min(at.height / 2, 20));
    const own = top && (one.contains(top) || label?.contains(top) || top.contains(one));
    if (!own) covered.push((one.innerText || one.name || one.tagName).trim().slice(0, 40));
  }
  return covered;
}
"""


@dataclass(frozen=True)
class Box:
    """One target as laid out, in CSS px from the top left of the page."""

    words: str
    inline: bool
    floats: bool
    x: float
    y: float
    width: float
    height: float
    act: bool


def complaints_of(page, *, least_act):
    """Return what is wrong with the layout of the open page, one line each.

    ``least_act`` is how high a button must be: 56 on a phone, 24 with a mouse.
    """
    found = page.evaluate(MEASURE)
    boxes = [Box(**one) for one in found["boxes"]]
    told = []
    if found["wide"] > found["room"]:
        told.append(f"scrolls sideways: {found['wide']} in {found['room']} px")
    for box in boxes:
        if box.inline:
            continue  # 2.5.8 leaves out a target in a sentence
        if box.act and box.height + 0.5 < least_act:
            told.append(f"{box.words!r} is {box.height:.0f} px high, not {least_act}")
        elif min(box.width, box.height) < 24:
            told.append(f"{box.words!r} is {box.width:.0f} x {box.height:.0f} px")
    told += [
        f"{one.words!r} overlaps {other.words!r}"
        for at, one in enumerate(boxes)
        for other in boxes[at + 1 :]
        if _overlap(one, other)
    ]
    return told


def covered_on_focus(page):
    """Return the targets that something else covers while they have the focus."""
    return page.evaluate(COVERED)


def _overlap(one, other):
    if one.inline or other.inline or one.floats != other.floats:
        return False  # a bar that stays in view is above what scrolls under it
    across = min(one.x + one.width, other.x + other.width) - max(one.x, other.x)
    down = min(one.y + one.height, other.y + other.height) - max(one.y, other.y)
    inside = (
        across >= min(one.width, other.width) - 1
        and down >= min(one.height, other.height) - 1
    )
    return across > 1 and down > 1 and not inside
