"""The homes of originals, looked into behind the program's back.

``files()`` is all that lies there by name; ``put`` and ``take`` change it.
"""

import os

from inventory.evidence.store import bucket


class FolderAtHand:
    """A folder."""

    def __init__(self, root):
        self.root = root

    def _path(self, sha256):
        return self.root / sha256[:2] / sha256

    def files(self):
        found = (p for p in self.root.rglob("*") if p.is_file())
        return {str(p.relative_to(self.root)): p.read_bytes() for p in found}

    def put(self, sha256, data):
        self._path(sha256).chmod(0o600)
        self._path(sha256).write_bytes(data)

    def take(self, sha256):
        self._path(sha256).unlink()

    def age(self, sha256, moment):
        os.utime(self._path(sha256), (moment, moment))

    def aside(self, sha256):
        return self.files().get(f".quarantine/{sha256}")


class BucketAtHand:
    """A bucket of a store that this process serves."""

    def __init__(self, server, home):
        self.server, self.address = server, bucket.address_of(home)

    def _at(self, sha256):
        return {
            "Bucket": self.address.bucket,
            "Key": f"{self.address.prefix}{sha256[:2]}/{sha256}",
        }

    def files(self):
        client, name = bucket.client(), self.address.bucket
        found = client.list_objects_v2(Bucket=name).get("Contents", [])
        return {
            one["Key"].removeprefix(self.address.prefix): client.get_object(
                Bucket=name, Key=one["Key"]
            )["Body"].read()
            for one in found
        }

    def put(self, sha256, data):
        bucket.client().put_object(Body=data, **self._at(sha256))

    def take(self, sha256):
        bucket.client().delete_object(**self._at(sha256))

    def age(self, sha256, moment):
        self.server.age(self.address, self._at(sha256)["Key"], moment)

    def aside(self, sha256):
        return self.files().get(f"quarantine/{sha256}")
