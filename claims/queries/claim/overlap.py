"""What is on record about a claim's loss elsewhere: other claims, letters, answers."""

import json
from collections.abc import Iterable, Sequence
from datetime import datetime

from django.db.models import Q, QuerySet

from claims.models import Claim, ClaimLetter, ClaimLine, ClaimStep, OverlapAnswer
from claims.queries.core.facts import line_cents
from claims.queries.core.payments import claim_money
from claims.rules.claim.life import LIFE
from claims.rules.letters import overlap as rules
from inventory.rules.reckoning.calendars import in_words

TO_SUPPLIER = ("hand-over", "assignment", "authority")
"""The letters that put the loss into the supplier's hands."""


def overlap_of(claim: Claim, lines: Sequence[ClaimLine]) -> rules.OverlapFacts:
    """Return what is known of the claim's loss elsewhere, in a fixed number of queries.

    ``lines`` are those that count, with their findings joined.
    """
    steps = list(
        claim.steps.filter(act__in=("offer", "accept", "disallow")).order_by("pk")
    )
    letters = [row for row in claim.letters.all() if not row.dropped_reason]
    others = _others(claim, lines)
    declined = max(_times(steps, "disallow"), default=None)
    agreed = [
        step
        for step in steps
        if step.act == "accept" and (not declined or step.recorded_at >= declined)
    ]
    return rules.OverlapFacts(
        currency=claim.currency,
        answer=_answer(claim, steps),
        others=others,
        loss_cents=sum(line_cents(line) for line in lines),
        recovered_cents=sum(line.recovered_cents for line in lines),
        paid_cents=claim_money(claim).paid_cents,
        accepted=tuple(
            one
            for row in letters
            if row.kind == "acceptance"
            and (not declined or row.confirmed_at >= declined)
            for one in _accepted(row)
        ),
        agreed_cents=sum(step.cents or 0 for step in agreed),
        agreed_on=agreed[-1].on if agreed else None,
        known=tuple(_known(letters, others)),
    )


def claimed_before(findings: Iterable[int]) -> QuerySet[ClaimLine]:
    """Return the lines of other claims on these findings that somebody else may know of.

    A claim that we never sent is known to nobody; one of the supplier's is with it.
    """
    return ClaimLine.objects.filter(
        finding__in=list(findings), struck_reason=""
    ).exclude(claim__sent_on=None, claim__claimant="us")


def last_answer(claim: Claim) -> OverlapAnswer | None:
    """Return what was answered last, however old it is."""
    return claim.overlap_answers.order_by("pk").last()


def _answer(claim: Claim, steps: Sequence[ClaimStep]) -> rules.OverlapAnswer | None:
    """Return the last answer; None where an offer or a supplement came after it."""
    row = last_answer(claim)
    if row is None:
        return None
    made = claim.supplement_rows.values_list("made_at", flat=True)
    since = (*_times(steps, "offer"), *made)
    if any(row.answered_at < moment for moment in since):
        return None
    return rules.OverlapAnswer(
        insurer=row.insurer,
        insurer_name=row.insurer_name,
        insurer_cents=row.insurer_cents,
        holds_right=row.holds_right,
        supplier_cents=row.supplier_cents,
    )


def _times(steps: Iterable[ClaimStep], act: str) -> list[datetime]:
    return [step.recorded_at for step in steps if step.act == act]


def _others(claim: Claim, lines: Sequence[ClaimLine]) -> tuple[rules.OtherClaim, ...]:
    units = [line.unit_id for line in lines if line.unit_id]
    findings = [line.finding_id for line in lines if line.finding_id]
    mine = {_damage(line) for line in lines}
    rows = (
        ClaimLine.objects.filter(Q(unit__in=units) | Q(finding__in=findings))
        .filter(struck_reason="")
        .exclude(claim=claim)
        .select_related("claim", "finding")
        .order_by("claim_id", "number")
    )
    return tuple(
        rules.OtherClaim(
            number=row.claim.number,
            state=row.claim.get_state_display(),
            what=row.label,
            is_same=row.finding_id in findings or _damage(row) in mine,
            in_hand=row.holds or row.claim.state not in LIFE.final,
        )
        for row in rows
    )


def _damage(line: ClaimLine) -> tuple[object, ...]:
    """Return what makes two findings one: the same damage of the same part."""
    row = line.finding
    if row is None or not line.unit_id or not row.part:
        return (line.pk,)
    return (line.unit_id, row.part.casefold(), row.damage_kind)


def _accepted(row: ClaimLetter) -> list[rules.AcceptedBefore]:
    chosen = json.loads(row.choices).get("lines", ())
    return [
        rules.AcceptedBefore(
            line=int(one["line"]),
            letter=row.number,
            on=row.dated_on,
            is_sent=row.sent_on is not None,
        )
        for one in chosen
    ]


def _known(
    letters: Iterable[ClaimLetter], others: Iterable[rules.OtherClaim]
) -> Iterable[str]:
    for row in letters:
        if row.kind in TO_SUPPLIER:
            yield f"{row.kind_words} of {in_words(row.dated_on)}, to {row.addressee}."
    for one in others:
        same = "the same finding" if one.is_same else "the same machine"
        yield f"Claim {one.number}, {one.state}: {same}, {one.what}."
