"""Django's SQLite backend with the writer gate and the pragmas we promise."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any
from weakref import WeakSet

from django.db import OperationalError
from django.db.backends.sqlite3 import base

from config.sqlite.gate import GateClosedError, WriterGate

_WRITING_WORDS = frozenset(
    {"INSERT", "UPDATE", "DELETE", "REPLACE", "CREATE", "ALTER", "DROP"}
)


class DatabaseWrapper(base.DatabaseWrapper):
    """Take the gate before each write transaction and give it back after it."""

    _gate: WriterGate | None = None
    _file: tuple[int, int] | None = None
    """The file that is open, by device and number: a restore puts another in its place."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:  # noqa: ANN401
        super().__init__(*args, **kwargs)
        self._cursors: WeakSet[GatedCursor] = WeakSet()

    @property
    def gate(self) -> WriterGate | None:
        """Return this connection's gate; None for a database in memory."""
        if self.is_in_memory_db():
            return None
        path = Path(f"{self.settings_dict['NAME']}.gate")
        # The test runner may rename the database after the wrapper is made.
        if self._gate is None or self._gate.path != path:
            timeout = self.settings_dict["OPTIONS"].get("timeout", 5)
            self._gate = WriterGate(path, timeout=float(timeout))
        return self._gate

    def get_new_connection(self, conn_params: dict[str, Any]) -> Any:  # noqa: ANN401
        """Connect to a file that its owner alone can read.

        SQLite gives its journals the rights of the database.
        """
        if not self.is_in_memory_db():
            _make_private(Path(self.settings_dict["NAME"]))
        made = super().get_new_connection(conn_params)
        self._file = self._file_now()
        return made

    def close_if_unusable_or_obsolete(self) -> None:
        """Let go of all that is read, and of a file that failed or is another by now.

        Django asks at both ends of a request. Between them a statement that nobody
        read to its end would hold up every writer.
        """
        if not self.in_atomic_block:
            for cursor in list(self._cursors):
                cursor.close()
            if self.errors_occurred or self._file != self._file_now():
                self.close()
        super().close_if_unusable_or_obsolete()

    def _file_now(self) -> tuple[int, int] | None:
        try:
            found = Path(self.settings_dict["NAME"]).stat()
        except OSError:
            return None
        return found.st_dev, found.st_ino

    def take_gate(self) -> None:
        """Wait for the right to write, in SQLite's own words when it is refused."""
        gate = self.gate
        if gate is None:
            return
        try:
            gate.acquire()
        except GateClosedError as error:
            raise OperationalError(f"database is locked: {error}") from error
        except OSError as error:
            raise OperationalError(f"unable to open writer gate: {error}") from error

    def leave_gate(self) -> None:
        """Return the gate back, unless a transaction is still open."""
        if self._gate is None or not self._gate.is_held:
            return
        if self.connection is None or not self.connection.in_transaction:
            self._gate.release()

    def create_cursor(self, name: str | None = None) -> "GatedCursor":
        """Return a cursor that passes the gate for writes outside a transaction."""
        del name  # a server-side cursor has no meaning here
        cursor: GatedCursor = self.connection.cursor(factory=GatedCursor)
        cursor.wrapper = self
        self._cursors.add(cursor)
        return cursor

    def _start_transaction_under_autocommit(self) -> None:
        self.take_gate()
        try:
            super()._start_transaction_under_autocommit()  # type: ignore[misc]
        finally:
            self.leave_gate()

    def _commit(self) -> None:
        try:
            super()._commit()  # type: ignore[misc]
        finally:
            self.leave_gate()

    def _rollback(self) -> None:
        try:
            super()._rollback()  # type: ignore[misc]
        finally:
            self.leave_gate()

    def _close(self) -> None:
        try:
            super()._close()  # type: ignore[misc]
        finally:
            if self._gate is not None:
                self._gate.release()


class GatedCursor(base.SQLiteCursorWrapper):
    """Run single writing statements behind the gate."""

    wrapper: DatabaseWrapper

    def execute(self, query: str, params: Any = None) -> Any:  # noqa: ANN401
        """Run one statement; a writing one waits for the gate."""
        with self._gate_for(query):
            return super().execute(query, params)

    def executemany(self, query: str, param_list: Any) -> Any:  # noqa: ANN401
        """Run one statement for many rows; a writing one waits for the gate."""
        with self._gate_for(query):
            return super().executemany(query, param_list)

    @contextmanager
    def _gate_for(self, query: str) -> Iterator[None]:
        # Inside a transaction the gate was taken when it began.
        if self.connection.in_transaction or not _writes(query):
            yield
            return
        self.wrapper.take_gate()
        try:
            yield
        finally:
            self.wrapper.leave_gate()


def _make_private(path: Path) -> None:
    with suppress(OSError):  # SQLite tells in its own words what is wrong with it
        path.touch(mode=0o600)
        if path.stat().st_mode & 0o077:  # made by an earlier version
            path.chmod(0o600)


def _writes(query: str) -> bool:
    words = query.split(None, 1)
    return bool(words) and words[0].upper() in _WRITING_WORDS
