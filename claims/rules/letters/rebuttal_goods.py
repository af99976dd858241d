"""What a rebuttal may quote of the goods: findings, custody, notice, inspection.

Each function returns the empty text where the record does not have its fact.
"""

from datetime import date

from claims.rules.core.vocabulary import SENT_HOW
from claims.rules.letters.claim_letter import LetterFacts
from claims.rules.letters.parts import sentence
from claims.rules.letters.rebuttal_delivery import DELIVERED
from claims.rules.letters.rebuttal_words import cited, document, found_words, photos_of
from claims.rules.letters.record_facts import RecordFacts
from claims.rules.packet.wording import listed
from inventory.rules.core.text import mid_sentence
from inventory.rules.reckoning.calendars import in_full

_OPENED = ("opening", "inside")
_BY_FORCE = frozenset(
    {"broken", "crushed", "punctured", "cracked", "dented", "bent", "torn", "tipped"}
)
_NOT_DAMAGE = frozenset({"short", "missing", "over", "wrong", "defect", "indicator"})


def crate_marked(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the damage to the outside of a crate, as seen at delivery."""
    rows = [
        row
        for row in record.findings
        if row.is_on_crate and row.at_delivery and row.kind not in _NOT_DAMAGE
    ]
    if not rows:
        return ""
    return f"At delivery on {in_full(rows[0].on)} we recorded: {found_words(rows)}"


def indicator(facts: LetterFacts, record: RecordFacts) -> str:
    """Return that an impact or tilt indicator had tripped."""
    rows = [row for row in record.findings if row.kind == "indicator"]
    if not rows:
        return ""
    return f"On {in_full(rows[0].on)} an indicator had tripped. {found_words(rows)}"


def hidden(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the damage that was inside a closed crate."""
    rows = [row for row in record.findings if row.is_inside]
    if not rows:
        return ""
    return (
        "This was inside the closed crate and was found when it was opened on "
        f"{in_full(rows[0].on)}. {found_words(rows)}"
    )


def by_force(facts: LetterFacts, record: RecordFacts) -> str:
    """Return what is damaged on the machines as only force does it, in short."""
    rows = [
        row for row in record.findings if row.kind in _BY_FORCE and not row.is_on_crate
    ]
    if not rows:
        return ""
    return f"The damage is this: {'; '.join(row.what for row in rows)}."


def opening_photos(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the photos of the opening."""
    photos = photos_of(record.of(*_OPENED))
    return f"The opening of the crate was photographed: {photos}." if photos else ""


def blocking_photos(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the photos of blocking and bracing."""
    photos = photos_of(record.of("blocking"))
    return (
        f"Blocking and bracing were photographed as found: {photos}." if photos else ""
    )


def origin(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the document on the condition when packed."""
    shown = document(record, "origin-condition", "the shipper's record of it")
    return f"The condition when packed is documented: {shown}." if shown else ""


def new_machine(facts: LetterFacts, record: RecordFacts) -> str:
    """Return which machines were new when shipped."""
    if not record.new_machines:
        return ""
    return f"It was new when it was shipped: {listed(record.new_machines)}."


def proof_in_order(facts: LetterFacts, record: RecordFacts) -> str:
    """Return condition at origin, on arrival, and amount, where the carrier has all.

    The bill of lading does not cover what is inside a closed crate.
    """
    needed = "origin-condition" if _is_concealed(record) else "bill-of-lading"
    at_origin = cited(row.exhibit for row in record.of(needed))
    arrived = cited(
        row.exhibit for row in record.of("damage", "receipt", *DELIVERED, *_OPENED)
    )
    if not (at_origin and arrived and facts.claimed_cents):
        return ""
    return (
        f"You have proof of the condition of the goods when you took them{at_origin}, of "
        f"their condition when you delivered them{arrived}, and of the amount of the loss."
    )


def _is_concealed(record: RecordFacts) -> bool:
    return any(row.is_inside for row in record.findings)


def custody(facts: LetterFacts, record: RecordFacts) -> str:
    """Return where each crate was between delivery and opening, and who moved it."""
    first = record.first_day
    if first is None:
        return ""
    return " ".join(
        f"{row.crate} was not opened between delivery on {in_full(first)} and "
        f"{in_full(row.opened_on)}. It was kept here: {sentence(row.stood_at)} It was "
        f"moved by: {sentence(row.moves)}"
        for row in record.custody
        if row.opened_on > first
    )


def notice_in_time(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the notice that was given within its period."""
    return _notice(record, in_time=True)


def notice_given(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the notice that was given, where its period is not known to be kept."""
    return "" if _notice(record, in_time=True) else _notice(record, in_time=False)


def notice(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the first notice of the damage with its request for inspection."""
    return _notice(record, in_time=True) or _notice(record, in_time=False)


def _notice(record: RecordFacts, *, in_time: bool) -> str:
    rows = [
        row
        for row in record.notices
        if row.kind == "concealed" and row.in_time == in_time
    ]
    if not rows:
        return ""
    row = min(rows, key=lambda one: one.sent_on)
    how = f" by {mid_sentence(SENT_HOW[row.how])}" if row.how in SENT_HOW else ""
    return (
        f"On {in_full(row.sent_on)} we sent you written notice of the damage{how} "
        f"and asked you to inspect{_receipt_of(row.received_on, row.proof)}."
    )


def _receipt_of(on: date | None, proof: str) -> str:
    if on is None:
        return ""
    shown = f" (proof: {' '.join(proof.split())})" if proof else ""
    return f"; you received it on {in_full(on)}{shown}"


def asked(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the days on which the carrier was asked to see the packaging."""
    if not record.asked_on:
        return ""
    days = listed([in_full(day) for day in sorted(set(record.asked_on))])
    return f"We asked you on {days} to inspect the packaging, and held it for you."


def waived(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the carrier's waiver of inspection."""
    days = [in_full(day) for how, day in record.inspections if how == "waived"]
    shown = document(record, "inspection-waiver", "your waiver")
    if not (days or shown):
        return ""
    on = f" on {listed(list(dict.fromkeys(days)))}" if days else ""
    return f"You waived inspection in writing{on}{f': {shown}' if shown else ''}."


def inspected(facts: LetterFacts, record: RecordFacts) -> str:
    """Return the carrier's own inspection."""
    days = [in_full(day) for how, day in record.inspections if how == "inspected"]
    shown = document(record, "inspection-report", "your inspection report")
    if not (days or shown):
        return ""
    on = f" on {listed(list(dict.fromkeys(days)))}" if days else ""
    return f"You inspected the goods{on}{f': {shown}' if shown else ''}."


def held(facts: LetterFacts, record: RecordFacts) -> str:
    """Return that goods and packaging are still held, and where."""
    if not (record.is_held and record.inspect_at):
        return ""
    where = sentence(record.inspect_at)
    return f"The goods and their packaging are held for your inspection here: {where}"
