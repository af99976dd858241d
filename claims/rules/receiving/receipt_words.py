"""The words of a receipt for one crate: which one, which side, what damage.

A clear signature is evidence that all was well, so the exceptions must be
specific (former 41 CFR 101-40.701, text seen).
"""

from dataclasses import dataclass

from claims.rules.core.vocabulary import DAMAGE_KINDS, FACES, SEVERITIES
from claims.rules.receiving.receipt_counts import Form
from claims.rules.receiving.receipt_lines import Line, join_words, stop
from claims.rules.receiving.receipt_short import Piece

REFUSALS = {
    "worthless": "practically worthless",
    "unsafe": "unsafe to unload",
    "not-ours": "not ours",
    "standing-order": "on the supplier's instruction",
    "leaking": "leaking",
}

EMPTY_WORDS = ("accept", "subject to", "said to be", "said to contain")
"""What no text says; a note with one of them is left out, and the page says so."""

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
    is_over: bool = False


def is_empty(note: str) -> bool:
    """Return whether a note has words that say nothing of the freight."""
    return any(word in note.lower() for word in EMPTY_WORDS)


def worst_first(crate: CrateLook) -> tuple[int, int]:
    """Return a sort key: the most severe crate first, then by number."""
    ranks = [_RANK.get(damage.severity, 3) for damage in crate.damages]
    return min(ranks, default=3), crate.number


def _name(crate: CrateLook, of_all: int) -> str:
    of = f" of {of_all}" if of_all else ""
    mark = f" (mark {crate.mark})" if crate.mark else ""
    return f"Crate {crate.number}{of}{mark}"


def refused_line(crate: CrateLook, of: int) -> Line:
    """Return a refused crate with the reason, one of so many on the bill."""
    why = REFUSALS.get(crate.refused_for, "")
    start = "REFUSED" + (f", {why}" if why else "")
    seen = "; ".join(damage_in_words(damage) for damage in crate.damages)
    full = f"{_name(crate, of)} {start}"
    short = f"CRATE {crate.number} REFUSED {why}".strip()
    bare = [Form(short, (f"damage on crate {crate.number}",))] if seen else []
    wide = _forms(crate, f"{short}:" if why else short)
    forms = (*wide, *bare) if seen else (Form(short),)
    omitted = f"crate {crate.number} refused" + (f", {why}" if why else "")
    piece = Piece(forms, omitted + _note_too(crate), is_damage=False)
    return Line(stop(f"{full}: {seen}" if seen else full), piece)


def noted_line(crate: CrateLook, of: int) -> Line:
    """Return the exceptions on a crate, one of so many on the bill."""
    seen = "; ".join(damage_in_words(damage) for damage in crate.damages) or "damaged"
    omitted = f"crate {crate.number} damage{_note_too(crate)}"
    piece = Piece(_forms(crate, f"CRATE {crate.number}"), omitted, is_damage=True)
    return Line(f"{_name(crate, of)}: {stop(seen)}", piece)


def _note_too(crate: CrateLook) -> str:
    return " and your note on it" if any(_note(one) for one in crate.damages) else ""


def _forms(crate: CrateLook, head: str) -> tuple[Form, ...]:
    """Return a crate's damage with all, without its note, and as kind and side alone."""
    mark = ["mark"] if crate.mark else []
    note = ["your note"] if _note_too(crate) else []
    rated = any(damage.kind != "indicator" for damage in crate.damages)
    severity = ["severity"] if rated else []
    full, bare = (
        "; ".join(
            damage_in_words(damage, short=True, has_note=has_note)
            for damage in crate.damages
        )
        for has_note in (True, False)
    )
    least = ", ".join(_kind_and_side(damage) for damage in crate.damages)
    widest = [Form(f"{head} (mark {crate.mark}) {full}")] if mark else []
    return (
        *widest,
        Form(f"{head} {full or 'damaged'}", _lost(crate, mark)),
        Form(f"{head} {bare or 'damaged'}", _lost(crate, [*mark, *note])),
        Form(f"{head} {least or 'damaged'}", _lost(crate, [*mark, *severity, *note])),
    )


def _lost(crate: CrateLook, names: list[str]) -> tuple[str, ...]:
    return (f"{join_words(names)} on crate {crate.number}",) if names else ()


def _kind_and_side(damage: Damage) -> str:
    where = "+".join(_side(face) for face in damage.faces)
    return f"{where} {DAMAGE_KINDS[damage.kind]}".strip()


def _side(face: str) -> str:
    return FACES[face].removesuffix(" (label side)")


def _note(damage: Damage) -> str:
    return "" if is_empty(damage.note) else damage.note.rstrip(".")


def damage_in_words(
    damage: Damage, *, short: bool = False, has_note: bool = True
) -> str:
    """Return "side 1 (label side) punctured, severe: fork hole 20 cm"."""
    where = join_words([FACES[face] for face in damage.faces])
    words = f"{where} {DAMAGE_KINDS[damage.kind]}".strip()
    if short:
        words = _kind_and_side(damage)
    if damage.kind != "indicator":
        words += f", {SEVERITIES[damage.severity]}"
    note = _note(damage) if has_note else ""
    return f"{words}: {note}" if note else words


def plain_facts(damage: Damage) -> str:
    """Return the facts of a finding for which the clerk typed no note."""
    return f"Crate {damage_in_words(damage)}."


def is_plain(facts: str, damage: Damage) -> bool:
    """Return whether the facts are the plain ones, in today's labels or the first.

    Facts are stored as text, so findings recorded under the first labels ("slight",
    "film or wrap torn") still have them.
    """
    first = f", {SEVERITIES[damage.severity]}.", f", {damage.severity}."
    older = plain_facts(damage).replace(*first)
    if damage.kind == "torn":
        older = older.replace(DAMAGE_KINDS["torn"], "film or wrap torn")
    return facts in {plain_facts(damage), older}
