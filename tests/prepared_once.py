"""What costs much and stands before every test of a class, done once for all of them.

``setUpTestData`` has no browser and no case to write with, so such work lands in
``setUp``, where it is done again for each test.
"""

from django.test import TestCase


class PreparedOnce(TestCase):
    """Cases with ``prepare_once(self)``: written as ``setUp`` is, done once a class.

    Call ``prepare_class()`` at the end of the first ``setUpTestData``. It runs ``setUp``,
    ``prepare_once`` and the cleanups; what ``prepare_once`` sets on ``self`` every test
    finds as a copy of its own.
    """

    def prepare_once(self):
        """Write what every test of this class begins with."""

    @classmethod
    def prepare_class(cls):
        """Do it, in the transaction that all tests of this class begin in."""
        if cls.prepare_once is PreparedOnce.prepare_once:
            return
        case = cls("prepare_once")
        case.client = cls.client_class()
        try:
            case.setUp()
            before = dict(vars(case))
            case.prepare_once()
        finally:
            case.doCleanups()
        for name, value in vars(case).items():
            if not name.startswith("_") and before.get(name) is not value:
                setattr(cls, name, value)
