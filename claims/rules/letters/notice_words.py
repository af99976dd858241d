"""The words of the notices that stop a deadline: one writer a kind.

The concealed damage notice follows the practice of NMFC item 300135 (text seen):
upon discovery, to the delivering carrier, with a request for inspection, confirmed
in writing, container and contents held as found. The carrier's own five working
days to inspect are from memory of items 300140 to 300150, so the letter asks and
does not cite them. No source gives a carrier a number of days to trace a shortage,
so that notice sets none. The supplier's notice is that of UCC 2-607(3)(a) (from
memory); it quotes the delivery terms and says nothing on who bears the risk.
"""

from collections.abc import Callable

from claims.rules.letters.notices import (
    Letter,
    NoticeFacts,
    NoticeFinding,
    signature,
)
from inventory.rules.core.text import mid_sentence
from inventory.rules.core.vocabulary import HOW_SIGNED
from inventory.rules.reckoning.calendars import in_full

FILED_BY_SUPPLIER = "FOB destination"
"""The delivery terms on which the seller is the natural claimant (UCC 2-319(1)(b))."""


def compose(kind: str, facts: NoticeFacts) -> Letter:
    """Compose the letter of this kind (concealed, protest, shortage, supplier, disposition).

    Raise KeyError for a kind that is not in the table.
    """
    return _WRITERS[kind](facts)


def missing_for(kind: str, facts: NoticeFacts) -> tuple[str, ...]:
    """Return every reason why this letter cannot be written yet."""
    reasons = []
    if kind == "concealed" and not facts.findings:
        reasons.append(
            "No concealed damage is recorded on this delivery. Record the finding "
            "first."
        )
    if kind == "supplier" and not facts.supplier:
        reasons.append(
            "The freight bill has no supplier. Complete the paperwork first."
        )
    if kind == "supplier" and not (facts.findings or facts.words):
        reasons.append(
            "There is nothing to report to the supplier yet. Record a finding first."
        )
    if kind == "protest" and not facts.words:
        reasons.append("No exceptions were written for this receipt.")
    if kind == "disposition" and not facts.refused_crates:
        reasons.append("No crate of this freight bill was refused.")
    if kind == "shortage" and _pieces_short(facts) == 0 and not facts.findings:
        reasons.append("Nothing is recorded as short on this freight bill.")
    return tuple(reasons)


def _pieces_short(facts: NoticeFacts) -> int:
    if facts.counted is None or facts.billed is None:
        return 0
    return max(facts.billed - facts.counted, 0)


def _plural(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _bill(facts: NoticeFacts) -> str:
    parts = [f"freight bill (PRO) {facts.pro}"]
    if facts.bol:
        dated = f" of {in_full(facts.bol_on)}" if facts.bol_on else ""
        parts.append(f"bill of lading {facts.bol}{dated}")
    return ", ".join(parts)


def _route(facts: NoticeFacts) -> str:
    parts = [f"Carrier: {facts.carrier}."]
    if facts.supplier:
        parts.append(f"Shipper: {facts.supplier}.")
    if facts.origin:
        parts.append(f"From: {facts.origin}.")
    if facts.delivered_on:
        parts.append(f"Delivered to us: {in_full(facts.delivered_on)}.")
    return " ".join(parts)


def _listed(findings: tuple[NoticeFinding, ...]) -> str:
    lines = []
    for finding in findings:
        seen = f" Found {in_full(finding.seen_on)}." if finding.seen_on else ""
        facts = finding.facts.rstrip(". ")
        lines.append(f"{finding.number}. {finding.what}. {facts}.{seen}")
    return "\n".join(lines)


def _photos(facts: NoticeFacts) -> str:
    if not facts.photo_count:
        return ""
    them = "it" if facts.photo_count == 1 else "them"
    count = _plural(facts.photo_count, "photo")
    return f"We have {count} and will send {them} on request."


def _close(facts: NoticeFacts) -> str:
    return (
        "Please confirm in writing the day on which you received this "
        f"notice.\n\n{signature(facts.written_by, facts.title, facts.sender)}"
    )


def _letter(subject: str, *paragraphs: str) -> Letter:
    return Letter(subject, "\n\n".join(part for part in paragraphs if part))


def _concealed(facts: NoticeFacts) -> Letter:
    return _letter(
        f"Notice of concealed damage and request for inspection: {_bill(facts)}",
        _route(facts),
        "We report damage to the contents of this shipment that could not have been "
        "determined at the time of delivery. It was found when the crate was opened:",
        _listed(facts.findings),
        "Please inspect the goods at our dock, or confirm in writing that you waive "
        "inspection, and let us know the day. The crate, blocking, wrapping, labels "
        "and machine are held in the condition in which they were found. The "
        "machine will not be set up, repaired or run until then.",
        _photos(facts),
        "If you do not inspect, we will make our own inspection report and state in "
        "it that you were notified. This is notice of damage. Our claim, with its "
        "amount, will follow separately.",
        _close(facts),
    )


def _noted(facts: NoticeFacts) -> str:
    """Return how the exceptions were noted; none is said to be signed that was not."""
    if facts.ending in {"", "signed"}:
        return "wrote before the receipt was signed. We wrote:"
    return f"noted at delivery ({mid_sentence(HOW_SIGNED[facts.ending])}). We noted:"


def _head_of_words(facts: NoticeFacts) -> str:
    if facts.ending in {"", "signed"}:
        return "Written on the carrier's delivery receipt"
    return f"Noted at delivery ({mid_sentence(HOW_SIGNED[facts.ending])})"


def _protest(facts: NoticeFacts) -> Letter:
    return _letter(
        f"Protest: exceptions missing from your proof of delivery, {_bill(facts)}",
        _route(facts),
        "Your image of the delivery receipt does not show the exceptions that we "
        + _noted(facts),
        "\n".join(f"> {line}" for line in facts.words.splitlines()),
        "We do not accept your image as a clear receipt. Please correct your "
        "record, keep your original and the driver's device record of this stop, "
        "and send us a copy of both.",
        _photos(facts),
        _close(facts),
    )


def _shortage(facts: NoticeFacts) -> Letter:
    short = _pieces_short(facts)
    unit = facts.piece_unit
    count = (
        f"Billed: {_plural(facts.billed or 0, unit)}. Received: "
        f"{_plural(facts.counted or 0, unit)}. Short: {_plural(short, unit)}."
        if short
        else ""
    )
    return _letter(
        f"Notice of shortage: {_bill(facts)}",
        _route(facts),
        count,
        _listed(facts.findings),
        "Please trace the missing freight and tell us in writing where it is. It has "
        "not reached us. If it is not found, our claim, with its amount, will follow "
        "separately.",
        _close(facts),
    )


def _supplier(facts: NoticeFacts) -> Letter:
    return _letter(
        f"Notice of damage or nonconformity: {_bill(facts)}",
        _route(facts),
        "The shipment was refused in part or in full."
        if facts.refused
        else "We received this shipment and report the following:",
        f"{_head_of_words(facts)}:\n{facts.words}" if facts.words else "",
        _listed(facts.findings),
        _photos(facts),
        "This is our notice of damage or nonconformity under UCC 2-607(3)(a). All our "
        "rights under the order and by law are reserved.",
        "What we have of the goods and packaging is held and protected. Please send us "
        "your instructions in writing, and say whether a return authorization is "
        "needed.",
        _terms(facts),
        _close(facts),
    )


def _terms(facts: NoticeFacts) -> str:
    """Return the delivery terms, quoted, and whom they ask to file; no opinion."""
    quoted = (
        f'Our order states the delivery terms as "{facts.delivery_terms}".'
        if facts.delivery_terms
        else ""
    )
    own = (
        "Your terms say that you file the claim on freight that you prepay."
        if facts.supplier_files
        else ""
    )
    asked = (
        f"On these terms, please file the claim with {facts.carrier} in time, tell us "
        "its number and the day, and ask us for what you need."
        if facts.supplier_files or facts.delivery_terms == FILED_BY_SUPPLIER
        else ""
    )
    return " ".join(part for part in (quoted, own, asked) if part)


def _disposition(facts: NoticeFacts) -> Letter:
    many = len(facts.refused_crates) > 1
    noun = "crates" if many else "crate"
    both = f" This letter goes to {facts.supplier} as well." if facts.supplier else ""
    return _letter(
        f"Refused {noun}, request for disposition: {_bill(facts)}",
        _route(facts),
        f"We refused the following {noun} at delivery:",
        "\n".join(facts.refused_crates),
        f"The {noun} left with your driver or {'are' if many else 'is'} held for you. "
        f"Please tell us in writing today where the {noun} {'are' if many else 'is'}, "
        "and what you and the shipper will do: return, reconsign, salvage or destroy. "
        f"Do not sell or destroy anything before both of us have answered.{both}",
        _photos(facts),
        "This is notice of the refusal. Our claim, if any, will follow separately.",
        _close(facts),
    )


_WRITERS: dict[str, Callable[[NoticeFacts], Letter]] = {
    "concealed": _concealed,
    "protest": _protest,
    "shortage": _shortage,
    "supplier": _supplier,
    "disposition": _disposition,
}
