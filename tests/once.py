"""What a run does once, however many tests ask for it.

A picture is decoded by a child process the first time it is sent; later the child's
answer is given again. Tests of the decoder itself are marked ``decoder``: theirs gets
a child each time. The static files are looked through once, not by every client. And
``force_login`` writes the session that a sign-in leaves, without what surrounds one
(the former session flushed, its hour on the person, the count of wrong passwords):
tests of signing in send the form. ``answer.context`` is that of the page: Django's own
client also copies that of every part and every field.
"""

from contextlib import contextmanager
from importlib import import_module
from types import SimpleNamespace
from unittest import mock

from django.conf import settings
from django.contrib import auth
from django.test import Client
from django.test import utils as test_utils
from django.test.signals import template_rendered
from whitenoise.middleware import WhiteNoiseMiddleware

from inventory.evidence.pictures import renditions
from inventory.evidence.store import originals as store

MOST = 200

_answers = {}
_files = {}
_FIELDS = ("dock/", "django/forms/")
_run_child = renditions._run_child
_WAYS = ("add_files", "add_files_from_finders")


def share():
    """Let all tests of this process have what an earlier one has made."""
    for way in _WAYS:
        setattr(WhiteNoiseMiddleware, way, _found_once(way))
    Client.force_login = _force_login
    renditions._run_child = _run_child_once
    test_utils.instrumented_test_render = _render_and_tell


@contextmanager
def decoding_anew(item):
    """Give a test of the decoder a child of its own for each picture."""
    if not item.get_closest_marker("decoder"):
        yield
        return
    with mock.patch.object(renditions, "_run_child", _run_child):
        yield


def _force_login(browser, user, backend=None):
    user.backend = backend or browser._get_backend()
    session = import_module(settings.SESSION_ENGINE).SessionStore()
    session[auth.SESSION_KEY] = user._meta.pk.value_to_string(user)
    session[auth.BACKEND_SESSION_KEY] = user.backend
    session[auth.HASH_SESSION_KEY] = user.get_session_auth_hash()
    session.save()
    browser._set_login_cookies(SimpleNamespace(session=session))


def _render_and_tell(template, context):
    is_page = context.template is template and not (template.name or "").startswith(
        _FIELDS
    )
    if is_page:
        template_rendered.send(sender=template, template=template, context=context)
    return template.nodelist.render(context)


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
