"""Making all tables of a new house together, as one operation of a migration."""

from collections.abc import Sequence
from typing import ClassVar

from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations import CreateModel
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState


class CreateTables(Operation):
    """Create these tables, which may point at each other.

    One by one, Django draws every model anew after each: that took ten times as long.
    """

    serialization_expand_args: ClassVar[list[str]] = ["tables"]

    def __init__(self, tables: Sequence[CreateModel]) -> None:
        self.tables = tables

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        """Add every model before any is drawn."""
        vars(state).pop("apps", None)
        for table in self.tables:
            table.state_forwards(app_label, state)

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        """Create the tables; what one says of another is checked at the end."""
        for table in self.tables:
            table.database_forwards(app_label, schema_editor, from_state, to_state)

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        """Drop the tables, the last made first."""
        for table in reversed(self.tables):
            table.database_backwards(app_label, schema_editor, from_state, to_state)

    def describe(self) -> str:
        """Return what ``sqlmigrate`` and ``migrate --plan`` say of it."""
        return f"Create {len(self.tables)} tables"
