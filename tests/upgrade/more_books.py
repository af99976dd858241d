"""Claims in the books: every basis, every kind of entry, and one that was filed before."""

from django.db import transaction

from claims.actions.books.opening import open_claims_in_books
from claims.actions.books.settings import set_booking_basis, state_figure
from claims.actions.claim import answers, endings, remittances
from claims.actions.claim.lines import LineChange, adjust_line
from claims.actions.claim.making import Pick, supplement_claim
from claims.actions.claim.overlap import answer_overlap
from claims.actions.claim.payments import Received, record_payment
from claims.actions.claim.steps import Sending, Step, record_receipt, send_claim
from claims.actions.claim.supplements import send_supplement
from claims.models import Claim, Finding
from claims.queries.books.open_to_pay import payers_at
from claims.rules.letters.overlap import OverlapAnswer
from fixtures.steps import step


def tell_more_books(t, make):
    """Book claims on each basis and bring them to each end; ``make`` makes one."""
    _beside_the_books(t, make(90))
    _set(t, "filing")
    _paid_too_much(t, make(91))
    _declined_and_given_up(t, make(92))
    _changed_by_a_supplement(t, make(93))
    _for_the_supplier(t, make(94, claimant="supplier"))
    _set(t, "probable")
    _stated(t, make(95))
    _set(t, "filing")
    _filed_before(t, make(96))
    _remitted(t, [make(97), make(98)])


def _set(t, basis):
    set_booking_basis(
        location=t.location,
        basis=basis,
        labor_rate_cents=4_200,
        person=t.cast.people["abel"],
        at=t.moment(t.ago(36), 8),
    )


def _step(t, claim, days, **over):
    plain = step(t, claim, days)
    values = {
        "person": plain.person,
        "at": plain.at,
        "today": plain.today,
        "version": plain.version,
        "on": plain.on,
        "reason": "As agreed on the phone.",
        "proof": "R. Voss",
    }
    return Step(**{**values, **over})


def _filed(t, claim):
    send_claim(claim=claim, sending=Sending("email"), step=_step(t, claim, 35))
    record_receipt(claim=claim, step=_step(t, claim, 34))


def _pay(t, claim, days, cents, **over):
    received = Received(cents, over.pop("method", "check"), **over)
    record_payment(claim=claim, received=received, step=_step(t, claim, days))


def _beside_the_books(t, claim):
    """Decline what stands beside the books, then agree, and write off the rest."""
    _filed(t, claim)
    denial = answers.Denial("packing", 3_000)
    answers.record_disallowance(claim=claim, step=_step(t, claim, 30), denial=denial)
    answers.record_offer(claim=claim, cents=7_000, step=_step(t, claim, 28))
    answer_overlap(claim=claim, said=OverlapAnswer(), step=_step(t, claim, 28))
    answers.accept_offer(claim=claim, cents=7_000, step=_step(t, claim, 27))
    _pay(t, claim, 20, 2_000, method="credit", bills="PRO 7711")
    endings.settle_claim(claim=claim, step=_step(t, claim, 18))


def _paid_too_much(t, claim):
    _filed(t, claim)
    answers.record_salvage(claim=claim, cents=1_500, step=_step(t, claim, 30))
    _pay(t, claim, 25, 900_000)


def _declined_and_given_up(t, claim):
    _filed(t, claim)
    answers.record_disallowance(
        claim=claim, step=_step(t, claim, 30), denial=answers.Denial("other", 2_000)
    )
    endings.give_up(claim=claim, step=_step(t, claim, 25))


def _changed_by_a_supplement(t, claim):
    """Find the machine worth less than its repair: the line that was sent changes."""
    _filed(t, claim)
    second = Finding.objects.filter(shipment=claim.shipment).exclude(unit=None)
    row = supplement_claim(
        claim=claim,
        picks=[Pick(second.exclude(claim_lines__claim=claim).get(), "repair")],
        step=_step(t, claim, 30),
    )
    line = claim.lines.get(supplement=row.number)
    change = LineChange("repair", 1_000, 0, 0, 0, None)
    adjust_line(line=line, change=change, step=_step(t, line, 30))
    send_supplement(supplement=row, how="portal", step=_step(t, row, 29))
    endings.withdraw_claim(claim=claim, step=_step(t, claim, 20))


def _for_the_supplier(t, claim):
    endings.hand_over(claim=claim, how="email", step=_step(t, claim, 30))
    _state(t, claim, "credited", 2_500)


def _stated(t, claim):
    _filed(t, claim)
    for what, cents in (("loss", 9_000), ("probable", 4_000)):
        _state(t, claim, what, cents)


def _state(t, claim, what, cents):
    state_figure(
        claim=claim,
        what=what,
        cents=cents,
        reason="Invoice of the body shop.",
        person=t.cast.people["abel"],
        at=t.moment(t.ago(20), 9),
    )


def _remitted(t, claims):
    """One transfer for two claims, a part moved, a check in full, and one reversed."""
    for claim in claims:
        _filed(t, claim)
    row = _remit(t, claims, Received(9_000, "transfer", "Wire 5512"), (4_000, 3_000))
    wrong = row.parts.get(claim=claims[1])
    remittances.reverse_part(payment=wrong, step=_step(t, claims[1], 18))
    claims[0].refresh_from_db()
    part = remittances.Against(claims[0], 2_500, claims[0].version)
    remittances.match_rest(remittance=row, parts=[part], step=_of(t, row, 17))
    full = Received(1_500, "check", "Check 90", in_full=True)
    held = _remit(t, claims, full, (1_000, 500))
    remittances.decide_remittance(
        remittance=held, choice="return", step=_of(t, held, 16)
    )
    bounced = _remit(t, claims, Received(700, "check", "Check 91"), (400, 300))
    remittances.reverse_remittance(remittance=bounced, step=_of(t, bounced, 15))


def _remit(t, claims, received, amounts):
    for claim in claims:
        claim.refresh_from_db()
    payer = next(
        one
        for one in payers_at([t.location])
        if claims[0].pk in {row.claim.pk for row in one.claims}
    )
    parts = [
        remittances.Against(claim, cents, claim.version)
        for claim, cents in zip(claims, amounts, strict=True)
    ]
    said = _step(t, claims[0], 20)
    return remittances.record_remittance(
        payer=payer, received=received, parts=parts, step=said
    )


def _of(t, row, days):
    row.refresh_from_db()
    return _step(t, row, days)


def _filed_before(t, claim):
    """Bring in a claim that an earlier version sent: no entry knows of it."""
    with transaction.atomic():
        Claim.objects.filter(pk=claim.pk).update(
            state="received", sent_on=t.ago(35), sent_how="post", received_on=t.ago(34)
        )
        open_claims_in_books(
            location=t.location,
            on=t.ago(10),
            person=t.cast.people["abel"],
            at=t.moment(t.ago(10), 9),
        )
