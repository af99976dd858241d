"""The piece count of a receipt: billed, tendered, received, refused, over and short.

What the driver offers is tendered; what we refuse of it is not received. So billed
and over, less short, is tendered, and tendered is received and refused.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from inventory.rules.reckoning.counts import pieces_in_words

STYLES = (0, 1, 2)
"""As a sentence, without commas, and as a row of short words; widest first."""

_SEPARATORS = (", ", " ", "/")
_DROPPED_FIRST = (
    "earlier",
    "earlier-refused",
    "bill",
    "tendered",
    "follow",
    "received",
)


@dataclass(frozen=True)
class Part:
    """One figure of a count, in each style."""

    key: str
    texts: tuple[str, str, str]


@dataclass(frozen=True)
class Form:
    """One way to write a piece of the text, with what it leaves out of the facts."""

    text: str
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True)
class PieceCount:
    """The count of one truck's delivery of one bill, in the bill's own unit.

    ``tendered`` includes refused pieces. ``refused`` is None where crates were refused
    and the bill counts something else, so that nobody can say how many pieces that
    is. ``earlier`` was tendered by earlier trucks, None where one was not counted.
    ``marked_over`` is how many pieces taken in are recorded as over.
    """

    unit: str
    billed: int | None
    tendered: int | None
    refused: int | None = 0
    refused_crates: int = 0
    earlier: int | None = 0
    earlier_refused: int = 0
    rest_to_follow: bool = False
    marked_over: int = 0

    @cached_property
    def difference(self) -> int | None:
        """Return pieces over, or short below zero; None where it is not known."""
        if self.billed is None or self.tendered is None or self.earlier is None:
            return None
        return self.earlier + self.tendered - self.billed

    @property
    def over(self) -> int:
        """Return the pieces above the bill."""
        return max(self.difference or 0, 0)

    @property
    def below(self) -> int:
        """Return the pieces below the bill, short or still to follow."""
        return max(-(self.difference or 0), 0)

    @property
    def short(self) -> int:
        """Return the pieces that should have come and did not."""
        return 0 if self.rest_to_follow else self.below

    @property
    def received(self) -> int | None:
        """Return the pieces taken in; None where nobody can say."""
        if self.tendered is None or self.refused is None:
            return None
        return self.tendered - self.refused if self.refused <= self.tendered else None

    @property
    def held(self) -> int:
        """Return the pieces over that are here, held for the carrier."""
        if self.received is None or self.billed is None or self.earlier is None:
            return 0
        here = self.earlier - self.earlier_refused + self.received
        return min(self.over, max(self.marked_over, here - self.billed))

    @property
    def agrees(self) -> bool:
        """Return whether a count was entered and is what was billed."""
        return self.difference == 0

    @property
    def is_exception(self) -> bool:
        """Return whether the count is something to write against the carrier."""
        return bool(self.over or self.short or self.refused_crates)

    @property
    def must_stay(self) -> bool:
        """Return whether every text has the count, however short it is."""
        return self.is_exception or self.tendered is None

    def parts(self) -> list[Part]:
        """Return every figure in the order of the receipt."""
        found = [_bill_part(self.billed)]
        if self.earlier is None:
            found.append(_same("earlier", "earlier truck not counted"))
        elif self.earlier:
            was = self.earlier - self.earlier_refused
            found.append(_part("earlier", was, "received earlier", "earlier", "prev"))
        if self.earlier and self.earlier_refused:
            said = ("refused earlier", "ref'd earlier", "ref prev")
            found.append(_part("earlier-refused", self.earlier_refused, *said))
        if self.tendered is None:
            found.append(Part("tendered", ("not counted", "not counted", "no count")))
        else:
            found.append(
                _part("tendered", self.tendered, "tendered", "tendered", "tend")
            )
        if self.received is not None:
            found.append(_part("received", self.received, "received", "rec'd", "recd"))
        return [*found, *self._exceptions()]

    def _exceptions(self) -> list[Part]:
        found = []
        if self.refused:
            found.append(_part("refused", self.refused, "refused", "refused", "ref"))
        elif self.refused_crates:
            noun = "crate" if self.refused_crates == 1 else "crates"
            said = (f"{noun} refused", f"{noun} refused", f"{noun} ref")
            found.append(_part("refused", self.refused_crates, *said))
        if self.over:
            found.append(
                _part("over", self.over, f"over{self._held()}", "over", "over")
            )
        if self.short:
            found.append(_part("short", self.short, "short", "short", "short"))
        elif self.below:
            found.append(_part("follow", self.below, "to follow", "to follow", "later"))
        return found

    def _held(self) -> str:
        if not self.held:
            return ""
        some = "" if self.held == self.over else f"{self.held} "
        return f", {some}held for carrier"

    @property
    def sentence(self) -> str:
        """Return "crates: 10 billed, 10 tendered, 9 received, 1 refused"."""
        return f"{self.unit}s: {_joined(self.parts(), 0)}"

    def forms(self) -> list[Form]:
        """Return the ways to write the count, the widest and most complete first."""
        parts = self.parts()
        found = [self._form(parts, style, ()) for style in STYLES]
        if not self.must_stay and self.received == self.tendered:
            fewer = [part for part in parts if part.key != "tendered"]
            found[1:] = [self._form(fewer, 0, ()), self._form(fewer, 1, ())]
        dropped: list[str] = []
        for key in _DROPPED_FIRST:
            dropped += [part.texts[0] for part in parts if part.key == key]
            parts = [part for part in parts if part.key != key]
            if dropped and parts:
                found.append(self._form(parts, 2, tuple(dropped)))
        return found

    def _form(self, parts: list[Part], style: int, dropped: tuple[str, ...]) -> Form:
        head = "" if self.unit == "crate" else f"{self.unit}s: "
        lost = ("over pieces held for carrier",) if style and self.held else ()
        return Form(head + _joined(parts, style), (*dropped, *lost))

    @property
    def head(self) -> str:
        """Return the count for the head of a bill: "4 billed, 2 earlier, 2 counted"."""
        counted = "not counted" if self.tendered is None else f"{self.tendered} counted"
        earlier = [f"{self.earlier} earlier"] if self.earlier else []
        billed = [] if self.billed is None else [f"{self._many} billed"]
        return ", ".join([*billed, *earlier, counted])

    @property
    def _many(self) -> str:
        """Return the pieces billed, with their unit unless they are crates."""
        if self.unit == "crate" or self.billed is None:
            return str(self.billed)
        return pieces_in_words(self.billed, self.unit)

    def without_unit(self) -> "PieceCount":
        """Return the count as it is written where the unit is said before it."""
        return replace(self, unit="crate")


def noted_counts(looks: Sequence[str]) -> list[str]:
    """Return "2 exceptions" and "1 refused" of these inspections, each if there is one."""
    exceptions, refused = looks.count("exception"), looks.count("refused")
    said = [pieces_in_words(exceptions, "exception")] if exceptions else []
    return [*said, f"{refused} refused"] if refused else said


def _bill_part(billed: int | None) -> Part:
    if billed is None:
        return Part("bill", ("pieces billed not shown", "bill not shown", "no bill"))
    return _part("bill", billed, "billed", "billed", "bill")


def _same(key: str, text: str) -> Part:
    return Part(key, (text, text, text))


def _part(key: str, number: int, *words: str) -> Part:
    full, tight, row = words
    return Part(key, (f"{number} {full}", f"{number} {tight}", f"{number} {row}"))


def _joined(parts: list[Part], style: int) -> str:
    return _SEPARATORS[style].join(part.texts[style] for part in parts)
