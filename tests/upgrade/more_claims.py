"""Claims, supplements and packets in the states the demo story does not reach."""

import io
import uuid
from random import Random

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from claims.actions.claim.answers import (
    Denial,
    record_disallowance,
    record_offer,
)
from claims.actions.claim.decisions import decide_paper
from claims.actions.claim.endings import settle_claim, withdraw_claim
from claims.actions.claim.lines import LineChange, adjust_line, strike_line
from claims.actions.claim.making import Pick, make_claim, supplement_claim
from claims.actions.claim.payments import Received, record_payment
from claims.actions.claim.steps import (
    Step,
    record_acknowledgement,
    record_receipt,
    send_claim,
)
from claims.actions.claim.supplements import receive_supplement, send_supplement
from claims.actions.packet.file_facts import (
    FileFacts,
    record_counsel,
    state_file_facts,
)
from claims.actions.packet.lighter_files import (
    confirm_drawn,
    draft_lighter,
    freeze_lighter,
)
from claims.actions.packet.packets import build_packet
from claims.models import Claim, Finding
from claims.rules.packet.lighter import MB
from fixtures.steps import step
from inventory.actions.evidence.keeping import keep_evidence
from tests.upgrade.more_addressees import tell_more_addressees
from tests.upgrade.more_bench import tell_more_bench
from tests.upgrade.more_books import tell_more_books
from tests.upgrade.more_letters import tell_more_letters
from tests.upgrade.more_money import tell_hand_over, tell_more_money
from tests.upgrade.more_trucks import damaged


def tell_more_claims(t):
    """Bring a claim to every state, and notices, findings and holds to theirs."""
    made = {}
    for number, name in enumerate(
        ("sent", "acknowledged", "offered", "disallowed", "withdrawn", "settled")
    ):
        made[name] = _claim_of_two(t, number, 60 + 3 * number)
    _send_on(t, made)
    _papers_and_lines(t, made)
    _claim_for_the_supplier(t)
    _file_facts(t, made["offered"])
    _packets(t, made)
    tell_more_letters(t, made["sent"])
    tell_more_money(t, lambda number: _claim_of_two(t, number, 50))
    tell_more_books(t, lambda number, **over: _claim_of_two(t, number, 50, **over))
    tell_more_addressees(t, lambda number: _claim_of_two(t, number, 50))
    tell_more_bench(t, made["sent"].shipment)


def _claim_of_two(t, number, days, *, claimant="us", claimed=1):
    """Bring one crate with a machine, find two things wrong, and claim the first."""
    shipment = damaged(t, number, days)
    findings = list(Finding.objects.filter(shipment=shipment).exclude(unit=None))
    return make_claim(
        shipment=shipment,
        picks=[Pick(finding, "repair") for finding in findings[:claimed]],
        claimant=claimant,
        basis="destination" if number % 2 else "invoice",
        person=t.manager,
        at=t.moment(t.ago(days - 8), 9),
        today=t.ago(days - 8),
    )


def _send_on(t, made):
    for name, claim in made.items():
        send_claim(claim=claim, how="email", step=step(t, claim, 37))
        if name == "sent":
            continue
        proof = step(t, claim, 35, proof="Read receipt from its claims desk")
        record_receipt(claim=claim, step=proof)
        record_acknowledgement(
            claim=claim, carrier_number="SS-0417", step=step(t, claim, 30)
        )
    offered, settled = made["offered"], made["settled"]
    record_offer(claim=offered, cents=9_000, step=step(t, offered, 20))
    record_offer(claim=settled, cents=12_000, step=step(t, settled, 20))
    record_payment(
        claim=settled,
        received=Received(15_500, "transfer", "ACH 7731"),
        step=step(t, settled, 11),
    )
    settle_claim(claim=settled, step=_reasoned(t, settled, 10, "Agreed by phone."))
    for name, act in (("disallowed", _disallow), ("withdrawn", _withdraw)):
        act(t, made[name])


def _reasoned(t, claim, days, reason):
    plain = step(t, claim, days)
    return Step(
        person=plain.person,
        at=plain.at,
        today=plain.today,
        version=plain.version,
        on=plain.on,
        reason=reason,
    )


def _disallow(t, claim):
    record_disallowance(
        claim=claim,
        denial=Denial("packing", with_offer=True),
        step=_reasoned(t, claim, 15, "The carrier says the packing was poor."),
    )


def _withdraw(t, claim):
    withdraw_claim(
        claim=claim, step=_reasoned(t, claim, 14, "Paid by the supplier after all.")
    )


def _papers_and_lines(t, made):
    """Decide a paper, adjust and strike lines, add supplements in each state."""
    claim = made["acknowledged"]
    decide_paper(
        claim=claim,
        paper="freight-paid",
        step=_reasoned(t, claim, 25, "The supplier paid the freight."),
    )
    for name, sent, received in (
        ("acknowledged", True, True),
        ("offered", True, False),
        ("sent", False, False),
    ):
        _supplement(t, made[name], sent=sent, received=received)
    line = made["sent"].lines.order_by("-pk")[0]
    adjust_line(
        line=line,
        change=LineChange("repair", 689_900, 0, 0, 0, 21_000),
        step=_line_step(t, line, "The part was dearer than estimated."),
    )
    drafted = Claim.objects.filter(state="drafted").order_by("pk")[0]
    line = drafted.lines.order_by("-pk")[0]
    strike_line(line=line, step=_line_step(t, line, "Mended at no cost."))


def _line_step(t, line, reason):
    line.refresh_from_db()
    day = t.ago(5)
    return Step(
        person=t.manager,
        at=t.moment(day, 10),
        today=day,
        version=line.version,
        reason=reason,
    )


def _supplement(t, claim, *, sent, received):
    taken = claim.lines.values_list("finding", flat=True)
    second = Finding.objects.filter(shipment=claim.shipment).exclude(unit=None)
    row = supplement_claim(
        claim=claim,
        picks=[Pick(second.exclude(pk__in=taken).get(), "repair")],
        step=_reasoned(t, claim, 12, "A second part proved broken."),
    )
    if sent:
        send_supplement(supplement=row, how="portal", step=_supplement_step(t, row, 11))
    if received:
        row.refresh_from_db()
        receive_supplement(supplement=row, step=_supplement_step(t, row, 10))


def _supplement_step(t, row, days):
    day = t.ago(days)
    return Step(
        person=t.manager,
        at=t.moment(day, 10),
        today=day,
        version=row.version,
        on=day,
        proof="Portal's answer 5512",
    )


def _claim_for_the_supplier(t):
    _claim_of_two(t, 20, 50, claimant="supplier", claimed=2)
    tell_hand_over(t, _claim_of_two(t, 21, 50, claimant="supplier", claimed=2))


def _file_facts(t, claim):
    """State what only the claim file asks for, and name counsel."""
    facts = FileFacts(
        extent="partial",
        inspect_at="At our dock, by appointment",
        salvage_held="Shelf C4",
        pay_to="Quillback Northgate",
        signer_name="Mina Osterby",
        signer_title="Manager",
        stood_at="Aisle 3",
        stood_unopened=True,
        is_only_claim=True,
        freight_class="85",
        neutral_lines={"freight-bill": "copy-carrier"},
        conditions=dict.fromkeys(
            claim.shipment.units.values_list("pk", flat=True), "new"
        ),
    )
    state_file_facts(claim=claim, facts=facts, step=step(t, claim, 10))
    record_counsel(claim=claim, name="Orla Finch", on=t.ago(9), step=step(t, claim, 9))


def _packets(t, made):
    """Make two packets of a running claim and one of each closed or drafted one."""
    drafted = Claim.objects.filter(state="drafted").order_by("pk")[0]
    for claim, days in (
        (made["offered"], 9),
        (made["offered"], 3),
        (made["settled"], 8),
        (drafted, 2),
    ):
        day = t.ago(days)
        if days == 3:
            _large_photos(t, claim)
        packet = build_packet(
            claim=claim, person=t.manager, at=t.moment(day, 16), today=day
        )
        if packet.size > MB:
            _lighter(t, packet, day)


def _large_photos(t, claim):
    """Add photos as a phone takes them: a file of small ones is light enough."""
    at = t.moment(t.ago(10), 11)
    for number in range(5):
        keep_evidence(
            person=t.technician,
            at=at,
            upload=SimpleUploadedFile(
                f"grain-{number}.jpg", _grain(number), "image/jpeg"
            ),
            client_id=uuid.uuid5(uuid.NAMESPACE_OID, f"large photo {number}"),
            kind="damage",
            shipment=claim.shipment,
            unit=claim.shipment.units.get(),
        )


def _grain(number):
    """Return a JPEG of about 200 KB whose pixels follow no pattern."""
    noise = Random(f"grain {number}").randbytes(640 * 480 * 3)
    drawn = io.BytesIO()
    Image.frombytes("RGB", (640, 480), noise).save(drawn, "JPEG", quality=80)
    return drawn.getvalue()


def _lighter(t, packet, day):
    """Make the lighter edition that is just smaller than the file."""
    draft = draft_lighter(packet=packet, mb=(packet.size - 1) // MB, today=day)
    drawn = confirm_drawn(draft, seen=draft.digest)
    freeze_lighter(drawn=drawn, person=t.manager, at=t.moment(day, 16, 10))
