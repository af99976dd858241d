"""A person who fills in forms as they were sent, without a browser."""

from html.parser import HTMLParser
from urllib.parse import urljoin

from django.urls import reverse


class _Forms(HTMLParser):
    """Collects each posted form: where it goes and what it already holds."""

    def __init__(self, page):
        super().__init__()
        self.forms = []
        self._inside = self._select = self._area = None
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        at = dict(attrs)
        if tag == "form" and at.get("method", "get").lower() == "post":
            action = at.get("action") or ""
            self._inside = {"action": action, "fields": {}, "buttons": set()}
            self.forms.append(self._inside)
        elif self._inside is not None and at.get("name") and tag == "button":
            self._inside["buttons"].add(at["name"])
        elif self._inside is not None and at.get("name"):
            self._take(tag, at)
        elif tag == "option" and self._select:
            self._choose(at)

    def _take(self, tag, at):
        values = self._inside["fields"].setdefault(at["name"], [])
        if tag == "select":
            self._select = at["name"]
        elif tag == "textarea":
            self._area = at["name"]
            values.append("")
        elif at.get("type") in {"radio", "checkbox"}:
            values += [at.get("value", "on")] if "checked" in at else []
        elif at.get("type") not in {"file", "submit"}:
            values.append(at.get("value", ""))

    def _choose(self, at):
        # Like a browser: the first option, unless another one is selected.
        fields = self._inside["fields"]
        if "selected" in at or not fields[self._select]:
            fields[self._select] = [at.get("value", "")]

    def handle_data(self, data):
        if self._area:
            self._inside["fields"][self._area][-1] += data

    def handle_endtag(self, tag):
        if tag == "form":
            self._inside = None
        elif tag == "select":
            self._select = None
        elif tag == "textarea":
            self._area = None


class Walker:
    """One signed-in client. Knows nothing of the rows behind the pages."""

    def __init__(self, client):
        self.client = client
        self.text = ""

    def read(self, name, *args, query=""):
        """Open a page by its name and keep its text."""
        answer = self.client.get(reverse(name, args=args) + query)
        assert answer.status_code == 200, (name, answer.status_code)
        self.text = answer.content.decode()
        return self.text

    def fill(self, name, /, *args, query="", **typed):
        """Fill in the form of a page and send it; follow where it leads.

        Hidden fields and what already stands there are sent as a browser would.
        """
        self.read(name, *args, query=query)
        address = reverse(name, args=args) + query
        forms = [f for f in _Forms(self.text).forms if _is_own(f, address)]
        held = [sorted(form["fields"]) for form in forms]
        form = next((f for f in forms if set(typed) <= _names(f)), None)
        assert form, (name, sorted(typed), held)
        return self._send(address, form["fields"] | typed)

    def press(self, name, *args, on):
        """Press the button on the page ``on`` that posts to another address."""
        self.read(*on)
        address = reverse(name, args=args)
        forms = {form["action"]: form for form in _Forms(self.text).forms}
        assert address in forms, (address, sorted(forms))
        return self._send(address, forms[address]["fields"])

    def _send(self, address, fields):
        answer = self.client.post(address, fields)
        assert answer.status_code == 302, (
            address,
            answer.status_code,
            _errors(answer),
        )
        self.text = self.client.get(answer.url).content.decode()
        return answer.url


def _names(form):
    """Return what the form may send: its fields, and the buttons with a name."""
    return {*form["fields"], *form["buttons"]}


def _is_own(form, address):
    return urljoin(address, form["action"] or address) in {
        address,
        address.partition("?")[0],
    }


def _errors(answer):
    form = answer.context and answer.context.get("form")
    return dict(form.errors) if form is not None else answer.content.decode()[-2000:]
