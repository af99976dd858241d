"""A locked backup tells nothing to who has no key, and all to who has it.

What is locked is read by the program ``age`` itself, whose format is that of
https://age-encryption.org/v1: each file begins with these words.
"""

import hashlib
import json
import re
import shutil
import stat
import subprocess

import pytest

from tests import sites
from tests.backups.places import empty_place
from tests.backups.writers import KEEP_MORE
from tests.sites import copied_site

pytestmark = [
    pytest.mark.database,
    pytest.mark.processes,
    pytest.mark.skipif(not shutil.which("age"), reason="age is not installed"),
]

IN_THE_OPEN = {"backup.json", "roots.txt", "sums.txt"}
MAGIC = b"age-encryption.org/v1\n"


def new_key(path):
    """Write a private key; return the public one."""
    subprocess.run(["age-keygen", "-o", path], check=True, capture_output=True)
    return re.search(r"public key: (\w+)", path.read_text()).group(1)


@pytest.fixture
def key(tmp_path):
    return tmp_path / "key.txt"


@pytest.fixture
def house(full_house, tmp_path, key):
    with copied_site(full_house, tmp_path / "site") as copied:
        copied.env |= {"BACKUP_KEY": new_key(key)}
        yield copied


def files_in(folder):
    return {path.name: path for path in folder.rglob("*") if path.is_file()}


def test_nothing_in_the_folder_can_be_read_and_the_key_s_holder_gets_all(
    house, key, tmp_path
):
    folder = tmp_path / "copy"
    said = house.manage("backup", str(folder)).stdout
    found = files_in(folder)
    lists = {name for name in found if name.startswith("backup")}
    assert len(lists) == 2  # the newest's, and that of its moment
    assert len(found) == len(IN_THE_OPEN | lists) + 6  # the database and five papers
    for name, path in found.items():
        if name != "roots.txt":
            assert stat.S_IMODE(path.stat().st_mode) == 0o600, name
        if name not in IN_THE_OPEN | lists:
            assert path.read_bytes().startswith(MAGIC), name
        assert b"Plainsway" not in path.read_bytes(), name
    sums = ["sha256sum", "--check", "--strict", "sums.txt"]
    assert subprocess.run(sums, cwd=folder, check=False).returncode == 0
    paper = next((folder / "originals").glob("??/*"))
    plain = subprocess.run(
        ["age", "--decrypt", "--identity", key, paper], check=True, capture_output=True
    ).stdout
    assert hashlib.sha256(plain).hexdigest() == paper.name.removesuffix(".age")
    left = [path.name for path in house.folder.iterdir() if path.name.startswith("tmp")]
    assert left == []

    with empty_place(house, tmp_path / "new") as place:
        told = place.manage("restore", str(folder), "--key", str(key)).stdout
        assert re.search(r"root (\w{64})", said).group(1) in told
        assert "All well" in told
        assert "5 originals match their hash" in told


def test_the_next_one_locks_only_what_is_new_or_was_changed(house, key, tmp_path):
    folder = tmp_path / "copy"
    house.manage("backup", str(folder))
    before = {name: path.read_bytes() for name, path in files_in(folder).items()}
    house.python(KEEP_MORE).communicate()
    assert "2 of them copied now" in house.manage("backup", str(folder)).stdout
    for name, path in files_in(folder / "originals").items():
        assert path.read_bytes() == before.get(name, path.read_bytes())

    damaged = next((folder / "originals").glob("??/*"))
    damaged.write_bytes(damaged.read_bytes()[:-1] + b"x")
    with empty_place(house, tmp_path / "new") as place:
        done = place.manage("restore", str(folder), "--key", str(key), check=False)
        assert "has changed in the backup" in done.stderr
        assert "no database was restored" in done.stderr
    assert "1 of them copied now" in house.manage("backup", str(folder)).stdout
    assert len(list(folder.glob("database-*"))) == 1
    with empty_place(house, tmp_path / "newer") as place:
        told = place.manage("restore", str(folder), "--key", str(key)).stdout
        assert "7 originals match their hash" in told


def test_without_the_right_key_nothing_is_restored(house, tmp_path):
    folder, other = tmp_path / "copy", tmp_path / "other.txt"
    house.manage("backup", str(folder))
    new_key(other)
    with empty_place(house, tmp_path / "new") as place:
        without = place.manage("restore", str(folder), check=False)
        assert "is locked. Nothing was restored. Name the file" in without.stderr
        wrong = place.manage("restore", str(folder), "--key", str(other), check=False)
        assert "no identity matched" in wrong.stderr
        assert "Nothing was restored." in wrong.stderr
        assert not (place.folder / "originals").exists()


def test_what_cannot_be_locked_is_said_before_anything_is_written(house, tmp_path):
    folder = tmp_path / "copy"
    for changed, words in (
        ({"PATH": str(tmp_path)}, "age is not installed"),
        ({"BACKUP_KEY": "age1nobody"}, "Nothing was written."),
    ):
        site = sites.Site(house.folder, {**house.env, **changed})
        done = site.manage("backup", str(folder), check=False)
        assert done.returncode == 1
        assert words in done.stderr
        assert len(done.stderr.strip().splitlines()) == 1
        assert not folder.exists()

    plain = {name: one for name, one in house.env.items() if name != "BACKUP_KEY"}
    sites.Site(house.folder, plain).manage("backup", str(folder))
    before = json.loads((folder / "backup.json").read_text())
    done = house.manage("backup", str(folder), check=False)
    assert "is not locked. Nothing was written. Name an empty folder" in done.stderr
    assert json.loads((folder / "backup.json").read_text()) == before
    (folder / "backup.json").unlink()
    (folder / "roots.txt").unlink()  # as if the first one had been broken off
    done = house.manage("backup", str(folder), check=False)
    assert "has files of a backup that are not locked" in done.stderr
