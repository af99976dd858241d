"""The words for the delivery receipt: piece counts first, then crate by crate.

A clear signature is evidence that all was well, so the words must be specific:
which crate, which side, what damage (former 41 CFR 101-40.701, text seen).
"""

from collections.abc import Sequence
from dataclasses import dataclass

from claims.rules.core.vocabulary import DAMAGE_KINDS, FACES
from inventory.rules.reckoning.counts import pieces_in_words

SHORT_LIMIT = 160
"""Characters of the short form. Our own choice, common practice, no source."""

REFUSALS = {
    "worthless": "nothing can be saved",
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
    """One thing seen on a crate; words of the vocabulary, and the clerk's own."""

    kind: str
    severity: str
    faces: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class CrateLook:
    """A crate as it was looked at: clear, exception, refused, or empty for not yet."""

    number: int
    mark: str = ""
    look: str = ""
    damages: tuple[Damage, ...] = ()
    refused_for: str = ""


@dataclass(frozen=True)
class ReceiptFacts:
    """What one truck handed over of one freight bill.

    ``counted`` is this truck's count, refused pieces included; ``earlier`` what
    earlier trucks brought of the bill; ``crates_on_bill`` how many crates it has in
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
    """The full form to copy, and the short form with what it had to leave out."""

    full: str
    short: str
    left_out: int
    has_exceptions: bool


def compose_words(facts: ReceiptFacts) -> ReceiptWords:
    """Return the words for this bill's receipt, as they are to be written."""
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


def _count_words(facts: ReceiptFacts) -> str:
    unit = facts.unit
    if facts.counted is None:
        return "pieces not counted at delivery."
    received = pieces_in_words(facts.counted, unit)
    if facts.billed is None:
        return f"{received} received. Billed pieces not shown to us."
    earlier = f", {facts.earlier} received before" if facts.earlier else ""
    start = f"{pieces_in_words(facts.billed, unit)} billed{earlier}, "
    start += f"{received} received"
    rest = facts.billed - facts.counted - facts.earlier
    if rest > 0 and facts.rest_to_follow:
        return f"{start}. Part delivery, {pieces_in_words(rest, unit)} to follow."
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
        words += f", {damage.severity}"
    return f"{words}: {damage.note.rstrip('.')}" if damage.note else words


def plain_facts(damage: Damage) -> str:
    """Return the facts of a finding for which the clerk typed no words."""
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
        lines.append(f"{pieces_in_words(clear, 'crate')}: no damage visible outside.")
    elif clear:
        lines.append(f"Other {pieces_in_words(clear, 'crate')}: no damage visible.")
    if unseen:
        numbers = join_words([str(number) for number in unseen])
        noun = "Crate" if len(unseen) == 1 else "Crates"
        lines.append(f"{noun} {numbers} not looked over at delivery.")
    return lines


def _seal_lines(facts: ReceiptFacts) -> list[str]:
    if facts.seal_number:
        note = facts.seal_note or "read before it was cut"
        return [f"Seal {facts.seal_number}: {_stop(note)}"]
    return [f"Seal: {_stop(facts.seal_note)}"] if facts.seal_note else []


def _ending_lines(facts: ReceiptFacts) -> list[str]:
    words = {
        "refused": "Driver would not sign these words.",
        "dropped": "Trailer dropped. No driver present to count, look and sign.",
        "unattended": "Left with nobody on the dock to receive it.",
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
        return f"{pieces_in_words(facts.counted, facts.unit)} received"
    difference = _difference(facts)
    tail = f"{facts.counted + facts.earlier} of {facts.billed} {facts.unit}s received"
    if difference:
        word = "OVER" if difference > 0 else "SHORT"
        return f"{word} {pieces_in_words(abs(difference), facts.unit)} ({tail})"
    return f"{tail}, rest to follow" if facts.rest_to_follow else tail
