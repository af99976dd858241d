"""Shortening a receipt's text to what a driver's handheld takes, and what is lost."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from claims.rules.receiving.receipt_counts import Form

LENGTHS = (160, 80, 60, 40)
"""Characters of the shortened texts. Our own choice, common practice, no source."""


@dataclass(frozen=True)
class Piece:
    """One fact of the text. ``forms`` are the widest first; ``omitted`` names it.

    ``is_damage`` counts it among the crates of which a short text says at least how
    many there are. ``is_praise`` has room only where nothing else was left out.
    """

    forms: tuple[Form, ...]
    omitted: str
    is_damage: bool = False
    is_praise: bool = False


@dataclass(frozen=True)
class Cut:
    """A text of at most so many characters, and what it leaves out, in words."""

    text: str
    left_out: tuple[str, ...] = ()


class _Draft:
    """The text as chosen so far: a form or nothing for each piece, and the count."""

    def __init__(self, pieces: Sequence[Piece], limit: int) -> None:
        self.pieces = pieces
        self.limit = limit
        self.chosen: list[Form | None] = [None] * len(pieces)
        self.count: Form | None = None

    def text(self) -> str:
        """Return the text of what is chosen, with the number of damaged crates left."""
        said = [form.text for form in self.chosen if form]
        pairs = list(zip(self.pieces, self.chosen, strict=True))
        named = [form is not None for piece, form in pairs if piece.is_damage]
        left = named.count(False)
        flag = [f"{'+' if any(named) else ''}{left} DAMAGED"] if left else []
        count = [self.count.text] if self.count else []
        return "; ".join([*said, *flag, *count])

    @property
    def is_whole(self) -> bool:
        """Return whether every piece but praise is there."""
        pairs = zip(self.pieces, self.chosen, strict=True)
        return all(form or piece.is_praise for piece, form in pairs)

    def fits(self) -> bool:
        """Return whether the text holds the limit."""
        return len(self.text()) <= self.limit

    def try_count(self, forms: Sequence[Form]) -> None:
        """Choose the first of these forms of the count that fits."""
        for form in forms:
            before, self.count = self.count, form
            if self.fits():
                return
            self.count = before

    def try_all(
        self, asked: Callable[[Piece], bool], *, tightest: bool = False
    ) -> None:
        """Choose a form of each of these pieces, the widest or the tightest."""
        for place, piece in enumerate(self.pieces):
            if asked(piece):
                forms = piece.forms[-1:] if tightest else piece.forms
                self.try_piece(place, forms)

    def widen(self) -> None:
        """Give each damaged crate the widest form for which there is room."""
        for place, piece in enumerate(self.pieces):
            if piece.is_damage and self.chosen[place]:
                self.try_piece(place, piece.forms)

    def try_piece(self, place: int, forms: Sequence[Form]) -> None:
        """Choose the first of these forms of the piece that fits."""
        for form in forms:
            before, self.chosen[place] = self.chosen[place], form
            if self.fits():
                return
            self.chosen[place] = before


def shorten(
    *, pieces: Sequence[Piece], count: Piece, count_stays: bool, limit: int
) -> Cut:
    """Return the pieces that fit, the first ones first, and the count at the end.

    Where ``count_stays`` the count has its room before any crate has. Otherwise it
    gives way to them, because it agrees.
    """
    draft = _Draft(pieces, limit)
    if count_stays:
        draft.try_count(count.forms)
    draft.try_all(lambda piece: piece.is_damage, tightest=True)
    if not count_stays:
        draft.try_count(count.forms)
    draft.try_all(lambda piece: not (piece.is_damage or piece.is_praise))
    draft.widen()
    if draft.is_whole:
        draft.try_all(lambda piece: piece.is_praise)
    text = draft.text()
    if len(text) > limit:
        return Cut("", (*(one.omitted for one in pieces), count.omitted))
    return Cut(text, _left_out(draft, count))


def _left_out(draft: _Draft, count: Piece) -> tuple[str, ...]:
    words: list[str] = []
    for piece, form in zip(draft.pieces, draft.chosen, strict=True):
        words += [piece.omitted] if form is None else form.left_out
    words += [count.omitted] if draft.count is None else draft.count.left_out
    return tuple(dict.fromkeys(words))
