"""The ways of tampering, each with what finds it.

VERIFY: ``manage.py verify`` alone. BOOK: ``verify --against`` what was published
before, since whoever owns the database can rewrite all that is in it.
"""

import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db import connection, transaction

from inventory.evidence.pictures.renditions import rendition_path
from inventory.evidence.seal.sealed_tables import sealed_models
from inventory.evidence.store.originals import path_of
from inventory.models import Crate, Event, TreeTile
from inventory.models.sealed import note_written
from tests.tampering.scene import AT, EARLIER, cut, ddl, edit, last, note, sealed_by
from tests.verifying import behind_the_back

VERIFY, BOOK = "verify", "book"
IS_SQLITE = connection.vendor == "sqlite"


@dataclass(frozen=True)
class Way:
    """One way: what is done, by what it is found, and words of the sentence."""

    does: Callable[[Any], None]
    found_by: str
    words: str

    @property
    def name(self) -> str:
        return self.does.__name__.replace("_", " ")


WAYS: list[Way] = []


def found(by: str, words: str):
    """Add the function to the ways."""

    def add(does):
        WAYS.append(Way(does, by, words))
        return does

    return add


# -- rows -------------------------------------------------------------------------


@found(VERIFY, "driver_name is")
def a_column_is_changed(_):
    behind_the_back("UPDATE inventory_delivery SET driver_name = 'Nobody'")


@found(VERIFY, "is gone")
def a_row_is_deleted(_):
    behind_the_back("DELETE FROM inventory_assignment WHERE role = 'technician'")


@found(VERIFY, "is known to no event")
def a_row_is_added(house):
    behind_the_back(
        "INSERT INTO inventory_assignment (person_id, location_id, role) "
        "VALUES (%s, %s, 'accounting')",
        house.who.rosa.pk,
        house.who.riverside.pk,
    )


@found(VERIFY, "mark is")
def two_rows_change_places(_):
    one, two = Crate.objects.order_by("pk")[:2]
    for row, mark in ((one, "spare"), (two, one.mark), (one, two.mark)):
        behind_the_back(
            "UPDATE inventory_crate SET mark = %s WHERE id = %s", mark, row.pk
        )


@found(VERIFY, "is_administrator is true and was sealed as false")
def somebody_becomes_administrator(house):
    behind_the_back(
        "UPDATE inventory_user SET is_administrator = %s WHERE id = %s",
        True,
        house.who.rosa.pk,
    )


@found(VERIFY, "password is a text")
def a_password_is_swapped(_):
    behind_the_back(
        "UPDATE inventory_user SET password = 'md5$theirs$00' WHERE username = 'orrin'"
    )


@found(VERIFY, "one of its columns is not as it was sealed")
def a_photo_is_put_on_another_bill(house):
    behind_the_back("UPDATE inventory_evidence SET shipment_id = %s", house.other.pk)


@found(VERIFY, "one of its columns is not as it was sealed")
def a_caption_is_rewritten(_):
    behind_the_back("UPDATE inventory_evidence SET caption = 'Intact'")


@found(VERIFY, "one of its columns is not as it was sealed")
def a_reading_names_another_picture(_):
    behind_the_back("UPDATE inventory_reading SET large_sha256 = %s", "0" * 64)


@found(VERIFY, "is recorded with")
def an_original_is_said_to_have_another_size(house):
    behind_the_back(
        "UPDATE inventory_original SET size = 7 WHERE sha256 = %s",
        house.photo.original_id,
    )


@found(VERIFY, "to is")
def a_mail_is_readdressed(_):
    behind_the_back("UPDATE inventory_outgoingmail SET \"to\" = 'x@else.example'")


@found(VERIFY, "original_id is")
def a_paper_that_went_out_is_another(house):
    behind_the_back(
        "UPDATE inventory_sentdocument SET original_id = %s", house.photo.original_id
    )


# -- the ledger -------------------------------------------------------------------


@found(VERIFY, "that sum to")
def one_leg_is_changed(_):
    behind_the_back("UPDATE inventory_leg SET cents = cents + 1 WHERE cents > 0")


@found(VERIFY, "cents is")
def both_legs_are_changed_in_balance(_):
    behind_the_back("UPDATE inventory_leg SET cents = cents * 2")


@found(VERIFY, "effective_on is")
def an_entry_is_moved_to_another_day(_):
    behind_the_back("UPDATE inventory_entry SET effective_on = '2026-02-01'")


@found(VERIFY, "The derived table inventory_opensum")
def a_derived_sum_is_changed(_):
    behind_the_back("UPDATE inventory_opensum SET cents = cents + 1")


@found(VERIFY, "The derived table inventory_openwork lacks")
def open_work_is_hidden_from_a_desk(_):
    behind_the_back("DELETE FROM inventory_openwork")


@found(VERIFY, "Tile 0 of level 0 of the tree differs from its events")
def a_kept_hash_of_the_tree_is_another(_):
    row = TreeTile.objects.get()
    row.hashes = bytes(row.hashes)[::-1]
    row.save()


@found(VERIFY, "Tile 0 of level 0 of the tree differs from its events")
def a_kept_root_of_the_tree_is_another(_):
    TreeTile.objects.update(root=b"0" * 32)


@found(VERIFY, "Tile 0 of level 0 of the tree is missing")
def kept_hashes_of_the_tree_are_taken_out(_):
    TreeTile.objects.all().delete()


@found(VERIFY, "Tile 7 of level 0 of the tree has no events")
def kept_hashes_of_no_events_are_added(_):
    TreeTile.objects.create(level=0, place=7, root=b"0" * 32, hashes=b"0" * 8192)


# -- events -----------------------------------------------------------------------


@found(VERIFY, "data differs from what was sealed")
def an_event_s_words_are_changed(_):
    behind_the_back(
        "UPDATE inventory_event SET data = '{}' WHERE sequence = %s", last()
    )


@found(VERIFY, "actor differs from what was sealed")
def an_event_is_put_on_somebody_else(house):
    behind_the_back(
        "UPDATE inventory_event SET actor_id = %s WHERE kind = 'delivery.logged'",
        house.who.tomas.pk,
    )


@found(VERIFY, "recorded_at differs from what was sealed")
def an_event_is_dated_back(_):
    behind_the_back(
        "UPDATE inventory_event SET recorded_at = %s WHERE sequence = %s",
        AT - EARLIER,
        last(),
    )


@found(VERIFY, "no longer has the hash")
def a_sealed_text_is_changed(_):
    behind_the_back(
        "UPDATE inventory_event SET body = replace(body, 'Lou Parr', 'Lou Park')"
    )


@found(VERIFY, "does not follow from the event before it")
def a_sealed_text_is_changed_with_its_own_hash(house):
    number = sealed_by("delivery", house.truck.pk)
    kept = {
        event.sequence: (event.body, event.hash, event.previous_hash)
        for event in Event.objects.filter(sequence__gt=number)
    }
    edit(number, lambda record: record["data"].update(driver="Nobody"))
    for sequence, (body, sealed, previous) in kept.items():
        behind_the_back(
            "UPDATE inventory_event SET body = %s, hash = %s, previous_hash = %s "
            "WHERE sequence = %s",
            body,
            sealed,
            previous,
            sequence,
        )


@found(VERIFY, "is missing; the next one is")
def an_event_is_taken_out(_):
    behind_the_back("DELETE FROM inventory_event WHERE sequence = %s", last() - 1)


@found(VERIFY, "sequence differs from what was sealed")
def two_events_change_places(_):
    one, two = last() - 1, last()
    for old, new in ((one, 9_000), (two, one), (9_000, two)):
        behind_the_back(
            "UPDATE inventory_event SET sequence = %s WHERE sequence = %s", new, old
        )


@found(VERIFY, "subjects differ from what was sealed")
def an_event_is_told_of_another_row(house):
    behind_the_back(
        "UPDATE inventory_eventsubject SET key = %s WHERE noun = 'delivery'",
        house.truck.pk + 1,
    )


@found(VERIFY, "which is missing")
def subjects_are_added_for_an_event_to_come(_):
    number = last() + 7
    if not IS_SQLITE:
        ddl("SET CONSTRAINTS ALL DEFERRED")
    behind_the_back(
        "INSERT INTO inventory_eventsubject (event_id, noun, key) "
        "VALUES (%s, 'delivery', '1')",
        number,
    )


# -- the whole chain: only what lies outside shows it -----------------------------


@found(BOOK, "now there are fewer")
def the_newest_event_is_cut_off(_):
    cut(last() - 1)


@found(BOOK, "had another root than now")
def the_newest_events_are_cut_off_and_others_put_there(_):
    cut(last() - 2)
    for number in (7, 8):
        note(number)


@found(BOOK, "had another root than now")
def a_row_and_its_event_are_changed_and_every_link_made_anew(house):
    def change(record):
        for noun, _key, image in record["rows"]:
            if noun == "delivery":
                image["driver_name"] = "Nobody"

    edit(sealed_by("delivery", house.truck.pk), change)
    behind_the_back("UPDATE inventory_delivery SET driver_name = 'Nobody'")


@found(BOOK, "now there are fewer")
def the_house_is_rolled_back_and_sealed_anew(_):
    cut(0)
    TreeTile.objects.all().delete()
    with transaction.atomic():
        for model in sealed_models():
            rows = model._base_manager.values_list("pk", flat=True)
            note_written(model, list(rows))
        note(0)


@found(BOOK, "says it is older")
def an_event_is_forged_at_the_end_with_its_row(house):
    row = ["delivery", str(house.truck.pk)]
    before = Event.objects.get(sequence=sealed_by(*row))
    (image,) = [one[2] for one in json.loads(before.body)["rows"] if one[:2] == row]
    note(9, at=AT + EARLIER)
    image["driver_name"] = "Nobody"

    edit(last(), lambda record: record["rows"].append([*row, image]))
    behind_the_back("UPDATE inventory_delivery SET driver_name = 'Nobody'")


# -- tables and triggers ----------------------------------------------------------


@found(VERIFY, "Trigger keep_inventory_event_update on inventory_event was changed")
def a_trigger_is_hollowed_under_its_own_name(_):
    if IS_SQLITE:
        ddl(
            "DROP TRIGGER keep_inventory_event_update",
            "CREATE TRIGGER keep_inventory_event_update BEFORE UPDATE "
            "ON inventory_event BEGIN SELECT 1; END",
        )
    else:
        ddl("ALTER TABLE inventory_event DISABLE TRIGGER keep_inventory_event_update")


@found(VERIFY, "Trigger keep_inventory_event_delete on inventory_event is missing")
def a_trigger_is_dropped(_):
    tail = "" if IS_SQLITE else " ON inventory_event"
    ddl(f"DROP TRIGGER keep_inventory_event_delete{tail}")


@found(VERIFY, "Trigger theirs on inventory_event is not the program's own")
def a_trigger_of_their_own_is_added(_):
    body = (
        "BEGIN DELETE FROM inventory_lanebeat; END"
        if IS_SQLITE
        else "EXECUTE FUNCTION refuse_change()"
    )
    ddl(f"CREATE TRIGGER theirs AFTER DELETE ON inventory_event FOR EACH ROW {body}")


@found(VERIFY, "inventory_leg")
def a_check_is_taken_off_a_table(_):
    if not IS_SQLITE:
        ddl("ALTER TABLE inventory_leg DROP CONSTRAINT leg_not_zero")
        return
    ddl(
        "PRAGMA writable_schema = ON",
        "UPDATE sqlite_master SET sql = replace(sql, '\"cents\" = 0', '1 = 0') "
        "WHERE name = 'inventory_leg'",
        "PRAGMA writable_schema = OFF",
    )


@found(VERIFY, "Table inventory_event is not the program's own")
def a_column_is_added(_):
    ddl("ALTER TABLE inventory_event ADD COLUMN note varchar(20)")


@found(VERIFY, "is missing. Run manage.py migrate")
def an_index_is_dropped(_):
    ddl("DROP INDEX story_of")


# -- files ------------------------------------------------------------------------


@found(VERIFY, "no longer has its hash")
def a_byte_of_an_original_is_changed(house):
    path = path_of(house.photo.original_id)
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    rewrite(path, bytes(data))


@found(VERIFY, "no longer has its hash")
def an_original_is_cut_short(house):
    path = path_of(house.photo.original_id)
    rewrite(path, path.read_bytes()[:-1])


@found(VERIFY, "is missing or cannot be read")
def an_original_is_removed(house):
    path_of(house.photo.original_id).unlink()


@found(VERIFY, "no longer has its hash")
def two_originals_change_places(house):
    one, two = (
        path_of(house.photo.original_id),
        path_of(house.mail.document.original_id),
    )
    first, second = one.read_bytes(), two.read_bytes()
    rewrite(one, second)
    rewrite(two, first)


@found(VERIFY, "no longer has its hash")
def a_mail_that_went_out_is_reworded(house):
    path = path_of(house.mail.document.original_id)
    rewrite(path, path.read_bytes().replace(b"confirm", b"refuse "))


@found(VERIFY, "is not the one that was sealed")
def the_copy_that_is_printed_is_replaced(house):
    rewrite(rendition_path(house.photo.original_id, 1600), b"\xff\xd8 another \xff\xd9")


def rewrite(path, data):
    """Replace a file, whoever may write to it."""
    shutil.copyfile(path, beside := path.with_name(f"{path.name}.theirs"))
    beside.chmod(0o600)
    beside.write_bytes(data)
    beside.replace(path)
