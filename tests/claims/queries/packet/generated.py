"""Claims of many shapes, drawn from one seed: lines, outcomes, papers, days, notices."""

import random
from datetime import date, timedelta
from types import SimpleNamespace

from claims.actions.claim.lines import work_lines
from claims.models import Claim, Finding, FindingPart
from tests import making
from tests.claims.stage import AT
from tests.sizes import SEED, cases

DELIVERED = date(2026, 3, 10)
KINDS = (
    *("bill-of-lading", "freight-bill", "supplier-invoice", "receipt", "look"),
    *("damage", "opening", "inspection-waiver", "repair-estimate", "carrier-letter"),
)


def how_many():
    """Return how many claims to draw: a few in every run, 200 with ``--whole``."""
    return cases(5, 200)


def some_claims(people, count):
    """Yield ``count`` claims, each with what it was made of."""
    chance = random.Random(SEED)
    for number in range(count):
        yield a_claim(people, chance, number)


def a_claim(people, chance, number):
    """Make one claim with one to four lines on one or two machines."""
    shipment = making.make_shipment(
        location=people.riverside,
        freight_class=chance.choice(["", "92.5", "125"]),
        freight_payer=chance.choice(["prepaid", "collect", "unknown"]),
        freight_borne_cents=chance.choice([None, 84_000]),
        delivery_terms=chance.choice(["origin", "destination", "unknown"]),
        released_value_cents_per_lb=chance.choice([None, 250]),
        bol_number=chance.choice(["", "BOL-7781"]),
    )
    truck = making.make_signed_delivery(
        location=people.riverside, carrier=shipment.carrier, signed_by=people.rosa
    )
    making.make_handover(
        truck,
        shipment,
        words_full=chance.choice(["", "Crate 1: dented."]),
        carrier_image=chance.choice(["awaited", "matches", "words-missing"]),
    )
    opened = DELIVERED + timedelta(days=chance.choice([0, 1, 9]))
    crate = making.make_crate(shipment, delivery=truck, opened_at=AT, opened_on=opened)
    claim = making.make_claim(
        shipment,
        made_by=people.mina,
        claimant="supplier" if chance.random() < 0.2 else "us",
        is_only_claim=chance.random() < 0.5,
        extent=chance.choice(["", "partial", "full"]),
        signer_title="Claims manager",
        signer_phone="319 555 0144",
        carrier_claim_number=chance.choice(["", "PW-2291"]),
        stood_unopened=True,
        stood_at="Bay 2, indoors",
        stood_moves="Rosa Tellow, with the forklift",
        neutral_lines=chance.choice([{}, {"bill-of-lading": "indemnity"}]),
    )
    _lines(claim, crate, opened, chance)
    for kind in KINDS:
        if chance.random() < 0.7:
            making.make_evidence(shipment=shipment, delivery=truck, kind=kind)
    if chance.random() < 0.6:
        making.make_notice(
            shipment,
            kind="concealed",
            sent_on=DELIVERED + timedelta(days=chance.choice([1, 12])),
            sent_how="email",
        )
    row = Claim.objects.select_related(
        "location",
        "shipment__carrier",
        "shipment__supplier",
        "shipment__location",
        "made_by",
    ).get(pk=claim.pk)
    return SimpleNamespace(claim=row, crate=crate, number=number, opened=opened)


def _lines(claim, crate, opened, chance):
    marked = making.make_inspection(
        crate=crate, stage="tailgate", crate_condition="marked", looked_on=DELIVERED
    )
    making.make_finding(
        marked, part="", damage_kind="crushed", facts="Corner post split.", faces="top"
    )
    units = [making.make_unit(crate=crate) for _ in range(chance.choice([1, 1, 2]))]
    for place in range(chance.randint(1, 4)):
        unit = chance.choice(units)
        look = making.make_inspection(
            crate=crate,
            unit=unit,
            crate_condition=chance.choice(["sound", "marked"]),
            looked_on=opened,
        )
        seen = chance.random() < 0.4
        finding = making.make_finding(
            look,
            part=("deck shell", "engine cowl", "rear tire", "seat")[place],
            cause=chance.choice(["transit", "packing", "unknown"]),
            opinion=chance.choice(["", "Packing by the supplier was thin."]),
            could_be_seen=seen,
            could_be_seen_derived=seen,
            repair_minutes=chance.choice([0, 20, 45, 90]),
        )
        _price(finding, chance)
        _line(claim, finding, chance)
    work_lines(claim)


def _price(finding: Finding, chance):
    for _ in range(chance.randint(0, 3)):
        FindingPart.objects.create(
            finding=finding,
            description="Shell",
            quantity=chance.randint(1, 3),
            price_cents=chance.choice([None, 2_340, 64_250, 200_000]),
        )


def _line(claim, finding, chance):
    from claims.queries.core.facts import estimate_of

    outcome = chance.choice(["repair", "repair", "repair", "short"])
    cents = estimate_of(finding, claim.location.shop_rate_cents).total_cents
    adjusted = chance.choice([None, None, None, 12_345])
    making.make_claim_line(
        claim,
        finding=finding,
        unit=finding.unit,
        label=f"{finding.part}: {finding.get_damage_kind_display()}",
        outcome=outcome,
        value_cents=412_500,
        repair_cents=cents if outcome == "repair" else 0,
        worked_cents=0,
        adjusted_cents=adjusted,
        adjusted_reason="The carrier will hardly pay more." if adjusted else "",
    )
