"""What is derived from other rows: what is open, sums, search keys, and the tree's tiles.

None of these tables is sealed: they are kept in the transaction of each act, tiles by
``record_event`` and the others by triggers, and ``manage.py verify`` recomputes every
one. See ``inventory/derived.py`` and ``inventory/evidence/seal/tiles.py``.
"""

from django.db import models

from inventory.models.ledger import Account, Deposit
from inventory.models.people import Location


class OpenWork(models.Model):
    """That a row has work of one kind open. Not sealed: derived, and verified.

    ``what`` names the kind, ``key`` the row. A desk reads these keys first.
    """

    what = models.CharField(max_length=20)
    key = models.BigIntegerField()

    class Meta:
        ordering = ["what", "key"]
        verbose_name_plural = "open work"
        constraints = [
            models.UniqueConstraint(fields=["what", "key"], name="open_work_once")
        ]

    def __str__(self) -> str:
        return f"{self.what} {self.key}"

    @classmethod
    def keys(cls, what: str) -> list[int]:
        """Return the keys of the rows with this work open."""
        return list(cls.objects.filter(what=what).values_list("key", flat=True))


class OpenSum(models.Model):
    """What stands on one deposit in one account. Not sealed: derived, and verified.

    Of receivable, expected and disputed alone, and no row where nothing stands.
    """

    account = models.ForeignKey(Account, models.PROTECT, related_name="open_sums")
    deposit = models.ForeignKey(Deposit, models.PROTECT, related_name="open_sums")
    cents = models.BigIntegerField()

    class Meta:
        ordering = ["deposit_id", "account_id"]
        constraints = [
            models.UniqueConstraint(fields=["account", "deposit"], name="open_sum_once")
        ]

    def __str__(self) -> str:
        return f"{self.deposit_id} in {self.account_id}: {self.cents}"


class AccountMonth(models.Model):
    """What moved in one account in one month. Not sealed: derived, and verified.

    ``month`` is its first day, ``closing`` the balance at its end.
    """

    account = models.ForeignKey(Account, models.PROTECT, related_name="months")
    month = models.DateField()
    debits = models.BigIntegerField()
    credits = models.BigIntegerField()
    closing = models.BigIntegerField()

    class Meta:
        ordering = ["account_id", "month"]
        constraints = [
            models.UniqueConstraint(
                fields=["account", "month"], name="account_month_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.account_id} in {self.month:%Y-%m}: {self.closing}"


class SearchKey(models.Model):
    """One number of one row as it is searched. Not sealed: derived, and verified.

    ``kind`` and ``key`` name the row, ``text`` is the number without separators; how
    ``id`` is made says ``inventory/searched.py``.
    """

    id = models.BigIntegerField(primary_key=True)
    kind = models.PositiveSmallIntegerField()
    location = models.ForeignKey(
        Location, models.PROTECT, related_name="+", db_index=False
    )
    key = models.BigIntegerField()
    text = models.TextField()

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(
                fields=["kind", "location", "text", "-id"], name="search_begins"
            ),
            models.Index(fields=["kind", "key"], name="search_of_row"),
        ]

    def __str__(self) -> str:
        return f"{self.text} of {self.kind} {self.key}"


class TreeTile(models.Model):
    """256 hashes of the tree over events. Not sealed: derived, and verified.

    Tile ``place`` of ``level`` holds the roots of 256 full subtrees of 256**level
    events, one after the other; ``root`` is the root over them. Only full tiles have a
    row. The root comes first, so that it is read without the rest. ``middle`` are the 16
    nodes half way to it, so that a proof hashes 30 nodes of a tile and not 255; tiles of
    before a migration have none until it has filled them.
    """

    level = models.PositiveSmallIntegerField()
    place = models.PositiveBigIntegerField()
    root = models.BinaryField()
    hashes = models.BinaryField()
    middle = models.BinaryField(null=True)

    class Meta:
        ordering = ["level", "place"]
        constraints = [
            models.UniqueConstraint(fields=["level", "place"], name="tree_tile_once")
        ]

    def __str__(self) -> str:
        return f"Tile {self.place} of level {self.level}"
