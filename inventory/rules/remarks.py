"""What can be said at once about a photo and what its camera claims. Never a block.

The thresholds are our own, common practice, no source.
"""

from datetime import datetime, timedelta

SMALL_SIDE = 200
DARK = 25
LONG_AFTER = timedelta(days=14)
CLOCK_SLACK = timedelta(minutes=10)


def camera_time(claims: dict[str, str]) -> datetime | None:
    """Return the camera's time with its offset, or None where it is not usable."""
    text = f"{claims.get('taken', '')} {claims.get('offset', '').replace(':', '')}"
    try:
        return datetime.strptime(text, "%Y:%m:%d %H:%M:%S %z")
    except ValueError:
        return None


def remarks_on(
    *,
    width: int | None,
    height: int | None,
    brightness: int | None,
    claims: dict[str, str],
    received_at: datetime,
    arrived_at: datetime | None,
    trouble: str,
) -> list[str]:
    """Return the plain remarks on one photo, worst first."""
    found = []
    if trouble:
        found.append(
            "The picture could not be opened. It is kept; take it again if you can."
        )
    if width and height and min(width, height) < SMALL_SIDE:
        found.append("The picture is very small. Take it again if you can.")
    if brightness is not None and brightness < DARK:
        found.append("The picture is very dark. Take it again with light if you can.")
    return found + _time_remarks(claims, received_at, arrived_at)


def _time_remarks(
    claims: dict[str, str], received_at: datetime, arrived_at: datetime | None
) -> list[str]:
    taken = camera_time(claims)
    if taken is None:
        return []
    if taken > received_at + CLOCK_SLACK:
        return ["The camera's clock is ahead of ours."]
    if arrived_at and taken < arrived_at - timedelta(hours=12):
        return ["By the camera's clock it was taken before the truck came."]
    if arrived_at and taken > arrived_at + LONG_AFTER:
        return ["By the camera's clock it was taken long after the truck came."]
    return []
