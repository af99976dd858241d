"""The carrier deadlines of one delivery: counted, read and met.

A delivery may have both damage and a shortage. Each is counted separately, and
of every duty the one with the earliest safe day applies.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from claims.rules.deadlines.counted_duty import BROKER_NOTE, CountedDuty, send_by
from claims.rules.deadlines.counting import calendar_for, deadlines_for
from claims.rules.deadlines.facts import Deadline, Facts
from claims.rules.regimes import VERSION
from inventory.rules.reckoning.calendars import Calendar

OF_CLAIM = ("acknowledgement", "disposition", "status")
"""Duties of the claim as a whole, whatever the number of trucks."""


@dataclass(frozen=True)
class DeliveryFacts:
    """One delivery, as the carrier's deadlines need it.

    ``base`` holds what is common to the bill. ``losses`` are the kinds of loss on
    this delivery; empty where nothing is known to be wrong. ``has_hidden`` means
    that concealed damage was found or may still be inside a closed crate,
    ``has_apparent`` that damage could be seen. ``mail_days`` are business days.
    ``not_filed`` says why a claim that went out is with no carrier: it meets nothing.
    ``stay`` is the caution of a carrier's bankruptcy.
    """

    base: Facts
    losses: tuple[str, ...]
    has_hidden: bool
    has_apparent: bool
    is_claimed: bool
    mail_days: int = 5
    is_broker: bool = False
    not_filed: str = ""
    stay: str = ""


@dataclass(frozen=True)
class MetFacts:
    """The days on which what was owed is proven done; None where it is not.

    ``on_receipt`` is the day on which our exceptions were written on the carrier's own
    copy of the receipt. ``answered_on`` is the carrier's first offer, refusal or
    payment.
    """

    on_receipt: dt.date | None = None
    notice_received_on: dt.date | None = None
    concealed_received_on: dt.date | None = None
    claim_received_on: dt.date | None = None
    acknowledged_on: dt.date | None = None
    answered_on: dt.date | None = None
    closed_on: dt.date | None = None


def carrier_duties(facts: DeliveryFacts, met: MetFacts) -> tuple[CountedDuty, ...]:
    """Return the carrier deadlines of this delivery, each duty once."""
    calendar = calendar_for(facts.base)
    found: dict[str, Deadline] = {}
    for variant in _variants(facts):
        for one in deadlines_for(variant):
            old = found.get(one.duty)
            wanted = _is_wanted(one, facts, variant.loss)
            if wanted and (old is None or one.safe < old.safe):
                found[one.duty] = one
    return tuple(
        _keep(one, facts, calendar, _met_on(one, met))
        for one in _begun(found, facts.base.as_of)
    )


def _variants(facts: DeliveryFacts) -> Iterable[Facts]:
    """Return the facts for each loss, and for damage that may still be hidden."""
    losses = [*facts.losses]
    if "damage" not in losses and (facts.has_hidden or not losses):
        losses.append("damage")
    for loss in losses:
        for hidden in (True, False):
            yield replace(
                facts.base,
                loss=loss,  # type: ignore[arg-type]
                is_concealed=hidden,
            )


def _is_wanted(one: Deadline, facts: DeliveryFacts, loss: str) -> bool:
    if one.duty == "concealed-notice":
        return facts.has_hidden
    if one.duty == "apparent-notice":
        return facts.has_apparent
    if one.duty == "delay-notice":
        return False
    return loss in facts.losses or (facts.is_claimed and not facts.losses)


def _begun(found: dict[str, Deadline], as_of: dt.date | None) -> Sequence[Deadline]:
    """Keep the first status report, and of the later ones those that have begun."""
    kept = [
        one
        for one in found.values()
        if not one.duty.startswith("status-")
        or one.duty == "status-1"
        or (as_of is not None and one.starts_on <= as_of)
    ]
    return sorted(kept, key=lambda one: (one.due, one.duty))


def _met_on(one: Deadline, met: MetFacts) -> dt.date | None:
    if one.duty == "apparent-notice":
        return _earliest(met.on_receipt, met.notice_received_on)
    if one.duty == "concealed-notice":
        return met.concealed_received_on
    if one.duty == "claim":
        return met.claim_received_on
    if one.duty == "acknowledgement":
        return _earliest(met.acknowledged_on, met.answered_on)
    if one.duty == "disposition" or one.duty.startswith("status-"):
        return met.answered_on
    return met.closed_on


def _earliest(*days: dt.date | None) -> dt.date | None:
    known = [day for day in days if day is not None]
    return min(known) if known else None


def _keep(
    one: Deadline, facts: DeliveryFacts, calendar: Calendar, met_on: dt.date | None
) -> CountedDuty:
    ours = one.owed_by == "claimant"
    notes = list(one.notes)
    if facts.is_broker and ours:
        notes.insert(0, BROKER_NOTE)
    if one.duty == "claim" and facts.not_filed:
        notes.insert(0, facts.not_filed)
    if one.duty == "suit" and facts.stay:
        notes.insert(0, facts.stay)
    if one.standing in {"suspended", "disputed"}:
        notes.insert(0, f"This deadline is {one.standing}.")
    base = one.duty.split("-")[0] if one.duty.startswith("status") else one.duty
    return CountedDuty(
        duty=one.duty,
        owed_by=one.owed_by,
        record_key=one.record_key,
        rule_version=VERSION,
        starts_on=one.starts_on,
        due=one.due,
        safe=one.safe,
        send_by=send_by(one.safe, facts.mail_days, calendar, one.starts_on)
        if ours
        else one.safe,
        steps=one.counted,
        notes=tuple(notes),
        effect=_sentence(one.effect),
        authority=one.authority,
        confidence=one.confidence,
        inputs=_inputs(facts),
        met_on=met_on,
        is_of_claim=base in OF_CLAIM or _runs_from_letter(one, facts),
    )


def _runs_from_letter(one: Deadline, facts: DeliveryFacts) -> bool:
    """Return whether a suit runs from the carrier's letter, not from a delivery."""
    letters = {letter.on for letter in facts.base.letters}
    return one.duty == "suit" and one.starts_on in letters


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def _inputs(facts: DeliveryFacts) -> dict[str, str]:
    """Return what the count was made from, as text; the day of asking is not included."""
    base = facts.base
    found = {
        "regime": base.regime,
        "losses": ", ".join(facts.losses),
        "bill": _text(base.bill_on),
        "delivered": _text(base.delivered_on),
        "refused": _text(base.refused_on),
        "discovered": _text(base.discovered_on),
        "claim received by carrier": _text(base.claim_received_on),
        "calendar": base.calendar or "",
        "contract carriage": {True: "yes", False: "no", None: "not known"}[
            base.is_contract_carriage
        ],
        "days for the mail": str(facts.mail_days),
    }
    for letter in base.letters:
        found[f"letter {letter.on:%Y-%m-%d}"] = letter.kind
    for duty, term in base.terms.items():
        found[f"term for {duty}"] = f"{term.count} {term.unit} from {term.starts}"
    return {name: value for name, value in found.items() if value}


def _text(day: dt.date | None) -> str:
    return day.isoformat() if day else ""
