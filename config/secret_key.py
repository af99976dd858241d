"""The key of a single machine: made once, stored in the data folder, readable only here."""

import os
import secrets
from pathlib import Path

_MODE = 0o600


def kept_secret_key(path: Path) -> str:
    """Return the key kept at ``path``, making it (mode 0600) on the first call.

    Two processes that start together agree on one key: the finished file is linked
    into place, and whoever comes second reads what the first one left.
    """
    if not path.exists():
        _make(path)
    key = path.read_text(encoding="ascii").strip()
    if len(key) < 50:
        raise ValueError(f"{path} is damaged. Delete it and start again.")
    return key


def _make(path: Path) -> None:
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    draft = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, _MODE)
    with os.fdopen(descriptor, "w", encoding="ascii") as file:
        file.write(secrets.token_urlsafe(64))
        file.flush()
        os.fsync(file.fileno())
    try:
        path.hardlink_to(draft)
    except FileExistsError:
        pass
    finally:
        draft.unlink()
