"""The notices that stop a deadline, as plain text: their content and addressee.

The concealed damage notice follows the practice of NMFC item 300135 (text seen):
upon discovery, to the delivering carrier, with a request for inspection, confirmed
in writing, container and contents held as found. The carrier's own five working
days to inspect are from memory of items 300140 to 300150, so the letter asks and
does not cite them.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from inventory.rules.core.text import mid_sentence
from inventory.rules.core.vocabulary import HOW_SIGNED
from inventory.rules.reckoning.calendars import in_words


@dataclass(frozen=True)
class NoticeFinding:
    """One finding as a letter names it; ``seen_on`` is the day of the inspection."""

    number: int
    what: str
    facts: str
    seen_on: date | None = None


@dataclass(frozen=True)
class NoticeFacts:
    """The facts that a letter may state. Empty text and None mean: not known.

    ``words`` are the exceptions written on the receipt; ``counted`` and
    ``billed`` are in ``piece_unit``; ``ending`` is how the receipt ended.
    """

    on: date
    addressee: str
    addressee_lines: tuple[str, ...]
    sender: str
    sender_lines: tuple[str, ...]
    written_by: str
    carrier: str
    pro: str
    bol: str = ""
    bol_on: date | None = None
    supplier: str = ""
    origin: str = ""
    delivered_on: date | None = None
    refused: bool = False
    words: str = ""
    counted: int | None = None
    billed: int | None = None
    piece_unit: str = "piece"
    findings: tuple[NoticeFinding, ...] = ()
    photo_count: int = 0
    supplier_files: bool = False
    refused_crates: tuple[str, ...] = ()
    ending: str = ""
    title: str = ""


@dataclass(frozen=True)
class Letter:
    """The subject line and the body of a notice."""

    subject: str
    body: str

    @property
    def text(self) -> str:
        """Return the letter as stored: subject, an empty line, body."""
        return f"{self.subject}\n\n{self.body}"


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
        dated = f" of {in_words(facts.bol_on)}" if facts.bol_on else ""
        parts.append(f"bill of lading {facts.bol}{dated}")
    return ", ".join(parts)


def _route(facts: NoticeFacts) -> str:
    parts = [f"Carrier: {facts.carrier}."]
    if facts.supplier:
        parts.append(f"Shipper: {facts.supplier}.")
    if facts.origin:
        parts.append(f"From: {facts.origin}.")
    if facts.delivered_on:
        parts.append(f"Delivered to us: {in_words(facts.delivered_on)}.")
    return " ".join(parts)


def _listed(findings: tuple[NoticeFinding, ...]) -> str:
    lines = []
    for finding in findings:
        seen = f" Found {in_words(finding.seen_on)}." if finding.seen_on else ""
        facts = finding.facts.rstrip(". ")
        lines.append(f"{finding.number}. {finding.what}. {facts}.{seen}")
    return "\n".join(lines)


def _photos(facts: NoticeFacts) -> str:
    if not facts.photo_count:
        return ""
    return (
        f"We have {_plural(facts.photo_count, 'photo')} and will send them on request."
    )


def _close(facts: NoticeFacts) -> str:
    return (
        "Please confirm in writing the day on which you received this "
        f"notice.\n\n{signature(facts.written_by, facts.title, facts.sender)}"
    )


def signature(name: str, title: str, sender: str) -> str:
    """Return the lines that a notice's text ends with: who signs it, for whom."""
    return "\n".join(part for part in (name, title, sender) if part)


@dataclass(frozen=True)
class Signed:
    """A notice's text without its last lines, and who signs it."""

    paragraphs: tuple[str, ...]
    name: str
    title: str


def signed_text(body: str, *, name: str, title: str, sender: str) -> Signed:
    """Take the signature off a notice's text, so that the letter has it once.

    The manager may have put another person's name there: it is theirs then. Text
    without one is signed by ``name`` with ``title``.
    """
    paragraphs = tuple(part for part in body.split("\n\n") if part.strip())
    lines = paragraphs[-1].strip().splitlines() if paragraphs else []
    is_signature = 2 <= len(lines) <= 4 and sender in lines[-1:]
    if not is_signature and lines[:1] != [name]:
        return Signed(paragraphs, name, title)
    own = [line for line in lines if line != sender]
    others = ", ".join(own[1:]) or (title if own[:1] == [name] else "")
    return Signed(paragraphs[:-1], own[0] if own else name, others)


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
        "Please trace the missing freight and tell us within ten days where it is. "
        "We have not received it from any other source. If it is not found, our "
        "claim, with its amount, will follow separately.",
        _close(facts),
    )


def _supplier(facts: NoticeFacts) -> Letter:
    who = (
        "Under your terms you file the claim with the carrier on freight that you "
        "prepay. Please do so in time, and tell us what you need from us."
        if facts.supplier_files
        else "Please tell us within your own period what you want done, and whether "
        "a return authorization is needed."
    )
    return _letter(
        f"Notice of damage or loss: {_bill(facts)}",
        _route(facts),
        "The shipment was refused in part or in full."
        if facts.refused
        else "We received this shipment and report the following:",
        f"{_head_of_words(facts)}:\n{facts.words}" if facts.words else "",
        _listed(facts.findings),
        _photos(facts),
        "Goods and packaging are held and protected until you tell us what to do "
        f"with them. {who}",
        _close(facts),
    )


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
