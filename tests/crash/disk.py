"""A disk that remembers what a power cut would leave.

It stands behind the store's seam. Every effect happens in a real folder, so that the
program reads what it wrote, and is noted beside it: whether it was forced to the disk
or may still be lost. At a chosen step the disk stops the program, or refuses.

What it promises is little, as POSIX does: syncing a file keeps its bytes but not its
name, syncing a folder keeps the names in it, unsynced effects survive in any
combination. Bytes whose sync failed are gone, whatever a later sync says.
"""

import itertools
import os
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from inventory.evidence.store import calls
from tests.crash.effects import Effect, Fault, StoppedError, combinations

SEAM = (
    "make_folder",
    "open_new",
    "write",
    "sync",
    "link",
    "sync_folder",
    "unlink",
)


@dataclass
class Disk:
    """A disk whose top folder is there and durable; everything below is noted."""

    top: Path
    fault: Fault | None = None
    forgets: frozenset[str] = frozenset()
    steps: list[str] = field(default_factory=list)
    effects: list[Effect] = field(default_factory=list)
    is_off: bool = False
    visit: Callable[[], None] | None = None
    _files: dict[Path, int] = field(default_factory=dict)
    _open: dict[int, tuple[int, int]] = field(default_factory=dict)
    _failed: set[int] = field(default_factory=set)
    _folders: set[int] = field(default_factory=set)

    def __post_init__(self):
        self._files[self.top] = 0
        self._numbers = itertools.count(1)

    @contextmanager
    def behind_the_seam(self, patch):
        """Put this disk where the store's system calls were."""
        with patch.context() as inner:
            for name in SEAM:
                inner.setattr(calls, name, getattr(self, name))
            yield self

    def begin(self, fault=None, visit=None):
        """Start a new program on the disk as it is; nothing is synced by that.

        With a fault of how "visit" another program calls ``visit`` at that step.
        """
        self.fault, self.steps, self.is_off = fault, [], False
        self.visit = visit
        self._open, self._failed = {}, set()

    # -- the seven calls --------------------------------------------------------

    def make_folder(self, path):
        def act():
            path.mkdir()
            self._enter(path, next(self._numbers))
            self._folders.add(self._files[path])

        self._step("make_folder", act)

    def open_new(self, path):
        def act():
            descriptor = os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o640)
            self._enter(path, next(self._numbers))
            self._open[descriptor] = (self._files[path], 0)
            return descriptor

        return self._step("open_new", act)

    def write(self, descriptor, data):
        def act(part=data):
            file, offset = self._open[descriptor]
            os.write(descriptor, part)
            self.effects.append(Effect(file, offset=offset, data=bytes(part)))
            self._open[descriptor] = (file, offset + len(part))
            return len(part)

        return self._step("write", act, within=lambda: act(data[: len(data) // 2]))

    def sync(self, descriptor):
        file, _ = self._open[descriptor]
        assert file not in self._failed, "a failed sync was tried again"

        def refused():
            self._failed.add(file)
            for effect in self._unsynced_bytes(file):
                effect.is_gone = True

        def act():
            for effect in self._unsynced_bytes(file):
                effect.is_synced = True

        self._step("sync", act, refused=refused)

    def link(self, source, target):
        def act():
            os.link(source, target)
            self._enter(target, self._files[source])

        self._step("link", act)

    def sync_folder(self, path):
        folder = self._files[path]

        def act():
            for effect in self.effects:
                if effect.data is None and effect.place == folder:
                    effect.is_synced = True

        self._step("sync_folder", act)

    def unlink(self, path):
        def act():
            if path.exists():
                path.unlink()
                self._enter(path, None)

        self._step("unlink", act)

    # -- steps and faults -------------------------------------------------------

    def statement(self, sql):
        """Count one writing statement of the database as a step too."""
        self._step(f"sql: {sql}", lambda: None)

    def _step(self, name, act, *, within=None, refused=None):
        if self.is_off:
            raise StoppedError
        number = len(self.steps)
        self.steps.append(name)
        if name in self.forgets:
            return None
        if self.fault is None or not self.fault.is_met_by(number):
            return act()
        if self.fault.how == "visit":
            self.fault = None
            self.visit()
            return act()
        if isinstance(self.fault.how, str):
            self._stop(act, within)
        if self.fault.and_did_happen:
            act()
        elif within:
            within()
        if refused:
            refused()
        raise OSError(self.fault.how, os.strerror(self.fault.how))

    def _stop(self, act, within):
        self.is_off = True
        if self.fault.how == "stop after":
            act()
        elif self.fault.how == "stop within" and within:
            within()
        raise StoppedError

    def _enter(self, path, file):
        """Note that a name came, or (``file`` None) went."""
        if file is None:
            self._files.pop(path)
        else:
            self._files[path] = file
        self.effects.append(Effect(self._files[path.parent], path.name, file))

    def _unsynced_bytes(self, file):
        return [
            effect
            for effect in self.effects
            if effect.data is not None
            and effect.place == file
            and not (effect.is_synced or effect.is_gone)
        ]

    # -- what is left -----------------------------------------------------------

    def left_by_a_kill(self):
        """Return what is there when only the program died: path -> bytes."""
        return self._built(effect for effect in self.effects if not effect.is_gone)

    def left_by_power_cuts(self):
        """Yield every state a power cut could leave now: path -> bytes."""
        loose = [
            number
            for number, effect in enumerate(self.effects)
            if not (effect.is_synced or effect.is_gone)
        ]
        for kept in combinations(loose):
            yield self._built(
                effect
                for number, effect in enumerate(self.effects)
                if effect.is_synced or number in kept
            )

    def after_a_power_cut(self):
        """Return the disk, started again, that has lost all it could lose."""
        synced = [effect for effect in self.effects if effect.is_synced]
        state = self._built(synced)
        for path in sorted(self.top.rglob("*"), reverse=True):
            path.rmdir() if path.is_dir() else path.unlink()
        return Disk.holding(self.top, state)

    @classmethod
    def holding(cls, top, state):
        disk = cls(top)
        for name, data in state.items():
            path = top / name
            if data is None:
                disk.make_folder(path)
                continue
            descriptor = disk.open_new(path)
            disk.write(descriptor, data)
            os.close(descriptor)
        for effect in disk.effects:
            effect.is_synced = True
        disk.begin()
        return disk

    def _built(self, effects):
        names, contents = {}, {}
        for effect in effects:
            if effect.data is None:
                names.setdefault(effect.place, {})[effect.name] = effect.file
            else:
                held = contents.setdefault(effect.place, bytearray())
                end = effect.offset + len(effect.data)
                held.extend(bytes(max(0, end - len(held))))
                held[effect.offset : end] = effect.data
        return dict(self._below(0, "", names, contents))

    def _below(self, folder, prefix, names, contents):
        """Yield path and bytes (None for a folder) of all that can be reached."""
        for name, file in names.get(folder, {}).items():
            if file in self._folders:
                yield f"{prefix}{name}", None
                yield from self._below(file, f"{prefix}{name}/", names, contents)
            elif file is not None:
                yield f"{prefix}{name}", bytes(contents.get(file, b""))
