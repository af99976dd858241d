"""The letter that disputes a short-paid credit, with its proof."""

import datetime as dt

from inventory.models import (
    CrateCheck,
    CrateReturn,
    Evidence,
    ReturnLine,
    ShortCredit,
    User,
)
from inventory.queries.deposits.credits import days_table
from inventory.rules.crates.life import PartFound, found_in_words
from inventory.rules.crates.words import HOW_SIGNED_WORDS
from inventory.rules.reckoning.calendars import in_words
from inventory.rules.reckoning.moments import dock_day
from inventory.rules.reckoning.money import format_cents
from inventory.rules.returns.papers import (
    Grid,
    Head,
    Paper,
    Party,
    Piece,
    ReturnPaper,
    Section,
    Words,
)

MOST_PHOTOS = 8

_FIGURES = (Head("", 70), Head("Amount", 30, is_right=True, is_strong=True))
_DAYS = (
    Head("Picked up on", 46),
    Head("Credit by the terms", 30, is_right=True),
    Head("", 24, is_strong=True),
)

_CLAIMS = {
    "late": "Under the terms it was charged under and the day it left, it was not as "
    "late as your memo says.",
    "missing-part": "It left with the parts that our check and the photos show.",
    "price": "The amount is not the one in the terms it was charged under.",
    "not-on-memo": "It left with the others on this return, and your memo does not list it.",
    "hold": "It had to stay here unchanged for the carrier's inspection of transit "
    "damage. Please do not count those days.",
    "lost": "It was handed over with the others on this return.",
}


def line_for(short: ShortCredit) -> ReturnLine | None:
    """Return the return's line that the crate of this short-paid credit left on."""
    rows = ReturnLine.objects.filter(deposit=short.deposit_id, is_taken_off=False)
    return (
        rows.select_related("crate_return__carrier", "crate__crate_type")
        .order_by("-pk")
        .first()
    )


def proof_photos(short: ShortCredit) -> list[Evidence]:
    """Return the photos that prove it: of its return and of the crate, the last first.

    At most MOST_PHOTOS; documents are left out.
    """
    line = line_for(short)
    own = Evidence.objects.none()
    if line is not None:
        own = Evidence.objects.filter(crate_return=line.crate_return_id)
    if short.deposit.crate_id is not None:
        own = own | Evidence.objects.filter(
            crate=short.deposit.crate_id, kind__in=_OF_EMPTIES
        )
    rows = own.select_related("original", "recorded_by", "location", "crate")
    found = (
        rows.prefetch_related("markups", "readings")
        .distinct()
        .order_by("-received_at", "pk")
    )
    return [row for row in found if row.is_picture][:MOST_PHOTOS]


def letter_for(
    short: ShortCredit, person: User, today: dt.date, photos: tuple[Piece, ...] = ()
) -> ReturnPaper:
    """Return the letter; ``short`` comes with supplier, location, deposit and line."""
    location, supplier = short.location, short.supplier
    line = line_for(short)
    home = line.crate_return if line else None
    return ReturnPaper(
        title="Short-paid crate credit: ",
        number=str(short.deposit.crate or short.deposit),
        date=in_words(today),
        dated_on=today.isoformat(),
        sender=Party(location.name, tuple(location.address.splitlines())),
        addressee=Party(
            supplier.name, (*supplier.address.splitlines(), supplier.returns_email)
        ),
        facts=_facts(short, line),
        sections=(
            Section("", _opening(short)),
            Section("What was due and what was credited", (_figures(short, line),)),
            Section("", (_closing(short),)),
        ),
        signatures=(f"{person}, {location.name}",),
        proof=(
            *_steps(line),
            *_days(short, home),
            *_count(home),
            *_check(short),
            *((Section("Photos", photos),) if photos else ()),
        ),
        is_letter=True,
        paper=_paper(short),
    )


_OF_EMPTIES = (
    "label",
    "opening",
    "face",
    "inside",
    "blocking",
    "crate-check",
    "look",
)


def _paper(short: ShortCredit) -> Paper:
    return "a4" if short.location.paper == "a4" else "letter"


def _money(cents: int, short: ShortCredit) -> str:
    return format_cents(cents, short.currency, code=True)


def _facts(short: ShortCredit, line: ReturnLine | None) -> tuple[tuple[str, str], ...]:
    deposit, memo_line = short.deposit, short.memo_line
    memo = ""
    if memo_line is not None:
        dated = in_words(memo_line.memo.dated_on)
        memo = f"{memo_line.memo.number} of {dated}, line {memo_line.position}"
    home = line.crate_return if line else None
    left = in_words(home.picked_up_on) if home and home.picked_up_on else ""
    return (
        ("Crate", str(deposit.crate or deposit.mark)),
        ("Type", deposit.crate_type.name if deposit.crate_type else ""),
        (
            "Your invoice",
            f"{deposit.invoice_number} of {in_words(deposit.invoiced_on)}",
        ),
        ("Your credit memo", memo),
        ("Our return", f"{home.number}, left {left}" if home else ""),
        ("Carrier", str(home.carrier or "") if home else ""),
        ("Return authorization", home.authorization if home else ""),
    )


def _opening(short: ShortCredit) -> tuple[Words, ...]:
    amount = _money(short.amount_cents, short)
    said = short.memo_line.remark if short.memo_line else ""
    quoted = (Words(f"Your memo says: {said}"),) if said else ()
    reason = _own_reason(short)
    return (
        Words(f"Your credit for this crate is {amount} short. {_CLAIMS[short.cause]}"),
        *quoted,
        *((Words(reason, lead="In addition: "),) if reason else ()),
    )


def _own_reason(short: ShortCredit) -> str:
    """Return our people's own text, without what was copied from the memo."""
    said = short.memo_line.remark if short.memo_line else ""
    return short.explanation.removeprefix(said).strip() if said else short.explanation


def _figures(short: ShortCredit, line: ReturnLine | None) -> Grid:
    rows = [("Deposit charged", _money(short.deposit.amount_cents, short))]
    if line is not None and line.expected_cents is not None:
        for words, cents in (
            ("Less days out", line.late_cents),
            ("Less parts", line.parts_cents),
            ("Lost to the packaging hold, disputed", line.hold_cents),
        ):
            if cents:
                rows.append((words, _money(-cents, short)))
        rows.append(("Due when it left", _money(line.expected_cents, short)))
    if short.memo_line is not None:
        rows.append(("Credited", _money(short.memo_line.amount_cents, short)))
    elif short.cause == "not-on-memo":
        rows.append(("Credited", _money(0, short)))
    rows.append(("Still due", _money(short.amount_cents, short)))
    return Grid(_FIGURES, tuple(rows), has_total=True)


def _steps(line: ReturnLine | None) -> tuple[Section, ...]:
    if line is None or not line.steps:
        return ()
    words = tuple(Words(str(step), is_small=True) for step in line.steps)
    return (Section("How the credit is calculated", words),)


def _days(short: ShortCredit, home: CrateReturn | None) -> tuple[Section, ...]:
    if home is None or home.picked_up_on is None:
        return ()
    table = days_table(short.deposit, home.picked_up_on)
    if not table:
        return ()
    rows = tuple(
        (
            in_words(day),
            _money(cents, short),
            "ship day" if day == home.picked_up_on else "",
        )
        for day, cents in table
    )
    return (Section("The credit day by day", (Grid(_DAYS, rows),)),)


def _count(home: CrateReturn | None) -> tuple[Section, ...]:
    if home is None:
        return ()
    listed = home.lines.filter(is_taken_off=False).count()
    pieces = [Words(f"The packing list of {home.number} lists {listed} crates.")]
    if home.driver_count is not None:
        who = home.driver_name or "The driver"
        how = HOW_SIGNED_WORDS.get(home.how_signed, "")
        pieces.append(Words(f"{who} counted {home.driver_count}. {how}".strip()))
    if home.received_back_on:
        pieces.append(Words(f"You received it on {in_words(home.received_back_on)}."))
    return (Section("The count when it left", tuple(pieces)),)


def _check(short: ShortCredit) -> tuple[Section, ...]:
    """Return the result of our last check of the crate, part by part."""
    rows = CrateCheck.objects.filter(crate=short.deposit.crate_id)
    check = rows.prefetch_related("lines__part").order_by("-pk").first()
    if check is None or short.deposit.crate_id is None:
        return ()
    parts = tuple(
        PartFound(line.part.name, line.part.count, line.missing, line.damaged)
        for line in check.lines.all()
    )
    found = found_in_words(parts) or "nothing missing, nothing damaged"
    listed = ", ".join(f"{part.count} {part.name}" for part in parts)
    day = in_words(dock_day(check.checked_at, short.deposit.location.zone))
    return (
        Section(
            "Our check before it left",
            (
                Words(f"Checked on {day} against its parts list: {found}."),
                *((Words(f"Parts listed: {listed}."),) if listed else ()),
            ),
        ),
    )


def _closing(short: ShortCredit) -> Words:
    return Words(
        f"Please credit {_money(short.amount_cents, short)} by a corrected memo, or "
        "tell us in writing which of your terms you apply. Until then the amount "
        "remains open in our books."
    )
