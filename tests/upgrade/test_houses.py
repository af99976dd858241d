"""Houses of earlier versions, with open and closed records of every kind, are opened."""

import json
import subprocess
import sys

import pytest

from tests.backups.places import empty_place
from tests.sites import ROOT, template_site
from tests.sizes import cases
from tests.upgrade.houses import HOUSES
from tests.upgrade.opening import earlier_house
from tests.upgrade.walking import (
    BEFORE_SETUP,
    MOST_ROWS,
    ONE_EACH,
    WITHOUT_TOKEN,
)

pytestmark = [pytest.mark.processes, pytest.mark.database, pytest.mark.slow]

OPENED = HOUSES[: cases(1, len(HOUSES))]
"""The first house passes through every migration; the whole form opens each."""

ADDED = {"packet.kept"}
"""The kinds of event that bringing a house forward may add."""

NOT_OURS = {"inventory_user_groups", "inventory_user_user_permissions"}
"""Tables that Django makes for every user model and that nothing here writes."""

POST_ONLY = {405}
HOME = {302}

KEYLESS = (
    "from inventory.models import Crate, Shipment, Unit\n"
    "for model, text, key in ((Crate, 'mark', 'mark_key'),\n"
    "        (Shipment, 'pro_number', 'pro_key'), (Unit, 'serial', 'serial_key')):\n"
    "    rows = model.everything.exclude(**{text: ''})\n"
    "    print(rows.count() > 0, rows.filter(**{key: ''}).count())\n"
)

PACKETS = (
    "import json\n"
    "from django.test import Client\n"
    "from claims.models import Packet\n"
    "from inventory.models import User\n"
    "import hashlib\n"
    "client = Client(headers={'host': '127.0.0.1'})\n"
    "client.force_login(User.objects.get(username='mina'),\n"
    "    'django.contrib.auth.backends.ModelBackend')\n"
    "for packet in Packet.objects.order_by('pk'):\n"
    "    answer = client.get(f'/packets/{packet.pk}/packet.pdf')\n"
    "    same = hashlib.sha256(answer.getvalue()).hexdigest() == packet.sha256\n"
    "    print(answer.status_code, same, packet.sha256)\n"
)


@pytest.fixture(scope="module", params=OPENED)
def house(request, tmp_path_factory):
    """Give the house after the migration, with its rows before and after."""
    folder = tmp_path_factory.mktemp("house")
    with earlier_house(request.param, folder) as site:
        site.packets = {path.stem for path in (folder / "packets").glob("*.pdf")}
        site.before = module(site, "rows")
        site.keeps = "inventory_sentdocument" in site.before["rows"]
        site.manage("migrate", "--verbosity", "0")
        site.after = module(site, "rows", json.dumps(site.before["columns"]))["rows"]
        yield site


def module(site, name, *words):
    """Run a module beside this one in the house; return what it printed."""
    done = subprocess.run(
        [sys.executable, "-m", f"tests.upgrade.{name}", *words],
        cwd=ROOT,
        env=site.env,
        text=True,
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def asked(site, source):
    told, failed = site.python(source).communicate()
    assert failed == ""
    return told.splitlines()


TAKEN_OVER = """
from claims.actions.claim.carrying_over import claims_of_before
from claims.models import Claim, ClaimPayment
former = Claim.objects.filter(settled_cents__gt=0)
paid = ClaimPayment.objects.filter(is_former=True)
print(claims_of_before().count(), former.count() - paid.count())
print(sum(x.settled_cents for x in former) - sum(x.cents for x in paid), paid.exists())
"""


def test_it_holds_records_of_every_kind(house):
    empty = {table for table, rows in house.before["rows"].items() if not rows}
    assert empty == NOT_OURS


def test_every_earlier_mark_pro_and_serial_is_found_by_its_parts(house):
    assert asked(house, KEYLESS) == ["True 0"] * 3


def test_no_earlier_row_and_no_earlier_event_was_changed(house):
    for table, before in house.before["rows"].items():
        after = house.after[table]
        changed = [key for key, row in before.items() if after.get(key) != row]
        assert changed == [], table


def test_the_only_events_added_are_those_of_keeping_packets(house):
    count = len(house.before["rows"]["inventory_event"])
    kinds = asked(
        house,
        "from inventory.models import Event\n"
        f"for one in Event.objects.filter(sequence__gt={count}): print(one.kind)\n",
    )
    # Who opens a paper with a photo of before seals its reading first; each claim of
    # before is taken over by an event of its own.
    later = {"evidence.read", "claim.carried-over"}
    kinds = [kind for kind in kinds if kind not in later]
    assert set(kinds) == (set() if house.keeps else ADDED)
    assert len(kinds) == len(house.packets)


def test_each_former_settlement_is_one_payment_and_each_line_holds(house):
    # A house that had the table of payments has no settlement of the former kind.
    is_older = "claims_claimpayment" not in house.before["rows"]
    assert asked(house, TAKEN_OVER) == ["0 0", f"0 {is_older}"]


def test_its_tables_are_those_of_a_new_house(house, tmp_path):
    # This one came step by step; a new one is made by the migration that replaces them.
    with template_site(tmp_path) as new:
        assert module(house, "shape") == module(new, "shape")


def test_verify_is_green(house):
    told = house.manage("verify").stdout
    assert told.startswith("All well")
    assert "before rows were sealed" not in told
    assert house.manage("check", check=False).returncode == 0


def test_every_page_opens_for_each_role(house):
    walked = module(house, "walking", str(cases(ONE_EACH, MOST_ROWS)))
    assert walked["broken"] == []
    for name, by_person in walked["answers"].items():
        found = {status for given in by_person.values() for status in given}
        if name not in BEFORE_SETUP | WITHOUT_TOKEN:
            assert found & ({200} | POST_ONLY | HOME), name


def test_the_packets_on_the_disk_are_kept_and_those_missing_are_named(house):
    done = house.manage("keep_sent_documents", check=False)
    packets = {line.split()[2]: line for line in asked(house, PACKETS)}
    missing = set() if house.keeps else set(packets) - house.packets

    assert done.returncode == bool(missing)
    assert house.keeps or missing
    for sha256 in packets:
        assert (sha256 in done.stdout) == (sha256 in missing)
    assert f"Kept: 0. Missing: {len(missing)}." in done.stdout
    for sha256, line in packets.items():
        assert line.startswith("302 False" if sha256 in missing else "200 True")


def test_a_kept_packet_needs_the_packets_folder_no_more_and_is_backed_up(
    house, tmp_path
):
    for path in (house.folder / "packets").glob("*.pdf"):
        path.unlink()
    house.manage("backup", str(tmp_path / "copy"))
    with empty_place(house, tmp_path / "new") as place:
        told = place.manage("restore", str(tmp_path / "copy")).stdout
        assert "All well" in told
        given = asked(place, PACKETS)
    kept = given if house.keeps else house.packets
    assert sum(line.startswith("200 True") for line in given) == len(kept) > 0


def test_migrating_again_adds_nothing(house):
    count = "from inventory.models import Event\nprint(Event.objects.count())"
    before = asked(house, count)
    house.manage("migrate", "--verbosity", "0")
    assert asked(house, count) == before


SIGNED_BEFORE = (
    "from inventory.models import Handover\n"
    "rows = Handover.objects.select_related('delivery').order_by('pk')\n"
    "for row in rows:\n"
    "    if row.is_closed:\n"
    "        print(row.is_closed_by_truck, bool(row.words_full), row.ending_words)\n"
)


def test_a_truck_signed_before_keeps_its_one_signature_for_each_bill(house):
    by_bill = "how_signed" in house.before["columns"]["inventory_handover"]
    told = asked(house, SIGNED_BEFORE)

    assert told
    for line in told:
        assert line.startswith(f"{not by_bill} True ")
        assert line.endswith(", with the truck") != by_bill
