"""What originals tell of themselves, said before someone sends them."""

import pytest

from claims.rules.packet.originals import camera_words

PLACE = {"latitude": "41.10000", "longitude": "-95.20000"}
TIME = {"taken": "2026:11:20 09:00:00", "offset": "-06:00"}


@pytest.mark.parametrize(
    ("claims", "said"),
    [
        ([], "It lists no originals."),
        (
            [{}],
            "Of 1 original, none carries a place, a time or a device that we could read.",
        ),
        ([TIME], "Of 1 original, the camera wrote the time in 1."),
        (
            [PLACE | TIME, TIME, {}],
            "Of 3 originals, the camera wrote the place in 1 and the time in 2.",
        ),
        (
            [PLACE | TIME | {"make": "Lumen", "model": "P3"}, {"model": "P3"}],
            "Of 2 originals, the camera wrote the place in 1, the time in 1 and the "
            "device in 2.",
        ),
        ([{"offset": "-06:00"}, {}], None),
    ],
)
def test_place_time_and_device_are_counted(claims, said):
    if said is None:  # an offset alone is no time
        assert "none carries" in camera_words(claims)
    else:
        assert camera_words(claims) == said
