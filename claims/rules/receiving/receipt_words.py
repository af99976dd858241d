"""The exceptions for the delivery receipt: piece counts first, then crate by crate.

A clear signature is evidence that all was well, so the exceptions must be
specific: which crate, which side, what damage (former 41 CFR 101-40.701, text
seen).
"""

from collections.abc import Sequence
from dataclasses import dataclass

from claims.rules.core.vocabulary import DAMAGE_KINDS, FACES, SEVERITIES
from inventory.rules.reckoning.counts import pieces_in_words

SHORT_LIMIT = 160
"""Characters of the short form. Our own choice, common practice, no source."""

REFUSALS = {
    "worthless": "not worth saving",
    "not-ours": "not ours",
    "leaking": "leaking",
    "unsafe": "unsafe to unload",
    "standing-order": "damaged, refused on supplier's order",
}

_SHORT_FACES = {
    "side-1": "side 1",
    "side-2": "side 2",
    "side-3": "side 3",
    "side-4": "side 4",
    "top": "top",
    "base": "base",
    "inside": "inside",
}
_RANK = {"severe": 0, "moderate": 1, "slight": 2}


@dataclass(frozen=True)
class Damage:
    """One damage seen on a crate: vocabulary keys, and the clerk's own note."""

    kind: str
    severity: str
    faces: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class CrateLook:
    """A crate as inspected: clear, exception, refused, or empty for not inspected."""

    number: int
    mark: str = ""
    look: str = ""
    damages: tuple[Damage, ...] = ()
    refused_for: str = ""


@dataclass(frozen=True)
class ReceiptFacts:
    """The facts of one truck's delivery of one freight bill.

    ``counted`` is this truck's count, refused pieces included; ``earlier`` what
    earlier trucks delivered of the bill; ``crates_on_bill`` how many crates it has in
    all as far as they are listed. ``ending`` is how it was signed, once it was.
    """

    pro: str
    unit: str
    billed: int | None
    counted: int | None
    earlier: int = 0
    rest_to_follow: bool = False
    crates_on_bill: int = 0
    crates: tuple[CrateLook, ...] = ()
    seal_number: str = ""
    seal_note: str = ""
    ending: str = ""


@dataclass(frozen=True)
class ReceiptWords:
    """The full text to copy, and the short form with the number of crates left out."""

    full: str
    short: str
    left_out: int
    has_exceptions: bool


def compose_words(facts: ReceiptFacts) -> ReceiptWords:
    """Return the text for this bill's receipt, as it is to be written."""
    refused = [crate for crate in facts.crates if crate.look == "refused"]
    noted = [crate for crate in facts.crates if crate.look == "exception"]
    count = _count_words(facts)
    lines = [
        f"PRO {facts.pro}: {count}",
        *(_refused_line(facts, crate) for crate in refused),
        *(_noted_line(facts, crate) for crate in noted),
        *_rest_lines(facts),
        *_seal_lines(facts),
        *_ending_lines(facts),
    ]
    short, left_out = _short_form(facts, refused, noted)
    return ReceiptWords(
        full="\n".join(lines),
        short=short,
        left_out=left_out,
        has_exceptions=bool(refused or noted or _difference(facts)),
    )


def _difference(facts: ReceiptFacts) -> int:
    """Return pieces over (positive) or short (negative) on this receipt."""
    if facts.billed is None or facts.counted is None:
        return 0
    difference = facts.counted + facts.earlier - facts.billed
    return 0 if difference < 0 and facts.rest_to_follow else difference


def _verb(facts: ReceiptFacts) -> str:
    """Return "tendered" where a crate was refused: it was never received."""
    refused = any(crate.look == "refused" for crate in facts.crates)
    return "tendered" if refused else "received"


def _count_words(facts: ReceiptFacts) -> str:
    unit = facts.unit
    if facts.counted is None:
        return "Not counted at delivery."
    received = f"{pieces_in_words(facts.counted, unit)} {_verb(facts)}"
    if facts.billed is None:
        return f"{received}. Pieces billed not shown to us."
    earlier = f", {facts.earlier} received earlier" if facts.earlier else ""
    start = f"{pieces_in_words(facts.billed, unit)} billed{earlier}, "
    start += received
    rest = facts.billed - facts.counted - facts.earlier
    if rest > 0 and facts.rest_to_follow:
        return f"{start}. Partial delivery, {pieces_in_words(rest, unit)} to follow."
    difference = _difference(facts)
    if difference:
        word = "OVER" if difference > 0 else "SHORT"
        return f"{start}. {pieces_in_words(abs(difference), unit)} {word}."
    return f"{start}. Count agrees."


def _name(facts: ReceiptFacts, crate: CrateLook) -> str:
    of = f" of {facts.crates_on_bill}" if facts.crates_on_bill else ""
    mark = f" (mark {crate.mark})" if crate.mark else ""
    return f"Crate {crate.number}{of}{mark}"


def _refused_line(facts: ReceiptFacts, crate: CrateLook) -> str:
    why = REFUSALS.get(crate.refused_for, "")
    start = f"{_name(facts, crate)} REFUSED" + (f", {why}" if why else "")
    seen = "; ".join(damage_in_words(damage) for damage in crate.damages)
    return f"{start}: {_stop(seen)}" if seen else f"{start}."


def _noted_line(facts: ReceiptFacts, crate: CrateLook) -> str:
    seen = "; ".join(damage_in_words(damage) for damage in crate.damages)
    return f"{_name(facts, crate)}: {_stop(seen or 'damaged')}"


def _stop(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."


def damage_in_words(damage: Damage) -> str:
    """Return "side 1 (label side) punctured, severe: fork hole 20 cm"."""
    where = join_words([FACES[face] for face in damage.faces])
    what = DAMAGE_KINDS[damage.kind]
    words = f"{where} {what}".strip()
    if damage.kind != "indicator":
        words += f", {SEVERITIES[damage.severity]}"
    return f"{words}: {damage.note.rstrip('.')}" if damage.note else words


def plain_facts(damage: Damage) -> str:
    """Return the facts of a finding for which the clerk typed no note."""
    return f"Crate {damage_in_words(damage)}."


def join_words(names: Sequence[str]) -> str:
    """Return "a", "a and b", "a, b and c"."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def _rest_lines(facts: ReceiptFacts) -> list[str]:
    clear = sum(1 for crate in facts.crates if crate.look == "clear")
    unseen = [crate.number for crate in facts.crates if not crate.look]
    lines = []
    if clear and clear == len(facts.crates):
        lines.append(f"{pieces_in_words(clear, 'crate')}: no visible damage.")
    elif clear:
        lines.append(f"Other {pieces_in_words(clear, 'crate')}: no visible damage.")
    if unseen:
        numbers = join_words([str(number) for number in unseen])
        noun = "Crate" if len(unseen) == 1 else "Crates"
        lines.append(f"{noun} {numbers} not inspected at delivery.")
    return lines


def _seal_lines(facts: ReceiptFacts) -> list[str]:
    if facts.seal_number:
        note = facts.seal_note or "checked before it was cut"
        return [f"Seal {facts.seal_number}: {_stop(note)}"]
    return [f"Seal: {_stop(facts.seal_note)}"] if facts.seal_note else []


def _ending_lines(facts: ReceiptFacts) -> list[str]:
    words = {
        "refused": "Driver refused to sign with these exceptions.",
        "dropped": "Trailer dropped. No driver present to count, inspect and sign.",
        "unattended": "No driver present. Left with nobody at the dock to receive it.",
    }.get(facts.ending)
    return [words] if words else []


def _short_form(
    facts: ReceiptFacts, refused: Sequence[CrateLook], noted: Sequence[CrateLook]
) -> tuple[str, int]:
    """Return at most SHORT_LIMIT characters, and how many crates did not fit."""
    count = _short_count(facts)
    pieces = [
        *(_short_refused(crate) for crate in refused),
        *(_short_noted(crate) for crate in sorted(noted, key=_worst_first)),
    ]
    for fitting in range(len(pieces), -1, -1):
        left = len(pieces) - fitting
        more = [f"+{left} CRATE{'S' if left > 1 else ''} DAMAGED, SEE LIST"]
        text = "; ".join([*pieces[:fitting], *(more if left else []), count])
        if len(text) <= SHORT_LIMIT:
            return text, left
    return count[:SHORT_LIMIT], len(pieces)


def _worst_first(crate: CrateLook) -> tuple[int, int]:
    ranks = [_RANK.get(damage.severity, 3) for damage in crate.damages]
    return min(ranks, default=3), crate.number


def _short_refused(crate: CrateLook) -> str:
    why = REFUSALS.get(crate.refused_for, "") or _short_damage(crate)
    return f"CRATE {crate.number} REFUSED {why}".strip()


def _short_noted(crate: CrateLook) -> str:
    return f"CRATE {crate.number} {_short_damage(crate) or 'damaged'}"


def _short_damage(crate: CrateLook) -> str:
    words = []
    for damage in crate.damages:
        where = "+".join(_SHORT_FACES[face] for face in damage.faces)
        words.append(f"{where} {DAMAGE_KINDS[damage.kind]}".strip())
    return ", ".join(words)


def _short_count(facts: ReceiptFacts) -> str:
    if facts.counted is None:
        return "NOT COUNTED"
    if facts.billed is None:
        return f"{pieces_in_words(facts.counted, facts.unit)} {_verb(facts)}"
    difference = _difference(facts)
    pieces = f"{facts.counted + facts.earlier} of {facts.billed} {facts.unit}s"
    tail = f"{pieces} {_verb(facts)}"
    if difference:
        word = "OVER" if difference > 0 else "SHORT"
        return f"{word} {pieces_in_words(abs(difference), facts.unit)} ({tail})"
    return f"{tail}, rest to follow" if facts.rest_to_follow else tail
