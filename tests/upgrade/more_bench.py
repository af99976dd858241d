"""Findings, notices, holds and photos in the states the demo does not reach."""

from datetime import timedelta

from claims.actions.bench.decisions import answer_handling, route_finding
from claims.actions.bench.findings import change_finding
from claims.actions.bench.holds import release_hold
from claims.actions.bench.words import FindingWords
from claims.actions.core.deadlines import override_deadline
from claims.actions.letters.notices import (
    NoticeStep,
    receive_notice,
    send_notice,
    write_notice,
)
from claims.actions.receiving.receipts import note_receipt, record_disposition
from claims.models import Deadline, Finding
from claims.queries.letters.notices import notice_facts
from claims.rules.letters.notice_words import compose
from fixtures.crates import confirm_and_send
from inventory.actions.crates.packaging import release_packaging, stop_supplier_clock
from inventory.actions.evidence.marking import mark_photo
from inventory.actions.evidence.withholding import (
    show_evidence_again,
    withhold_evidence,
)
from inventory.models import Crate, Evidence, Hold, PackagingHold
from inventory.rules.evidence.markup import Mark
from tests.upgrade.more_trucks import damaged

OTHER_KINDS = (
    "look",
    "opening",
    "non-receipt",
    "proof-of-receipt",
    "carrier-letter",
    "other",
)
KINDS_OF_NOTICE = ("concealed", "protest", "shortage", "supplier")


def tell_more_bench(t, shipment):
    """Bring findings, notices, holds, photos and receipts to their other states."""
    _findings(t)
    _notices(t, shipment)
    _holds(t)
    _override(t, shipment)
    _evidence(t)
    _other_kinds(t, shipment.units.get())
    _receipts(t)


def _findings(t):
    """Change, answer and route findings."""
    ours = Finding.objects.filter(cause="our-handling").order_by("pk")[0]
    answer_handling(
        person=t.manager,
        at=t.moment(t.ago(6), 9),
        finding=ours,
        version=ours.version,
        answer="ours",
        reason="The hoist marks are ours.",
    )
    open_one = Finding.objects.filter(claim_lines=None, part="Fuel tank")[0]
    change_finding(
        person=t.technician,
        at=t.moment(t.ago(2), 9),
        finding=open_one,
        version=open_one.version,
        words=FindingWords(
            damage_kind="dented",
            severity="severe",
            facts="Fuel tank dented on the right face, seam open.",
            part="Fuel tank",
            cause="transit",
            is_safety_part=True,
            repair_minutes=60,
        ),
    )
    open_one.refresh_from_db()
    route_finding(
        person=t.manager,
        at=t.moment(t.ago(2), 10),
        finding=open_one,
        version=open_one.version,
        route="cargo-insurance",
        reason="The carrier is insolvent.",
    )


def _notices(t, shipment):
    """Write one notice of each kind: left written, sent, sent again, and received."""
    for number, kind in enumerate(KINDS_OF_NOTICE):
        day = t.ago(20 - number)
        at = t.moment(day, 15)
        facts = notice_facts(
            kind=kind, shipment=shipment, delivery=None, person=t.manager, today=day
        )
        notice = write_notice(
            shipment=shipment,
            delivery=None,
            kind=kind,
            addressee=facts.addressee,
            text=compose(kind, facts).text,
            person=t.manager,
            at=at,
        )
        for how in ("email", "post")[: number if number < 3 else 1]:
            said = NoticeStep(t.manager, at, day, notice.version, day)
            send_notice(notice=notice, how=how, step=said)
            notice.refresh_from_db()
        if kind == "supplier":
            said = NoticeStep(t.manager, at, day, notice.version, day)
            receive_notice(
                notice=notice, words="Signed by its desk", proof=None, step=said
            )


def _holds(t):
    """Release set-up and packaging as inspected and by the manager's own word."""
    standing = PackagingHold.objects.filter(crate__kind="reusable", released_at=None)
    hold = standing.order_by("pk")[0]
    confirm_and_send(t, hold, "supplier", t.ago(20))
    for number, how in ((30, "inspected"), (31, "manager")):
        shipment = damaged(t, number, 30, held=True)
        crate, unit = shipment.crates.get(), shipment.units.get()
        at = t.moment(t.ago(20), 10)
        if how == "inspected":
            report = t.photo("inspection-report", at, drawn="waiver", crate=crate)
        else:
            report = None
            for kind in ("face",) * 5 + ("inside", "blocking", "label"):
                t.photo(kind, at, drawn="crate", crate=crate)
            t.photo("damage", at, drawn="bent-deck", unit=unit)
        if packaging := PackagingHold.objects.filter(
            crate=crate, released_at=None
        ).first():
            stop_supplier_clock(
                person=t.manager,
                at=at,
                hold=packaging,
                version=packaging.version,
                on=t.ago(21),
            )
            packaging.refresh_from_db()
            release_packaging(
                person=t.manager,
                at=at,
                hold=packaging,
                version=packaging.version,
                how=how,
                reason="Seen by the carrier's inspector."
                if report
                else "The carrier is silent; photos are kept.",
                panel_kept="Side 2",
                evidence=[report] if report else [],
            )
        release_hold(
            hold=Hold.objects.get(unit=unit, released_at=None),
            how=how,
            reason="The same.",
            person=t.manager,
            at=at,
            evidence=[report] if report else [],
        )


def _override(t, shipment):
    running = Deadline.objects.filter(
        shipment=shipment, superseded_at=None, met_on=None
    ).order_by("pk")
    override_deadline(
        deadline=running[0],
        due=t.ago(1),
        reason="Agreed on the telephone.",
        person=t.manager,
        at=t.moment(t.ago(8), 9),
    )


def _evidence(t):
    """Withhold two photos and show one of them again; mark one, and unmark it."""
    for number, photo in enumerate(
        Evidence.objects.filter(kind="load", delivery__isnull=False).order_by("pk")[:2]
    ):
        at = t.moment(t.ago(6), 11)
        about = {"person": t.manager, "evidence": photo}
        withhold_evidence(at=at, reason="A passer-by's face.", **about)
        if number:
            show_evidence_again(
                at=t.moment(t.ago(5), 11), reason="It was our own driver.", **about
            )
    marked = Evidence.objects.filter(kind="damage").order_by("pk")[0]
    drawn = (
        Mark("circle", 200, 200, 500, 600),
        Mark("measure", 100, 800, 900, 800, "3 1/2", "in"),
        Mark("words", 500, 100, 500, 100, "Slat broken"),
    )
    version = 0
    for number, marks in enumerate((drawn, (), drawn[:1])):
        made = mark_photo(
            person=t.technician,
            at=t.moment(t.ago(5), 12 + number),
            evidence=marked,
            marks=marks,
            version=version,
        )
        version = made.pk


def _other_kinds(t, unit):
    """Keep one photo of every kind that no story needs."""
    for kind in OTHER_KINDS:
        t.photo(kind, t.moment(t.ago(18), 10), drawn="crate", unit=unit)


def _receipts(t):
    """Note a signed receipt, and say where a refused crate goes."""
    crates = Crate.objects.filter(look="refused").order_by("pk")
    refused = crates.select_related("delivery")[0]
    note_receipt(
        person=t.clerk,
        at=t.now - timedelta(minutes=30),
        delivery=refused.delivery,
        text="The driver called back: the five crates are at his terminal.",
    )
    record_disposition(
        person=t.manager,
        at=t.now - timedelta(minutes=20),
        crate=refused,
        version=refused.version,
        disposition="return",
    )
