"""A setup with every decision and release, machines that leave, time, and tags."""

from datetime import timedelta

from claims.actions.bench.leaving import leave, take_back
from claims.actions.bench.line_decisions import decide_line
from claims.actions.bench.line_readings import LineTaken, read_line
from claims.actions.bench.minutes import book_minutes, reverse_minutes
from claims.actions.bench.part_tags import (
    collect_part,
    scrap_part,
    tag_part,
    waive_part,
)
from claims.actions.bench.setup_lists import make_entry, make_list
from claims.actions.bench.setups import begin_setup
from claims.actions.bench.sign_offs import release_unsigned, sign_off_setup
from claims.actions.bench.words import FindingWords
from claims.models import Finding
from claims.queries.bench.releases import unreleased
from claims.rules.bench.setup_lists import KINDS
from claims.rules.bench.sign_off import OpenItem
from claims.rules.bench.targets import Target
from inventory.models import Hold, Unit
from inventory.rules.reckoning.quantities import parse_quantity

KIND = "ride-on-mower"
FIGURES = {"tip": "3 3/4", "hours": "0.4"}


def tell_more_setups(t):
    """Set one machine up to its sign-off, release one without, tag three parts."""
    held = Hold.objects.filter(released_at=None).values("unit_id")
    units = unreleased(Unit.objects.filter(shipment__location=t.location))
    opened = units.filter(crate__opened_at__isnull=False).exclude(pk__in=held)
    first, second = opened.select_related("shipment__location").order_by("pk")[:2]
    _set_up(t, first)
    release_unsigned(
        person=t.manager, at=t.now, unit=second, reason="It goes to the training shop."
    )
    _leaving(t, first, second)
    _tags(t)


def _leaving(t, first, second):
    doing = {"person": t.manager, "at": t.now}
    leave(unit=first, way="sold", to="Lou Parr", left_on=t.today, **doing)
    take_back(unit=first, reason="Recorded by mistake.", **doing)
    away = {"way": "transferred", "to": "The other yard"}
    leave(unit=second, left_on=t.today, **away, **doing)


def _set_up(t, unit):
    manager = {"person": t.manager, "at": t.now, "location": t.location}
    lines = [line for line in KINDS[KIND].lines if line.key != "registration"]
    make_list(kind=KIND, base=1, lines=lines, reason="The buyer registers.", **manager)
    tires = Target(
        "tires",
        "each",
        ("left-front", "right-front"),
        parse_quantity("11", "psi"),
        parse_quantity("13", "psi"),
        "Operator's manual, page 31",
    )
    make_entry(model=unit.model, kind=KIND, manual="4821", targets=[tires], **manager)
    doing = {"person": t.technician, "at": t.now, "unit": unit}
    begin_setup(kind=KIND, **doing)
    photo = t.photo("damage", t.now, drawn="crate", unit=unit)
    wrong = LineTaken("deck", "wrong", note="Left edge up 1/8 in.")
    for decision in ("ask", "adjustment"):
        read_line(taken=wrong, photos=[photo], **doing)
        decide_line(line="deck", decision=decision, **doing)
    words = FindingWords("bent", "slight", "Left edge bent up 1/8 in.")
    decide_line(line="deck", decision="damage", words=words, **doing)
    for line in lines:
        asked = line.readings
        figure = FIGURES.get(asked.measure if asked else "", "12")
        points = asked.points if asked and not line.may_skip_reading else ()
        if line.key != "manual":
            taken = LineTaken(line.key, "right", dict.fromkeys(points, figure))
            read_line(taken=taken, **doing)
    by = t.today + timedelta(days=7)
    item = OpenItem("manual", "Ordered", "Tomas", by)
    sign_off_setup(items=[item], **doing)
    read_line(taken=LineTaken("manual", "right"), **doing)
    sign_off_setup(**doing)
    book_minutes(work="setup", minutes=95, **doing)
    mistake = book_minutes(work="setup", minutes=20, **doing)
    reverse_minutes(
        person=t.technician, at=t.now, row=mistake, reason="Another machine."
    )


def _tags(t):
    rows = Finding.objects.filter(unit__isnull=False, shipment__location=t.location)
    finding = rows.select_related("shipment__location", "unit").order_by("pk")[0]
    doing = {"person": t.technician, "at": t.now}
    book_minutes(unit=finding.unit, work="repair", minutes=30, finding=finding, **doing)
    waiver = t.photo(
        "inspection-waiver", t.now, drawn="crate", shipment=finding.shipment
    )
    for number in range(3):
        tag = tag_part(finding=finding, part=f"Part {number}", shelf="C4", **doing)
        if number == 1:
            collect_part(tag=tag, version=1, on=t.today, who="Lou Parr", **doing)
        if number == 2:
            waive_part(tag=tag, version=1, waiver=waiver, **doing)
            tag.refresh_from_db()
            scrap_part(tag=tag, version=tag.version, **doing)
