"""A trailer's floor from above, in black and white: each type in its rows."""

from reportlab.platypus import Flowable

from inventory.documents.core import styles
from inventory.documents.core.fonts import PLAIN, STRONG, width_of
from inventory.rules.returns.papers import Floor, FloorBlock

_SIZE = 7.6
_UNDER = 14.0


class FloorDrawing(Flowable):  # type: ignore[misc]
    """The floor to scale, nose at the left, with a letter for each type."""

    def __init__(self, floor: Floor) -> None:
        """Store the floor; it is scaled to the width it gets."""
        super().__init__()
        self.floor = floor
        self.spaceAfter = 8

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Take the whole width."""
        self.width = width
        self.scale = width / self.floor.length_mm
        return width, self.floor.width_mm * self.scale + _UNDER

    def draw(self) -> None:
        """Draw the blocks, then the trailer's outline and the labels of both ends."""
        canvas = self.canv
        high = self.floor.width_mm * self.scale
        for place, block in enumerate(self.floor.blocks):
            self._block(block, high, "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[place % 26])
        canvas.setStrokeColor(styles.INK)
        canvas.setLineWidth(1.2)
        canvas.rect(0, _UNDER, self.width, high)
        canvas.setFillColor(styles.INK)
        canvas.setFont(PLAIN, _SIZE)
        canvas.drawString(0, _UNDER - 10, "nose")
        canvas.drawRightString(self.width, _UNDER - 10, "doors")

    def _block(self, block: FloorBlock, high: float, letter: str) -> None:
        canvas = self.canv
        left = block.starts_mm * self.scale
        deep = block.deep_mm * self.scale / block.rows
        wide = high / block.across
        canvas.setLineWidth(0.5)
        canvas.setStrokeColor(styles.RULE)
        canvas.setFillColor(styles.WASH)
        for row in range(block.rows):
            for place in range(block.across):
                canvas.rect(
                    left + row * deep, _UNDER + place * wide, deep, wide, fill=1
                )
        middle = left + deep * block.rows / 2 - width_of(letter, STRONG, 11) / 2
        canvas.setFillColor(styles.INK)
        canvas.setFont(STRONG, 11)
        canvas.drawString(middle, _UNDER + high / 2 - 4, letter)
