"""Pages that work whatever else is broken: no template, no database."""

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
    fields = format_html_join(
        "\n",
        '<input type="hidden" name="{}" value="{}">',
        (
            (name, value)
            for name, values in typed.lists()
            if name != "csrfmiddlewaretoken"
            for value in values
        ),
    )
    return format_html(
        _RESEND,
        action=request.get_full_path(),
        token=get_token(request),
        fields=fields,
    )


def _is_secret(typed: QueryDict) -> bool:
    return any("password" in name.lower() for name in typed)
