"""What a run does once, however many tests ask for it.

A picture is decoded by a child process the first time it is sent; later the child's
answer is given again. Tests of the decoder itself are marked ``decoder``: theirs gets
a child each time. The static files are looked through once, not by every client.
"""

from contextlib import ExitStack, contextmanager
from unittest import mock

from whitenoise.middleware import WhiteNoiseMiddleware

from inventory.evidence.pictures import renditions
from inventory.evidence.store import originals as store

MOST = 200

_answers = {}
_files = {}
_run_child = renditions._run_child
_WAYS = ("add_files", "add_files_from_finders")


@contextmanager
def once_a_run(item):
    """Let this test have what an earlier one has made."""
    with ExitStack() as stack:
        if not item.get_closest_marker("decoder"):
            stack.enter_context(
                mock.patch.object(renditions, "_run_child", _run_child_once)
            )
        for way in _WAYS:
            stack.enter_context(
                mock.patch.object(WhiteNoiseMiddleware, way, _found_once(way))
            )
        yield


def _run_child_once(sha256):
    with store.open_original(sha256):
        pass  # a missing file fails as it would
    key = sha256, renditions._SCRIPT, renditions.SECONDS
    if key not in _answers:
        if len(_answers) >= MOST:
            _answers.clear()
        _answers[key] = _run_child(sha256)
    facts, pictures = _answers[key]
    return dict(facts), list(pictures)


def _found_once(way):
    look = getattr(WhiteNoiseMiddleware, way)

    def found(self, *where, **how):
        asked = (way, where, *how.items(), self.max_age, self.static_prefix)
        if self.autorefresh:
            look(self, *where, **how)
        elif asked in _files:
            self.files.update(_files[asked])
        else:
            before = set(self.files)
            look(self, *where, **how)
            new = self.files.keys() - before
            _files[asked] = {url: self.files[url] for url in new}

    return found
