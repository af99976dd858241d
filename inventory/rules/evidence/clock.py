"""How far the machine's clock may stand behind the last recorded act."""

from datetime import datetime, timedelta

CLOCK_MAY_DIFFER = timedelta(minutes=5)
"""Acts at once wait for one another, so their moments may be a little out of order."""


def is_behind(at: datetime, last: datetime | None) -> bool:
    """Return whether ``at`` is before the last act by more than acts at once differ."""
    return last is not None and last - at > CLOCK_MAY_DIFFER
