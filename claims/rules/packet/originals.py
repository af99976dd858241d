"""Whether the originals go along with a claim file, and what they tell of themselves."""

from collections.abc import Mapping, Sequence

ALONG = "along"
HERE = "here"

ORIGINALS: Mapping[str, str] = {
    ALONG: "Send them along",
    HERE: "Keep them here",
}
"""What the person who confirms chooses. A claim file of before has neither."""

_CARRIED: Sequence[tuple[str, frozenset[str]]] = (
    ("the place", frozenset({"latitude", "longitude"})),
    ("the time", frozenset({"taken"})),
    ("the device", frozenset({"make", "model"})),
)


def camera_words(claims: Sequence[Mapping[str, str]]) -> str:
    """Return how many of the originals carry place, time and device, as one sentence.

    ``claims`` holds what each original's camera wrote, as far as it was read.
    """
    if not claims:
        return "It lists no originals."
    found = [
        (words, sum(1 for one in claims if keys & set(one))) for words, keys in _CARRIED
    ]
    carried = [f"{words} in {count}" for words, count in found if count]
    of = f"Of {len(claims)} originals" if len(claims) > 1 else "Of 1 original"
    if not carried:
        return f"{of}, none carries a place, a time or a device that we could read."
    return f"{of}, the camera wrote {_listed(carried)}."


def _listed(words: Sequence[str]) -> str:
    if len(words) == 1:
        return words[0]
    return f"{', '.join(words[:-1])} and {words[-1]}"
