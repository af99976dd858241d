"""Earlier copies of the database stay in a backup folder, and each can be laid back."""

import stat

import pytest

from tests.backups.places import empty_place
from tests.backups.writers import BACK_UP_AT, KEEP_MORE
from tests.sites import copied_site

pytestmark = [pytest.mark.database, pytest.mark.processes]


@pytest.fixture
def house(full_house, tmp_path):
    with copied_site(full_house, tmp_path / "site") as copied:
        yield copied


def back_up(house, folder, at, keep="Keep(2, 0, 0)"):
    script = BACK_UP_AT.format(folder=str(folder), at=at, keep=keep)
    said, failed = house.python(script).communicate()
    assert failed == "", failed
    return int(said)


def test_a_house_of_an_earlier_day_is_laid_back(house, tmp_path):
    folder = tmp_path / "copy"
    back_up(house, folder, "2026-11-25T02:00:00+00:00")
    earlier = back_up(house, folder, "2026-11-26T02:00:00+00:00")
    house.python(KEEP_MORE).communicate()
    now = back_up(house, folder, "2026-11-27T02:00:00+00:00")

    assert now > earlier
    assert len(list(folder.glob("database-*"))) == 2
    assert len(list(folder.glob("backup-*.json"))) == 2
    files = [one for one in folder.rglob("*") if one.is_file()]
    assert {stat.S_IMODE(one.stat().st_mode) for one in files} == {0o600}
    with empty_place(house, tmp_path / "missing") as place:
        done = place.manage("restore", str(folder), "--of", "2026-11-25", check=False)
        assert "no backup of 2026-11-25" in done.stderr
        assert "2026-11-27T02:00, 2026-11-26T02:00" in done.stderr
    with empty_place(house, tmp_path / "earlier") as place:
        told = place.manage("restore", str(folder), "--of", "2026-11-26").stdout
        assert f"{earlier} events" in told
        assert "All well" in told
    with empty_place(house, tmp_path / "newest") as place:
        assert f"{now} events" in place.manage("restore", str(folder)).stdout


def test_without_a_word_on_it_all_stay(house, tmp_path):
    folder = tmp_path / "copy"
    for day in (25, 26, 27):
        back_up(house, folder, f"2026-11-{day}T02:00:00+00:00", keep=None)
    assert len(list(folder.glob("database-*"))) == 3


def test_a_copy_whose_list_cannot_be_read_is_left_alone(house, tmp_path):
    folder = tmp_path / "copy"
    for day in (24, 25, 26):
        back_up(house, folder, f"2026-11-{day}T02:00:00+00:00", keep=None)
    (listed,) = folder.glob("backup-20261125*.json")
    listed.write_text("{")
    back_up(house, folder, "2026-11-27T02:00:00+00:00", keep="Keep(1, 0, 0)")
    left = {one.name[9:17] for one in folder.glob("database-*")}
    assert left == {"20261125", "20261127"}
