"""The text of a delivery receipt: piece counts first, then crate by crate.

No text says that freight was accepted, which is a word of the law of sales
(UCC 2-606), nor "subject to" or "said to be", which say nothing of the freight.
"""

from dataclasses import dataclass, field
from functools import cached_property

from claims.rules.receiving.receipt_counts import PieceCount
from claims.rules.receiving.receipt_lines import (
    Ending,
    Line,
    clear_line,
    ending_line,
    handling_line,
    seal_line,
    shipper_line,
    trailer_line,
    unseen_lines,
)
from claims.rules.receiving.receipt_short import LENGTHS, Cut, Piece, shorten
from claims.rules.receiving.receipt_words import (
    CrateLook,
    is_empty,
    noted_line,
    refused_line,
    worst_first,
)
from inventory.rules.reckoning.counts import pieces_in_words


@dataclass(frozen=True)
class ReceiptFacts:
    """The facts of one truck's delivery of one freight bill.

    ``tendered`` is this truck's count, refused pieces included; ``earlier`` what
    earlier trucks tendered, None where one was not counted, ``earlier_refused`` the
    crates of it that were refused. ``crates_on_bill`` is how many crates the bill has
    in all as far as they are listed, ``crates`` are those of this truck.
    """

    pro: str
    unit: str
    billed: int | None
    tendered: int | None
    earlier: int | None = 0
    earlier_refused: int = 0
    rest_to_follow: bool = False
    handling: PieceCount | None = None
    crates_on_bill: int = 0
    crates: tuple[CrateLook, ...] = ()
    unseen_reason: str = ""
    on_trailer: bool = False
    shippers_count: bool = False
    seal_number: str = ""
    seal_condition: str = ""
    seal_note: str = ""
    ending: Ending = field(default_factory=Ending)

    def looked(self, look: str) -> list[CrateLook]:
        """Return the crates of this truck with this inspection."""
        return [crate for crate in self.crates if crate.look == look]

    @cached_property
    def count(self) -> PieceCount:
        """Return the piece count; a refused crate is a piece only of a bill of crates."""
        refused = len(self.looked("refused"))
        is_crates = self.unit == "crate"
        over = [one for one in self.crates if one.is_over and one.look != "refused"]
        return PieceCount(
            unit=self.unit,
            billed=self.billed,
            tendered=self.tendered,
            refused=refused if is_crates else None if refused else 0,
            refused_crates=refused,
            earlier=self.earlier,
            earlier_refused=self.earlier_refused if is_crates else 0,
            rest_to_follow=self.rest_to_follow,
            marked_over=len(over) if is_crates else 0,
        )

    @property
    def problem(self) -> str:
        """Return why count and crates cannot both be right, or nothing."""
        if self.unit != "crate" or self.tendered is None:
            return ""
        seen = sum(1 for crate in self.crates if crate.look)
        if seen <= self.tendered:
            return ""
        return (
            f"PRO {self.pro}: {pieces_in_words(self.tendered, 'crate')} counted, but "
            f"{seen} inspected. Count them again."
        )


@dataclass(frozen=True)
class ReceiptWords:
    """The full text to copy, and the shortened ones by their length.

    ``left_out`` names notes that no text may have.
    """

    full: str
    cuts: dict[int, Cut]
    has_exceptions: bool
    left_out: tuple[str, ...] = ()

    @property
    def short(self) -> str:
        """Return the longest of the shortened texts."""
        return self.cuts[LENGTHS[0]].text


def compose_words(facts: ReceiptFacts) -> ReceiptWords:
    """Return the text for this bill's receipt, as it is to be written."""
    count = facts.count
    handling = handling_line(facts.handling) if facts.handling else []
    refused = [
        refused_line(crate, facts.crates_on_bill) for crate in facts.looked("refused")
    ]
    noted = {
        crate: noted_line(crate, facts.crates_on_bill)
        for crate in facts.looked("exception")
    }
    others = _other_lines(facts)
    agrees = " Count agrees." if count.agrees else ""
    head = f"PRO {facts.pro}, {count.sentence}.{agrees}"
    lines = [*handling, *refused, *noted.values(), *others]
    worst = [noted[crate] for crate in sorted(noted, key=worst_first)]
    is_wrong = bool(facts.handling and facts.handling.is_exception)
    after = [*handling, *others] if is_wrong else [*others, *handling]
    pieces = [line.piece for line in [*refused, *worst, *after]]
    whole = Piece(
        tuple(count.forms()), count.without_unit().sentence.partition(": ")[2]
    )
    empty = _empty_notes(facts)
    cuts = {
        limit: shorten(
            pieces=pieces, count=whole, count_stays=count.must_stay, limit=limit
        )
        for limit in LENGTHS
    }
    return ReceiptWords(
        full="\n".join([head, *(line.full for line in lines)]),
        cuts={
            limit: Cut(cut.text, (*cut.left_out, *empty)) for limit, cut in cuts.items()
        },
        has_exceptions=bool(refused or noted or count.is_exception or is_wrong),
        left_out=empty,
    )


def _other_lines(facts: ReceiptFacts) -> list[Line]:
    seal_note = "" if is_empty(facts.seal_note) else facts.seal_note
    clear = len(facts.looked("clear"))
    unseen = [crate.number for crate in facts.looked("")]
    spare = 0
    if facts.unit == "crate" and facts.tendered is not None:
        spare = len(facts.crates) - facts.tendered
    has_damage = any(crate.damages for crate in facts.crates if crate.look != "clear")
    return [
        *unseen_lines(
            unseen,
            absent=min(max(spare, 0), len(unseen)),
            unlisted=max(-spare, 0),
            reason=facts.unseen_reason,
            left_at=facts.ending.left_at,
        ),
        *trailer_line(was_seen=facts.on_trailer and has_damage),
        *clear_line(clear, is_all=clear == len(facts.crates)),
        *shipper_line(shippers_count=facts.shippers_count),
        *seal_line(facts.seal_number, facts.seal_condition, seal_note),
        *ending_line(facts.ending),
    ]


def _empty_notes(facts: ReceiptFacts) -> tuple[str, ...]:
    named = [
        f'your note on crate {crate.number} ("{damage.note}")'
        for crate in facts.crates
        if crate.look in {"exception", "refused"}
        for damage in crate.damages
        if is_empty(damage.note)
    ]
    if is_empty(facts.seal_note):
        named.append(f'your note on the seal ("{facts.seal_note}")')
    return tuple(named)
