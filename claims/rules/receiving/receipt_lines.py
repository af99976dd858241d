"""The lines of a receipt's text beside count and damage: each in full and shortened."""

from collections.abc import Sequence
from dataclasses import dataclass

from claims.rules.receiving.receipt_counts import Form, PieceCount
from claims.rules.receiving.receipt_short import Piece
from inventory.rules.core.vocabulary import NOT_INSPECTED
from inventory.rules.reckoning.counts import pieces_in_words

_SEALS = {
    "intact": "{seal} intact before the doors were opened.",
    "broken": "{seal} broken before the doors were opened.",
    "differs": "{seal}: the number differs from the bill.",
    "none": "No seal on the doors.{given}",
}


@dataclass(frozen=True)
class Line:
    """One line of the full text, and the piece that it is in a shortened one."""

    full: str
    piece: Piece


@dataclass(frozen=True)
class Ending:
    """How the receipt ended; the witness of a refusal, and when the driver left."""

    how: str = ""
    witness: str = ""
    left_at: str = ""


def stop(text: str) -> str:
    """Return the text with a full stop, unless it ends a sentence already."""
    return text if text.endswith((".", "!", "?")) else f"{text}."


def join_words(names: Sequence[str]) -> str:
    """Return "a", "a and b", "a, b and c"."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def ranges(numbers: Sequence[int]) -> str:
    """Return "5-8 and 11": numbers that follow each other as a range from three on."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    said: list[str] = []
    for run in runs:
        is_range = len(run) > 2
        said += [f"{run[0]}-{run[-1]}"] if is_range else [str(one) for one in run]
    return join_words(said)


def _crates(numbers: Sequence[int]) -> str:
    return f"Crate{'' if len(numbers) == 1 else 's'} {ranges(numbers)}"


def handling_line(count: PieceCount) -> list[Line]:
    """Return the handling units, where the bill or the count has any."""
    if count.billed is None and count.tendered is None:
        return []
    full = f"Handling units, {count.sentence}"
    forms = (Form(full), *count.forms())
    return [Line(stop(full), Piece(forms, f"handling units, {count.sentence}"))]


def clear_line(clear: int, *, is_all: bool) -> list[Line]:
    """Return how many crates have no visible damage."""
    if not clear:
        return []
    some = pieces_in_words(clear, "crate")
    others = "Other crate" if clear == 1 else f"Other {some}"
    full = f"{some if is_all else others}: no visible damage."
    forms = (Form(f"{some} no visible damage"),)
    omitted = f"{some} without visible damage"
    return [Line(full, Piece(forms, omitted, is_praise=True))]


def unseen_lines(
    unseen: Sequence[int], *, absent: int, unlisted: int, reason: str, left_at: str
) -> list[Line]:
    """Return the crates that nobody inspected, with the reason, and those not tendered.

    ``absent`` of the ``unseen`` crates were not tendered at all, ``unlisted`` crates
    were tendered without being listed.
    """
    why = NOT_INSPECTED.get(reason, "")
    if why and reason == "no-wait" and left_at:
        why += f", left {left_at}"
    lines = []
    here = len(unseen) - absent
    if unseen and not here:
        lines.append(_unseen_line(f"{_crates(unseen)} not tendered", "", 0))
    elif unseen:
        some = f"{absent} not tendered, {here} " if absent else ""
        text = f"{_crates(unseen)}{':' if some else ''} {some}not inspected"
        lines.append(_unseen_line(text, why, here))
    if unlisted:
        more = "crate" if unlisted == 1 else "crates"
        text = f"{unlisted} {more}, not listed, not inspected"
        lines.append(_unseen_line(text, why, unlisted))
    return lines


def _unseen_line(text: str, why: str, number: int) -> Line:
    """Return the line, its reason left out first, then which crates they are."""
    full = f"{text}, {why}" if why else text
    forms = [Form(full)]
    lost = ("why crates were not inspected",) if why else ()
    if why:
        forms.append(Form(text, lost))
    if number:
        which = (f"which ones: {text[0].lower()}{text[1:]}",)
        forms.append(Form(f"{number} NOT INSPECTED", (*which, *lost)))
    return Line(stop(full), Piece(tuple(forms), text[0].lower() + text[1:]))


def trailer_line(*, was_seen: bool) -> list[Line]:
    """Return that the damage was there before anybody here moved the freight."""
    if not was_seen:
        return []
    full = "Damage seen on the trailer, before it was moved."
    forms = (Form(full[:-1]), Form("damage seen on trailer"))
    return [Line(full, Piece(forms, "damage seen on the trailer"))]


def shipper_line(*, shippers_count: bool) -> list[Line]:
    """Return the shipper's load and count."""
    if not shippers_count:
        return []
    words = "Shipper's load and count"
    return [Line(f"{words}.", Piece((Form(words),), words.lower()))]


def seal_line(number: str, condition: str, note: str) -> list[Line]:
    """Return the seal: its number, its condition before the doors opened, the note."""
    if not (number or condition or note):
        return []
    seal = f"Seal {number}" if number else "Seal"
    given = f" Number given: {number}." if number else ""
    said = _SEALS.get(condition, "{seal}." if number else "").format(
        seal=seal, given=given
    )
    head = f"{said} " if said else "Seal: "
    full = f"{head}{stop(note)}" if note else said
    forms = [Form(full.rstrip("."))]
    if note and said:
        forms.append(Form(said.rstrip("."), ("your note on the seal",)))
    omitted = f"seal {number}".strip() + (" and your note on it" if note else "")
    return [Line(full, Piece(tuple(forms), omitted))]


def ending_line(ending: Ending) -> list[Line]:
    """Return how the receipt ended, where the driver did not sign below this text."""
    full = _ending_words(ending)
    if not full:
        return []
    return [Line(full, Piece((Form(full.rstrip(".")),), "how the receipt ended"))]


def _ending_words(ending: Ending) -> str:
    witness = f" Witness: {ending.witness}." if ending.witness else ""
    left = f" Left {ending.left_at}." if ending.left_at else ""
    return {
        "handheld": "Driver signed on the handheld. It took no exceptions.",
        "bare": "Driver signed a receipt without this text.",
        "refused": f"Driver refused to sign.{witness}",
        "no-wait": f"Driver would not wait to sign.{left}",
        "dropped": "No driver present to count, inspect or sign.",
        "unattended": "No driver present. Left with nobody at the dock to receive it.",
    }.get(ending.how, "")
