"""A backup is whole, adds only what is new, and overwrites nothing when laid back."""

import json
import re

import pytest

from tests.backups.places import empty_place
from tests.backups.writers import KEEP_MORE
from tests.sites import copied_site

pytestmark = [pytest.mark.database, pytest.mark.processes]


@pytest.fixture
def house(full_house, tmp_path):
    with copied_site(full_house, tmp_path / "site") as copied:
        yield copied


def test_a_backup_laid_back_is_the_house_and_verifies(house, tmp_path):
    said = house.manage("backup", str(tmp_path / "copy")).stdout
    with empty_place(house, tmp_path / "new") as place:
        told = place.manage("restore", str(tmp_path / "copy")).stdout

        root = re.search(r"root (\w{64})", said).group(1)
        assert "All well" in told
        assert root in told
        assert "5 originals match their hash" in told
        assert root in place.manage("verify").stdout
        again = place.manage("restore", str(tmp_path / "copy"), check=False)
        assert again.returncode == 1
        assert "not empty" in again.stderr


def test_the_next_backup_copies_only_what_is_new(house, tmp_path):
    folder = tmp_path / "copy"
    first = house.manage("backup", str(folder)).stdout
    house.python(KEEP_MORE).communicate()
    second = house.manage("backup", str(folder)).stdout

    assert "5 of them copied now" in first
    assert "7 originals" in second
    assert "2 of them copied now" in second
    assert len(list(folder.glob("database-*"))) == 1
    with empty_place(house, tmp_path / "new") as place:
        told = place.manage("restore", str(folder)).stdout
        assert "7 originals match their hash" in told


def test_an_original_that_changed_in_the_backup_is_copied_anew(house, tmp_path):
    folder = tmp_path / "copy"
    house.manage("backup", str(folder))
    damaged = next((folder / "originals").glob("??/*"))
    damaged.write_bytes(b"%PDF-1.4 something else")

    said = house.manage("backup", str(folder)).stdout

    assert "1 of them copied now" in said


def test_a_changed_backup_is_not_laid_back(house, tmp_path):
    folder = tmp_path / "copy"
    house.manage("backup", str(folder))
    next((folder / "originals").glob("??/*")).write_bytes(b"%PDF-1.4 other")
    with empty_place(house, tmp_path / "new") as place:
        done = place.manage("restore", str(folder), check=False)
        assert done.returncode == 1
        assert "has changed in the backup" in done.stderr
        assert "no database was restored" in done.stderr

    database = next(folder.glob("database-*"))
    database.write_bytes(database.read_bytes()[:-1] + b"x")
    with empty_place(house, tmp_path / "newer") as place:
        done = place.manage("restore", str(folder), check=False)
        assert "missing or has changed" in done.stderr
        assert not (place.folder / "originals").exists()


def test_a_folder_that_is_not_ours_is_never_written_to(house, tmp_path):
    folder = tmp_path / "letters"
    folder.mkdir()
    (folder / "letter.txt").write_text("Dear customer")

    done = house.manage("backup", str(folder), check=False)

    assert done.returncode == 1
    assert "is not empty and has no backup from this program" in done.stderr
    assert [path.name for path in folder.iterdir()] == ["letter.txt"]


def test_the_backup_of_another_house_is_never_added_to(house, tmp_path):
    folder = tmp_path / "copy"
    house.manage("backup", str(folder))
    listed = json.loads((folder / "backup.json").read_text())
    (folder / "backup.json").write_text(json.dumps({**listed, "root": "0" * 64}))

    done = house.manage("backup", str(folder), check=False)

    assert done.returncode == 1
    assert "another site" in done.stderr


def test_a_house_that_lost_an_original_says_so_and_keeps_the_last_backup(
    house, tmp_path
):
    folder = tmp_path / "copy"
    house.manage("backup", str(folder))
    before = (folder / "backup.json").read_bytes()
    house.python(KEEP_MORE).communicate()
    kept = {path.name for path in (folder / "originals").glob("??/*")}
    fresh = [
        path
        for path in (house.folder / "originals").glob("??/*")
        if path.name not in kept
    ]
    fresh[0].unlink()

    done = house.manage("backup", str(folder), check=False)

    assert done.returncode == 1
    assert f"Original {fresh[0].name} is missing on this site" in done.stderr
    assert (folder / "backup.json").read_bytes() == before
    with empty_place(house, tmp_path / "new") as place:
        assert "All well" in place.manage("restore", str(folder)).stdout


def test_a_place_that_holds_originals_is_not_restored_into(house, tmp_path):
    house.manage("backup", str(tmp_path / "copy"))
    with empty_place(house, tmp_path / "new") as place:
        (place.folder / "originals" / "ab").mkdir(parents=True)
        (place.folder / "originals" / "ab" / "abc").write_bytes(b"mine")

        done = place.manage("restore", str(tmp_path / "copy"), check=False)

        assert "There are already originals in" in done.stderr
