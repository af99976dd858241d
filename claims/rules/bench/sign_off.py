"""When the setup of a machine is complete, and what may stay open.

A safety line is right before release, whoever signs. Common practice, no source; the
maker's own setup list takes precedence.
"""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from claims.rules.bench.setup_lines import SetupLine
from inventory.rules.core.text import mid_sentence

RELEASES = {
    "complete": "Complete",
    "open-items": "Complete, with open items",
    "manager": "Released by the manager without sign-off",
}
"""How a machine is released."""

BEFORE = "before"
"""The release of a machine that was set up before there was a sign-off."""

SIGN_OFFS = {**RELEASES, BEFORE: "Released before sign-off existed"}
"""Every release that a page may show."""

SAFETY = "It keeps someone safe and cannot stay open"

NOT_RELEASED = (
    "This machine is not released: its setup is not signed off. Nothing was saved. "
    "Sign it off at the bench, or ask a manager, who can release it with a reason."
)


@dataclass(frozen=True)
class LineState:
    """One line as last inspected.

    ``result`` is right, wrong, absent or "" (not inspected); ``judged`` what its
    readings are by the targets: right, off, missing or no-target; "" without
    readings. ``note`` is what is wrong. ``undecided`` while nobody has said whether it
    is damage or an adjustment.
    """

    result: str = ""
    judged: str = ""
    missing: tuple[str, ...] = ()
    note: str = ""
    undecided: bool = False

    @property
    def is_right(self) -> bool:
        """Return whether nothing is left to do on this line."""
        return self.result == "right" and self.judged != "off" and not self.undecided


@dataclass(frozen=True)
class OpenItem:
    """One line that stays open, with who sees to it and by when."""

    line: str
    what: str
    who: str
    by: dt.date


@dataclass(frozen=True)
class SignOffVerdict:
    """Complete, open-items, or refused with every reason."""

    state: str
    reasons: tuple[str, ...] = ()
    open_items: tuple[OpenItem, ...] = ()

    @property
    def allowed(self) -> bool:
        """Return whether the machine is released by this."""
        return self.state != "refused"


@dataclass(frozen=True)
class SignOffFacts:
    """The facts of one machine at sign-off; the hold's reason is "" without one."""

    lines: Sequence[SetupLine]
    states: Mapping[str, LineState]
    today: dt.date
    items: Sequence[OpenItem] = ()
    hold_reason: str = ""


def sign_off(facts: SignOffFacts) -> SignOffVerdict:
    """Return whether this machine may be signed off, with every reason against it."""
    reasons = []
    if facts.hold_reason:
        reasons.append(f"The machine is on hold. {facts.hold_reason}")
    named = {item.line: item for item in facts.items}
    taken = []
    for line in facts.lines:
        state = facts.states.get(line.key) or LineState()
        against = why_not_done(line, state)
        if not against:
            continue
        item = named.get(line.key)
        if item and not _cannot_wait(line, state):
            reasons += _item_faults(line, item, facts.today)
            taken.append(item)
        else:
            reasons.append(f"{line.label}: {against}")
    if reasons:
        return SignOffVerdict("refused", tuple(reasons))
    return SignOffVerdict(
        "open-items" if taken else "complete", open_items=tuple(taken)
    )


def why_not_done(line: SetupLine, state: LineState) -> str:
    """Return why this line keeps a machine from being complete, or ""."""
    if state.result == "absent":
        return "it cannot be N/A on this machine." if line.always else ""
    if not state.result:
        return "not inspected."
    if state.undecided:
        return "not decided yet whether it is damage or an adjustment."
    return _what_is_wrong(line, state)


def _what_is_wrong(line: SetupLine, state: LineState) -> str:
    tail = f". {SAFETY}." if line.never_open else ". Name who sees to it, and by when."
    what = mid_sentence(state.note.strip().rstrip("."))
    if state.result == "wrong":
        return f"not right{f' ({what})' if what else ''}{tail}"
    if state.judged == "off":
        return f"a reading is out of range{tail}"
    if state.missing and not line.may_skip_reading:
        return f"not read yet: {', '.join(state.missing)}."
    return ""


def may_stay_open(line: SetupLine, state: LineState) -> bool:
    """Return whether this line is not done, and may be named as an open item."""
    return bool(why_not_done(line, state)) and not _cannot_wait(line, state)


def may_leave(release: str, reason: str = "") -> str:
    """Return why this machine may not be sold or leave, or "".

    ``release`` is a key of SIGN_OFFS or ""; ``reason`` is the manager's.
    """
    return "" if release in SIGN_OFFS or reason.strip() else NOT_RELEASED


def _cannot_wait(line: SetupLine, state: LineState) -> bool:
    is_no_answer = line.always and state.result == "absent"
    return line.never_open or is_no_answer or state.undecided


def _item_faults(line: SetupLine, item: OpenItem, today: dt.date) -> list[str]:
    found = []
    if not item.who.strip():
        found.append(f"{line.label}: name who sees to it.")
    if item.by < today:
        found.append(f"{line.label}: its day is past. Enter a day from today on.")
    return found
