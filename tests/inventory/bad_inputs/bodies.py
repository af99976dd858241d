"""Bodies as they come over the wire: cut off, mislabelled, oddly encoded."""

from io import BytesIO

from django.core.handlers.wsgi import WSGIHandler
from django.test import RequestFactory

from config.body import CountBodies
from tests.house.test_bodies import database_left_alone

BOUNDARY = "a-line-between"
TYPE = f"multipart/form-data; boundary={BOUNDARY}"


def part(name, data, file_name="", *headers):
    """Return one part of a form: a field, or with a file name a photo."""
    tail = f'; filename="{file_name}"' if file_name else ""
    lines = [f'Content-Disposition: form-data; name="{name}"{tail}', *headers]
    if file_name:
        lines.append("Content-Type: image/jpeg")
    head = "\r\n".join([f"--{BOUNDARY}", *lines, "", ""])
    return head.encode() + data + b"\r\n"


def form_of(*parts):
    return b"".join(parts) + f"--{BOUNDARY}--\r\n".encode()


def through_the_door(client, url, body, **environ):
    """Send a body through the whole WSGI door as this browser; return status, text."""
    path, _, query = url.partition("?")
    cookies = "; ".join(f"{name}={one.value}" for name, one in client.cookies.items())
    whole = RequestFactory().generic("POST", path).environ | {
        "QUERY_STRING": query,
        "CONTENT_TYPE": TYPE,
        "CONTENT_LENGTH": str(len(body)),
        "HTTP_COOKIE": cookies,
        "wsgi.input": BytesIO(body),
        **environ,
    }
    seen = []
    handler = WSGIHandler()
    handler._middleware_chain = _without_origin_check(handler)
    with database_left_alone():
        answer = CountBodies(handler)(whole, lambda status, *_: seen.append(status))
        text = b"".join(answer).decode()
        answer.close()
    return int(seen[0][:3]), text


def _without_origin_check(handler):
    """Pass over Django's own origin check, as its test browser does."""
    inner = handler._middleware_chain

    def chain(request):
        request._dont_enforce_csrf_checks = True
        return inner(request)

    return chain
