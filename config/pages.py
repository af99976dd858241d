"""Pages that work whatever else is broken: no template, no database."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse, QueryDict
from django.middleware.csrf import get_token
from django.templatetags.static import static
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

_STYLES = ("tokens", "base", "forms")

_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
{styles}
</head>
<body>
<main class="wrap" id="main">
<div class="alone">
<h1>{title}</h1>
{sentences}
{form}
<p><a href="/">Go to the start page</a></p>
</div>
</main>
</body>
</html>
"""

_RESEND = """<form method="post" action="{action}">
<input type="hidden" name="csrfmiddlewaretoken" value="{token}">
{fields}
<p class="acts"><button class="btn btn-primary" type="submit">Save again</button></p>
</form>"""

_TEXT = """<p class="field"><textarea name="{}" aria-label="What you typed" rows="3">
{}</textarea></p>"""

_HIDDEN = '<input type="hidden" name="{}" value="{}">'

_COPY = """<p class="field"><label>{}
<textarea rows="3" readonly>
{}</textarea></label></p>"""


def plain_page(
    *, status: int, title: str, sentences: list[str], form: SafeString | str = ""
) -> HttpResponse:
    """Return a whole page of plain sentences: what happened, what is saved, what to do."""
    html = format_html(
        _PAGE,
        title=title,
        styles=format_html_join(
            "\n",
            '<link rel="stylesheet" href="{}">',
            ((static(f"house/{name}.css"),) for name in _STYLES),
        ),
        sentences=format_html_join("\n", "<p>{}</p>", ((s,) for s in sentences)),
        form=form,
    )
    response = HttpResponse(html, status=status)
    response["Cache-Control"] = "no-store, private"
    return response


def resend_form(request: HttpRequest) -> SafeString | None:
    """Return a form that carries what was typed, to be sent again.

    None where there is nothing to keep, where a password was typed (it must not
    be in a page), or where files were sent (a page cannot carry them).
    """
    typed = request.POST
    if request.method != "POST" or not typed or request.FILES or _is_secret(typed):
        return None
    return format_html(
        _RESEND,
        action=request.get_full_path(),
        token=get_token(request),
        fields=_fields(typed),
    )


def kept_fields(typed: QueryDict, *, without: str) -> SafeString:
    """Return hidden fields that carry what was typed on to the same act.

    Passwords and PINs are left out, and the fields whose names begin with ``without``.
    """
    kept = [
        pair
        for pair in _pairs(typed)
        if not is_secret(pair[0]) and not pair[0].startswith(without)
    ]
    return format_html_join("\n", _HIDDEN, kept)


def typed_text(request: HttpRequest) -> SafeString:
    """Return the words that were typed, to be copied; empty where there are none."""
    typed = request.POST
    if request.method != "POST" or _is_secret(typed):
        return format_html_join("", "", ())
    shown = [pair for pair in _pairs(typed) if pair[1].strip() and not _is_key(pair[1])]
    named = [(name.replace("_", " ").capitalize(), value) for name, value in shown]
    return format_html_join("\n", _COPY, named)


def _is_key(value: str) -> bool:
    try:
        return bool(UUID(value))
    except ValueError:
        return False


def _fields(typed: QueryDict) -> SafeString:
    seen = set(_words(typed))
    hidden = [pair for pair in _pairs(typed) if pair not in seen]
    return format_html(
        "{}\n{}",
        format_html_join("\n", _TEXT, _words(typed)),
        format_html_join("\n", _HIDDEN, hidden),
    )


def _pairs(typed: QueryDict) -> list[tuple[str, str]]:
    return [
        (name, str(value))
        for name, values in typed.lists()
        if name != "csrfmiddlewaretoken"
        for value in values
    ]


def _words(typed: QueryDict) -> list[tuple[str, str]]:
    """Return the fields that hold words of a person, not keys of the program."""
    return [pair for pair in _pairs(typed) if len(pair[1].split()) > 1]


def _is_secret(typed: QueryDict) -> bool:
    return any(is_secret(name) for name in typed)


def is_secret(name: str) -> bool:
    """Return whether what is typed under this name must be in no page."""
    return "password" in name.lower() or name in {"pin", "pin_again"}
