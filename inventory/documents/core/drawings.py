"""Small drawings that read in black and white: the unfolded crate, the ruler of days."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from inventory.documents.core import styles
from inventory.documents.core.fonts import PLAIN, STRONG, width_of

_SPOTS = {
    "top": (1, 2),
    "side-2": (0, 1),
    "side-1": (1, 1),
    "side-4": (2, 1),
    "side-3": (3, 1),
    "base": (1, 0),
    "inside": (3, 2),
}
_NAMES = {
    "top": "top",
    "side-1": "1 label",
    "side-2": "2",
    "side-3": "3",
    "side-4": "4",
    "base": "base",
    "inside": "inside",
}
_WIDE, _HIGH, _GAP = 54.0, 37.0, 3.0
_NEAR = 30.0


class CrateDrawing(Flowable):  # type: ignore[misc]
    """The crate cut open and laid flat, seen from outside, damaged faces hatched.

    Side 1 carries the label, then clockwise seen from above; fork entry is at the
    foot of sides 1 and 3. A name that is no face is not drawn.
    """

    def __init__(self, faces: Sequence[str], *, scale: float = 1.0) -> None:
        """Mark these faces, any of side-1 to side-4, top, base, inside."""
        super().__init__()
        self.faces = frozenset(faces) & _SPOTS.keys()
        self.scale = scale
        self.width = (4 * _WIDE + 3 * _GAP) * scale
        self.height = (3 * _HIGH + 2 * _GAP) * scale
        self.spaceAfter = 6

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Return the drawn size."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw six faces and the inside."""
        self.canv.scale(self.scale, self.scale)
        for face, (column, row) in _SPOTS.items():
            x, y = column * (_WIDE + _GAP), row * (_HIGH + _GAP)
            self._draw_face(face, x, y)

    def _draw_face(self, face: str, x: float, y: float) -> None:
        canvas = self.canv
        hit = face in self.faces
        canvas.saveState()
        canvas.setFillColor(styles.WASH if hit else styles.WHITE)
        canvas.setStrokeColor(styles.INK if hit else styles.RULE)
        canvas.setLineWidth(1.4 if hit else 0.6)
        if face == "inside":
            canvas.setDash(2, 2)
        canvas.rect(x, y, _WIDE, _HIGH, fill=1)
        canvas.setDash()
        if face != "inside":
            self._draw_boards(face, x, y)
        if hit:
            self._hatch(x, y)
        self._draw_name(face, x, y, strong=hit)
        canvas.restoreState()

    def _hatch(self, x: float, y: float) -> None:
        canvas = self.canv
        canvas.saveState()
        frame = canvas.beginPath()
        frame.rect(x, y, _WIDE, _HIGH)
        canvas.clipPath(frame, stroke=0, fill=0)
        canvas.setStrokeColor(styles.INK)
        canvas.setLineWidth(0.7)
        for step in range(0, int(_WIDE + _HIGH), 5):
            canvas.line(x + step - _HIGH, y, x + step, y + _HIGH)
        canvas.restoreState()

    def _draw_boards(self, face: str, x: float, y: float) -> None:
        canvas = self.canv
        canvas.setStrokeColor(styles.HAIR)
        canvas.setLineWidth(0.5)
        for slat in (1, 2, 3):
            level = y + _HIGH * slat / 4
            canvas.line(x + 1, level, x + _WIDE - 1, level)
        canvas.setFillColor(styles.RULE)
        if face in {"side-1", "side-3"}:
            canvas.rect(x + 9, y + 1, 11, 4.5, stroke=0, fill=1)
            canvas.rect(x + _WIDE - 20, y + 1, 11, 4.5, stroke=0, fill=1)
        if face == "side-1":
            canvas.setFillColor(styles.WHITE)
            canvas.setStrokeColor(styles.RULE)
            canvas.rect(x + _WIDE - 19, y + 13, 13, 9, fill=1)

    def _draw_name(self, face: str, x: float, y: float, *, strong: bool) -> None:
        canvas = self.canv
        font = STRONG if strong else PLAIN
        name = _NAMES[face]
        canvas.setFillColor(styles.WHITE)
        plate = width_of(name, font, 7.4) + 5
        canvas.rect(x + 2, y + _HIGH - 11, plate, 9, stroke=0, fill=1)
        canvas.setFillColor(styles.INK)
        canvas.setFont(font, 7.4)
        canvas.drawString(x + 4.5, y + _HIGH - 9, name)


class RulerDrawing(Flowable):  # type: ignore[misc]
    """A ruler of days from start to due: safe date notched, as-of day marked.

    Positions are thousandths of the ruler, 0 to 1000.
    """

    def __init__(self, safe_at: int, due_at: int, as_of_at: int | None) -> None:
        """Keep the positions inside the ruler."""
        super().__init__()
        self.safe_at = min(max(safe_at, 0), 1000)
        self.due_at = min(max(due_at, 0), 1000)
        self.as_of_at = None if as_of_at is None else min(max(as_of_at, 0), 1000)
        self.height = 27.0

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Take the whole width."""
        self.width = width
        return width, self.height

    def draw(self) -> None:
        """Draw the scale, then the three marks with their labels."""
        canvas = self.canv
        canvas.setStrokeColor(styles.RULE)
        canvas.setLineWidth(0.6)
        canvas.rect(0, 10, self.width, 7)
        for tick in range(1, 40):
            x = self.width * tick / 40
            canvas.line(x, 10, x, 14 if tick % 5 == 0 else 12)
        if self.as_of_at is not None:
            x = self._x(self.as_of_at)
            canvas.setFillColor(styles.HAIR)
            canvas.rect(0, 10, x, 7, stroke=0, fill=1)
            self._mark(x, "as of", above=True)
        safe, due = self._x(self.safe_at), self._x(self.due_at)
        # Close together, the two labels would print over each other.
        near = due - safe < _NEAR
        self._mark(safe, "" if near else "safe", above=False)
        apart = self.safe_at != self.due_at
        words = "safe, then due" if near and apart else "due"
        self._mark(due, words, above=False)

    def _x(self, thousandths: int) -> float:
        return float(self.width * thousandths / 1000)

    def _mark(self, x: float, word: str, *, above: bool) -> None:
        canvas = self.canv
        canvas.setStrokeColor(styles.INK)
        canvas.setFillColor(styles.INK)
        canvas.setLineWidth(1.3)
        canvas.line(x, 8, x, 19)
        canvas.setFont(PLAIN, 7.4)
        wide = width_of(word, PLAIN, 7.4)
        start = min(max(x - wide / 2, 0), self.width - wide)
        canvas.drawString(start, 21 if above else 0, word)
