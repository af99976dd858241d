"""One upload on a remembering disk, and what may be left of it.

``photo`` gives bytes and number; ``upload`` keeps them as the program does;
``judge`` says in a word what a stop left, or raises LossError.
"""

import hashlib
import uuid
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import OperationalError, connection

from inventory.actions.evidence.keeping import BadUploadError, keep_evidence
from inventory.evidence.store.arriving import ArrivingFileHandler
from inventory.models import Evidence, Original
from tests.crash.effects import StoppedError

AT = datetime(2026, 3, 10, 16, 0, tzinfo=UTC)
ROOT = "originals"
PIECE = 1 << 16
ROWS = ('INSERT INTO "inventory_original"', 'INSERT INTO "inventory_evidence"')
BESIDE = (f"{ROOT}/.incoming/", f"{ROOT}/.quarantine/")


class LossError(AssertionError):
    """Something acknowledged is lost, or a row's file is missing or torn."""


@dataclass(frozen=True)
class Photo:
    """What a phone sends: its own number for it, and the bytes (a document's)."""

    number: uuid.UUID
    data: bytes

    @property
    def sha256(self):
        return hashlib.sha256(self.data).hexdigest()

    @property
    def path(self):
        return f"{ROOT}/{self.sha256[:2]}/{self.sha256}"


def photo(words, number=None):
    """Return a document of two chunks that no other test has."""
    data = b"%PDF-1.4\n" + hashlib.shake_256(words.encode()).digest(90_000)
    return Photo(number or uuid.uuid5(uuid.NAMESPACE_OID, words), data)


class Sender:
    """Sends photos for one clerk and one truck; remembers what was acknowledged."""

    def __init__(self, person, delivery):
        self.person, self.delivery = person, delivery
        self.acknowledged = []

    def upload(self, sent, file=None):
        """Keep one photo as the program does."""
        keep_evidence(
            person=self.person,
            at=AT,
            upload=file or SimpleUploadedFile("paper.pdf", sent.data),
            client_id=sent.number,
            kind="paper",
            delivery=self.delivery,
        )

    def upload_arriving(self, sent):
        """Take one photo in as a large file of a form, then keep it."""
        handler = ArrivingFileHandler()
        handler.new_file("photo", "paper.pdf", "application/pdf", None)
        with ExitStack() as stack:
            stack.callback(handler.upload_interrupted)
            for start in range(0, len(sent.data), PIECE):
                handler.receive_data_chunk(sent.data[start : start + PIECE], start)
            stack.pop_all()
        with handler.file_complete(len(sent.data)) as file:
            self.upload(sent, file)

    def send(self, sent, disk, patch, upload=None):
        """Send a photo over this disk; return how it ended, in a word."""
        with ExitStack() as stack:
            stack.enter_context(disk.behind_the_seam(patch))
            stack.enter_context(_statements_as_steps(disk, sent))
            try:
                (upload or self.upload)(sent)
            except StoppedError:
                return "stopped"
            except (BadUploadError, OperationalError, OSError) as error:
                return f"refused: {error}"
            self.acknowledged.append(sent)
            return "acknowledged"


@contextmanager
def _statements_as_steps(disk, sent):
    """Let the disk stop or refuse at each statement, and look before each row."""

    def around(execute, sql, *rest):
        verb = sql.split(None, 1)[0]
        if verb in {"INSERT", "UPDATE", "DELETE"}:
            if sql.startswith(ROWS):
                must_be_durable(disk, sent)
            try:
                disk.statement(verb)
            except OSError as error:
                raise OperationalError("database or disk is full") from error
        return execute(sql, *rest)

    with connection.execute_wrapper(around):
        yield


def must_be_durable(disk, sent):
    """Raise LossError if any power cut now could take the file from its row."""
    for state in disk.left_by_power_cuts():
        if state.get(sent.path) != sent.data:
            raise LossError("A row is written before its file is safe.")


@dataclass(frozen=True)
class Rows:
    """What the database says of one photo, and whether it was acknowledged."""

    has_original: bool
    has_evidence: bool
    is_acknowledged: bool


def rows_of(sent, sender):
    """Ask the database about one photo."""
    return Rows(
        has_original=Original.objects.filter(sha256=sent.sha256).exists(),
        has_evidence=Evidence.objects.filter(client_id=sent.number).exists(),
        is_acknowledged=sent in sender.acknowledged,
    )


def judge(state, sent, rows):
    """Say what is left of one photo: nothing, temporary, orphan, row, acknowledged.

    ``state`` is path -> bytes (None for a folder). Raises LossError for all else.
    """
    file = state.get(sent.path)
    if file is not None and file != sent.data:
        raise LossError("A file under its final name is torn.")
    if rows.has_original and file is None:
        raise LossError("A row has no file.")
    if rows.is_acknowledged and not rows.has_evidence:
        raise LossError("An acknowledged photo has no row.")
    if rows.has_evidence:
        return "acknowledged" if rows.is_acknowledged else "row and file"
    return "orphan" if file is not None else _without_file(state)


def _without_file(state):
    left = [path for path, data in state.items() if data is not None]
    strange = [path for path in left if not path.startswith(BESIDE)]
    if strange:
        raise LossError(f"Files lie where none belong: {strange}")
    return "temporary only" if left else "nothing"
