"""Tables of the ground floor that the upper floor completes once, at the start.

The ground floor never names what is above it. It keeps a table with its own
entries, and the upper floor adds its own to it before the first page is served.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import Any, TypeVar

Key = TypeVar("Key")
Value = TypeVar("Value")


class RegistrationError(RuntimeError):
    """A registration that came twice, too late, or under a key already taken."""


@dataclass(frozen=True)
class Later:
    """A function named by ``module`` and ``name``, loaded when it is first called.

    What is registered at the start names much that most commands never call.
    """

    module: str
    name: str

    def find(self) -> Any:  # noqa: ANN401
        """Load the module, and return what has the name there."""
        return getattr(import_module(self.module), self.name)

    def __call__(self, *given: Any, **named: Any) -> Any:  # noqa: ANN401
        """Call it."""
        return self.find()(*given, **named)


class Registry(Mapping[Key, Value]):
    """A read-only table that can be completed once.

    ``what`` names the table in an error.
    """

    def __init__(self, what: str, own: Mapping[Key, Value]) -> None:
        self._what = what
        self._entries = dict(own)
        self._is_complete = False

    def complete(self, added: Mapping[Key, Value]) -> None:
        """Add the entries of the upper floor.

        Raise RegistrationError the second time, and for a key that is taken.
        """
        if self._is_complete:
            raise RegistrationError(f"The {self._what} are registered already.")
        taken = [str(key) for key in added if key in self._entries]
        if taken:
            raise RegistrationError(f"Taken in the {self._what}: {', '.join(taken)}.")
        self._entries.update(added)
        self._is_complete = True

    def __getitem__(self, key: Key) -> Value:
        return self._entries[key]

    def __iter__(self) -> Iterator[Key]:
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)
