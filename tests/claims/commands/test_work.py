"""The working program: what one lane cannot do never holds up another."""

from unittest import mock

from django.test import TestCase

from claims.management.commands import work
from inventory.models import LaneBeat


class WorkTests(TestCase):
    def setUp(self):
        self.done = []
        lanes = {"broken": self.fail_at_it, "sound": self.do_it, "idle": self.rest}
        for patched in (
            mock.patch.object(work, "LANES", lanes),
            mock.patch.object(work.connections, "close_all"),
        ):
            patched.start()
            self.addCleanup(patched.stop)

    def fail_at_it(self, **_):
        raise ZeroDivisionError

    def do_it(self, *, worker, clock):
        self.done.append((worker, clock()))
        return True

    def rest(self, **_):
        return False

    def look(self):
        beats = {}
        with self.assertLogs(work.__name__, "ERROR") as told:
            waits = [work.look_at(lane, "one", beats) for lane in work.LANES]
        return waits, told.output

    def test_a_lane_that_fails_is_logged_and_the_next_one_works(self):
        waits, told = self.look()

        assert waits == [work.TROUBLE_SECONDS, 0.0, work.IDLE_SECONDS]
        assert len(self.done) == 1
        assert len(told) == 1
        assert "broken" in told[0]

    def test_only_a_lane_that_worked_has_a_pulse(self):
        self.look()

        lanes = LaneBeat.objects.values_list("lane", flat=True)
        assert sorted(lanes) == ["idle", "sound"]
