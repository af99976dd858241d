"""Eight at once ask for the same new thing: it is made once, and everybody gets it."""

import json

import pytest

from tests.race.test_memos import WORKERS, output, race

pytestmark = [pytest.mark.database, pytest.mark.processes]

PREPARE = """
import json
from django.db import transaction
from inventory.actions.core.events import record_event
from inventory.actions.memos.posting import post_memo
from inventory.actions.memos.short_credits import dispute_short
from inventory.models import ShortCredit
from tests.returning import AT, begin, decided, make_stage, memo_of, ship, stage
with transaction.atomic():  # the event seals the rows that no act made
    book = make_stage(crates=1)
    record_event(kind="password.changed", at=AT, actor=None, location=None,
                 subjects=[], data={})
gone = begin(book)
stage(book, gone, book.crates)
ship(book, gone)
memo = memo_of(book, (book.crates[0], 9_000, "late"))
post_memo(memo=memo, version=memo.version, person=book.who.abel, at=AT)
short = ShortCredit.objects.get()
dispute_short(short=short, version=short.version, decided=decided(book))
print(json.dumps({
    "people": [book.who.abel.pk, book.who.mina.pk], "place": book.location.pk,
    "short": short.pk}))
"""

LOG_A_TRUCK = """
from inventory.actions.receiving.deliveries import log_delivery
from inventory.models import Location
print(json.dumps([log_delivery(
    person=person, at=AT, location=Location.objects.get(pk=made["place"]),
    arrived_at=AT, carrier_name="Plover Freight").carrier_id]))
"""

MAKE_THE_LETTER = """
from inventory.actions.memos.dispute_letters import keep_dispute_letter
from inventory.models import ShortCredit
short = ShortCredit.objects.get(pk=made["short"])
print(json.dumps([keep_dispute_letter(
    short=short, data=b"letter %d" % number, after=0, person=person, at=AT).pk]))
"""

SEND_A_PHOTO = """
from uuid import UUID
from django.core.files.uploadedfile import SimpleUploadedFile
from inventory.actions.evidence.keeping import keep_evidence
from inventory.models import CrateReturn
from tests.pictures import jpeg
kept = keep_evidence(
    person=person, at=AT, upload=SimpleUploadedFile("hole.jpg", jpeg()),
    client_id=UUID(int=number % 2 + 1), kind="damage",
    crate_return=CrateReturn.objects.get())
print(json.dumps([[str(kept.evidence.pk), kept.was_new]]))
"""

COUNT_PHOTOS = """
import json
from inventory.models import Event, Evidence, Original
print(json.dumps([
    Original.objects.filter(media_type="image/jpeg").count(),
    Evidence.everything.count(),
    Event.objects.filter(kind="evidence.kept").count()]))
"""

COUNT = """
import json
from inventory.models import Carrier, Event, SentDocument
print(json.dumps([
    Carrier.objects.filter(name="Plover Freight").count(),
    Event.objects.filter(kind="carrier.added").count(),
    Event.objects.filter(kind="delivery.logged").count(),
    SentDocument.objects.filter(kind="dispute-letter").count(),
    Event.objects.filter(kind="short.letter").count()]))
"""


@pytest.fixture
def made(site):
    return json.loads(output(site.python(PREPARE)))


def counted(site):
    return json.loads(output(site.python(COUNT)))


def test_trucks_of_the_same_new_carrier_are_all_logged_and_it_is_added_once(site, made):
    told = race(site, made, LOG_A_TRUCK)

    assert len(told) == WORKERS
    assert len(set(told)) == 1
    assert counted(site)[:3] == [1, 1, WORKERS]


def test_a_letter_is_made_once_however_often_it_is_asked_for(site, made):
    told = race(site, made, MAKE_THE_LETTER)

    assert len(told) == WORKERS
    assert len(set(told)) == 1
    assert counted(site)[3:] == [1, 1]


def test_a_photo_that_is_sent_often_is_kept_once_under_each_number(site, made):
    told = race(site, made, SEND_A_PHOTO)

    assert len(told) == WORKERS
    assert len({key for key, _ in told}) == 2
    assert sum(was_new for _, was_new in told) == 2
    assert json.loads(output(site.python(COUNT_PHOTOS))) == [1, 2, 2]
