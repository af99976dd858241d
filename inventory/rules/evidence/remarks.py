"""Remarks on a photo and its camera data at upload. They never block.

The thresholds are our own, common practice, no source.
"""

from dataclasses import dataclass, field
from datetime import datetime, timedelta, tzinfo

from inventory.rules.reckoning.places import Position, great_circle_km, read_position

SMALL_SIDE = 200
DARK = 25
BLURRED = 30
"""Variance of the Laplacian at 640 px, in the sharpest of 16 parts. Our own drawn
pictures measure 570 and more, blurred by 4 px of 1600 15 to 49, by 6 px 4 to 13."""
BEFORE = timedelta(hours=12)
LONG_AFTER = timedelta(days=14)
CLOCK_SLACK = timedelta(minutes=10)
CLOCK_UNSET = timedelta(days=5 * 365)
FAR_KM = 50

MADE_ELSEWHERE = frozenset({"origin-condition"})
"""Kinds of photo that are rightly not taken at our dock."""

UNREADABLE = (
    "The photo cannot be previewed. The file is saved; take it again if you can."
)

_FORMAT = "%Y:%m:%d %H:%M:%S"


@dataclass(frozen=True)
class PhotoFacts:
    """The facts known about one photo when it is received.

    ``width`` and ``height`` in pixels, ``brightness`` 0 to 255, ``sharpness`` the
    variance of the Laplacian in the sharpest part; None where it was not measured.
    ``first_truck`` and ``last_truck`` are the arrivals it may belong to.
    ``sent_before`` is "here", "elsewhere" or empty.
    """

    received_at: datetime
    kind: str = ""
    width: int | None = None
    height: int | None = None
    brightness: int | None = None
    sharpness: int | None = None
    moves: bool = False
    trouble: str = ""
    claims: dict[str, str] = field(default_factory=dict)
    zone: tzinfo | None = None
    first_truck: datetime | None = None
    last_truck: datetime | None = None
    dock: Position | None = None
    sent_before: str = ""


def camera_time(claims: dict[str, str], zone: tzinfo | None = None) -> datetime | None:
    """Return the camera's time, or None where it cannot be used.

    A camera time without an offset is read in ``zone``, where one is given.
    """
    taken = claims.get("taken", "")
    offset = claims.get("offset", "").replace(":", "")
    try:
        if offset:
            return datetime.strptime(f"{taken} {offset}", f"{_FORMAT} %z")
        bare = datetime.strptime(taken, _FORMAT)  # noqa: DTZ007 - the zone follows
    except ValueError:
        return None
    return bare.replace(tzinfo=zone) if zone else None


def remarks_on(photo: PhotoFacts) -> list[str]:
    """Return the remarks on one photo, worst first."""
    return [
        *_picture_remarks(photo),
        *_resent_remarks(photo),
        *_time_remarks(photo),
        *_place_remarks(photo),
    ]


def asks_again(remarks: list[str]) -> bool:
    """Return whether a remark asks for the photo to be taken again."""
    return any("take it again" in remark.lower() for remark in remarks)


def _picture_remarks(photo: PhotoFacts) -> list[str]:
    if photo.trouble:
        return [UNREADABLE]
    found = []
    if photo.width and photo.height and min(photo.width, photo.height) < SMALL_SIDE:
        found.append("The photo is very small. Take it again if you can.")
    if photo.brightness is not None and photo.brightness < DARK:
        found.append("The photo is very dark. Take it again with light if you can.")
    elif photo.sharpness is not None and photo.sharpness < BLURRED:
        found.append("The photo looks blurred. Take it again if you can.")
    if photo.moves:
        found.append("It is an animation. Only its first frame is shown.")
    return found


def _resent_remarks(photo: PhotoFacts) -> list[str]:
    if photo.sent_before == "here":
        return ["This photo is already here. The file is saved once and listed twice."]
    if photo.sent_before == "elsewhere":
        return ["This photo was already added to another truck or freight bill."]
    return []


def _time_remarks(photo: PhotoFacts) -> list[str]:
    if not photo.claims.get("taken"):
        return []
    taken = camera_time(photo.claims, photo.zone)
    if taken is None:
        return ["The photo has no readable time."]
    if taken > photo.received_at + CLOCK_SLACK:
        return ["The camera's clock is ahead of our clock."]
    if taken < photo.received_at - CLOCK_UNSET:
        return ["The camera's clock is years behind our clock."]
    return _truck_remarks(photo, taken)


def _truck_remarks(photo: PhotoFacts, taken: datetime) -> list[str]:
    if photo.kind in MADE_ELSEWHERE:
        return []
    if photo.first_truck and taken < photo.first_truck - BEFORE:
        return ["Taken before the truck arrived, by the camera's clock."]
    if photo.last_truck and taken > photo.last_truck + LONG_AFTER:
        return ["Taken long after the truck arrived, by the camera's clock."]
    return []


def _place_remarks(photo: PhotoFacts) -> list[str]:
    where = read_position(
        photo.claims.get("latitude", ""), photo.claims.get("longitude", "")
    )
    if where is None or photo.dock is None or photo.kind in MADE_ELSEWHERE:
        return []
    distance = great_circle_km(where, photo.dock)
    if distance <= FAR_KM:
        return []
    return [f"Taken about {distance} km from here, by the phone's location."]
