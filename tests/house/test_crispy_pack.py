"""Every layout object and every kind of field comes out whole in the dock pack."""

import ast
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from crispy_forms import bootstrap, layout
from crispy_forms.helper import FormHelper
from crispy_forms.utils import render_crispy_form
from django import forms
from django.template import Context, Template
from django.utils.html import format_html

from inventory.forms.core.layout import Folded

FACES = ["side-1", "side-2", "side-3", "side-4", "top", "base", "inside"]
VOID = {"input", "br", "hr", "img", "meta", "link", "path", "rect", "line", "circle"}
TAPS = {"input", "select", "textarea"}


class Page(HTMLParser):
    """What a browser would find: tags with their attributes, and whether they close."""

    def __init__(self, html):
        super().__init__()
        self.tags = []
        self.open = []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert self.open, f"</{tag}> closes nothing"
        assert self.open.pop() == tag

    def ids(self):
        return [attrs["id"] for _, attrs in self.tags if "id" in attrs]

    def find(self, tag, **wanted):
        return [a for t, a in self.tags if t == tag and wanted.items() <= a.items()]


class Everything(forms.Form):
    """One field of each kind that a page here may use."""

    text = forms.CharField(label="PRO number", help_text="On the freight bill.")
    words = forms.CharField(widget=forms.Textarea, help_text="A few.")
    count = forms.IntegerField(widget=forms.TextInput)
    secret = forms.CharField(widget=forms.PasswordInput)
    day = forms.DateField(help_text="Such as 2026-11-25.")
    moment = forms.SplitDateTimeField(help_text="Day, then time.")
    one = forms.ChoiceField(choices=[("a", "Clear"), ("b", "Exception")])
    radio = forms.ChoiceField(
        choices=[("a", "Clear"), ("b", "Exception")],
        widget=forms.RadioSelect,
        help_text="Choose.",
    )
    grouped = forms.ChoiceField(
        choices=[("Boards", [("x", "broken")]), ("Wrap", [("y", "torn")])],
        widget=forms.RadioSelect,
    )
    many = forms.MultipleChoiceField(
        choices=[("a", "Wet"), ("b", "Crushed")], widget=forms.CheckboxSelectMultiple
    )
    where = forms.MultipleChoiceField(
        choices=[(face, face) for face in [*FACES, "all over"]],
        widget=forms.CheckboxSelectMultiple,
        help_text="Tap the crate.",
    )
    yes = forms.BooleanField(label="Driver would not wait", help_text="Say so.")
    maybe = forms.NullBooleanField(required=False)
    photo = forms.FileField(help_text="The load, before anything moves.")
    picture = forms.FileField(widget=forms.ClearableFileInput, required=False)
    hidden = forms.IntegerField(widget=forms.HiddenInput)


NAMES = list(Everything.base_fields)


def draw(*parts, form=None, **helper):
    form = form or Everything()
    form.helper = FormHelper()
    form.helper.layout = layout.Layout(*parts)
    for name, value in helper.items():
        setattr(form.helper, name, value)
    html = render_crispy_form(form)
    return html, Page(html)


def wrong():
    return Everything({"text": "", "hidden": "not a number"})


LAYOUTS = {
    "bare": lambda n: n,
    "Field": lambda n: layout.Field(n, css_class="ident", data_x="1"),
    "Row": lambda n: layout.Row(n, css_id="box"),
    "Fieldset": lambda n: layout.Fieldset("What the bill says", n, css_id="box"),
}


@pytest.mark.one_in(3)
@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("kind", LAYOUTS)
@pytest.mark.parametrize("bound", [False, True])
def test_a_field_in_a_layout_is_whole(kind, name, bound):
    html, page = draw(LAYOUTS[kind](name), form=wrong() if bound else Everything())

    assert page.open == []
    assert len(page.ids()) == len(set(page.ids()))
    assert_told_apart(page)
    assert_nothing_inline(html)
    assert re.search(rf'name="{name}(_\d)?"', html)


def assert_told_apart(page):
    ids = set(page.ids())
    for tag, attrs in page.tags:
        assert set(attrs.get("aria-describedby", "").split()) <= ids, (tag, attrs)
        assert set(attrs.get("aria-labelledby", "").split()) <= ids, (tag, attrs)
        if tag == "label":
            assert attrs["for"] in ids
        if attrs.get("href", "").startswith("#"):
            assert attrs["href"][1:] in ids


def assert_nothing_inline(html):
    assert not re.search(r"\sstyle=|\son\w+=|<script|<style", html)


@pytest.mark.parametrize("name", [n for n in NAMES if n != "hidden"])
def test_every_box_has_a_label_or_a_legend(name):
    _, page = draw(name)

    labelled = {attrs["for"] for attrs in page.find("label")}
    boxes = [a for t, a in page.tags if t in TAPS and a.get("type") != "hidden"]
    assert all(box["id"] in labelled or "aria-label" in box for box in boxes)
    assert boxes


@pytest.mark.parametrize(
    "name", [n for n in NAMES if n not in {"maybe", "picture", "hidden"}]
)
def test_an_error_stands_at_the_top_and_beside_the_field_and_is_named_by_it(name):
    html, page = draw(name, form=wrong())

    [summary] = [a for _, a in page.tags if "data-takes-focus" in a]
    assert summary["tabindex"] == "-1"
    assert "There is a problem" in html
    assert f'id="id_{name}_error"' in html
    named = [
        a for _, a in page.tags if f"id_{name}_error" in a.get("aria-describedby", "")
    ]
    assert named


def test_a_hidden_fields_error_is_told_in_the_summary():
    html, _ = draw("text", "hidden", form=wrong())

    assert "Enter a whole number." in html


def test_a_boxs_error_marks_it_invalid():
    _, page = draw("text", form=wrong())

    assert page.find("input", name="text")[0]["aria-invalid"] == "true"


def test_the_summary_links_only_to_what_is_on_the_page():
    html, page = draw("text", form=wrong())

    assert [a["href"] for a in page.find("a")] == ["#id_text"]
    assert "<strong>Secret: This field is required.</strong>" in html


def test_each_box_of_several_is_named():
    _, page = draw("moment")

    assert [a["aria-label"] for a in page.find("input", type="text")] == [
        "Moment, date",
        "Moment, time",
    ]


def test_form_show_errors_off_leaves_no_dangling_description():
    html, page = draw("text", "radio", form=wrong(), form_show_errors=False)

    assert "There is a problem" not in html
    assert_told_apart(page)


def test_labels_switched_off_stay_for_those_who_listen():
    _, page = draw("text", form_show_labels=False)

    assert page.find("label")[0]["class"] == "visually-hidden"


def test_what_may_be_left_out_says_so_and_only_that():
    html, _ = draw("text", "maybe")

    assert html.count("(optional)") == 1


def test_a_choice_is_one_row_that_can_be_tapped():
    _, page = draw("radio", "many", "yes")

    assert len(page.find("label", **{"class": "choice"})) == 5


def test_the_chosen_come_back_chosen():
    _, page = draw(
        "radio",
        "many",
        "where",
        form=Everything({"radio": "b", "many": ["a", "b"], "where": ["side-3"]}),
    )

    checked = [
        (a["name"], a["value"]) for t, a in page.tags if t == "input" and "checked" in a
    ]
    assert checked == [
        ("radio", "b"),
        ("many", "a"),
        ("many", "b"),
        ("where", "side-3"),
    ]


def test_groups_of_choices_keep_their_names():
    html, _ = draw("grouped")

    assert "Boards" in html
    assert "Wrap" in html


@pytest.mark.parametrize("bound", [False, True])
def test_the_crate_is_a_field_of_real_boxes(bound):
    html, page = draw(
        layout.Field("where", template="dock/layout/crate_faces.html"),
        form=wrong() if bound else Everything(),
    )

    boxes = page.find("input", type="checkbox", name="where")
    assert {box["value"] for box in boxes} == {*FACES, "all over"}
    assert len([a for a in page.find("label") if a["class"].startswith("face ")]) == 7
    assert page.open == []
    assert_told_apart(page)
    assert_nothing_inline(html)


def test_one_face_only_is_a_field_of_radios():
    class One(forms.Form):
        where = forms.ChoiceField(
            choices=[(f, f) for f in FACES], widget=forms.RadioSelect
        )

    _, page = draw(
        layout.Field("where", template="dock/layout/crate_faces.html"),
        form=One({"where": "top"}),
    )

    assert len(page.find("input", type="radio")) == 7
    assert [a["value"] for a in page.find("input") if "checked" in a] == ["top"]


@pytest.mark.parametrize(
    ("made", "kind"),
    [(layout.Submit, "submit"), (layout.Button, "button"), (layout.Reset, "reset")],
)
def test_buttons_say_their_act_and_send_their_name(made, kind):
    html, page = draw(made("sign", "Sign the receipt", data_x="1"))

    [button] = page.find("button")
    assert (button["type"], button["name"], button["value"]) == (
        kind,
        "sign",
        "Sign the receipt",
    )
    assert ">Sign the receipt</button>" in html


def test_a_hidden_input_stays_hidden():
    _, page = draw(layout.Hidden("version", "7"))

    assert page.find("input", type="hidden", name="version", value="7")


def test_a_second_act_may_be_added_by_the_helper():
    form = Everything()
    form.helper = FormHelper(form)
    form.helper.add_input(layout.Submit("go", "Record it"))
    html = render_crispy_form(form)

    assert ">Record it</button>" in html
    assert Page(html).open == []


def test_a_form_with_files_is_sent_as_parts_and_judged_by_the_server():
    _, page = draw("photo")

    [form] = page.find("form")
    assert form["enctype"] == "multipart/form-data"
    assert form["method"] == "post"
    assert "novalidate" in form


def test_a_form_without_a_tag_leaves_the_tag_to_the_page():
    _, page = draw("text", form_tag=False)

    assert page.find("form") == []


@pytest.mark.parametrize(
    "template",
    [
        "{{ form|crispy }}",
        "{{ form|as_crispy_errors }}",
        "{{ form.text|as_crispy_field }}",
    ],
)
def test_the_filters_work_too(template):
    html = Template("{% load crispy_forms_tags %}" + template).render(
        Context({"form": wrong()})
    )

    assert "This field is required." in html
    assert Page(html).open == []


class Line(forms.Form):
    """A line of a formset."""

    text = forms.CharField(help_text="A part.")
    kind = forms.ChoiceField(choices=[("a", "A")], widget=forms.RadioSelect)
    row = forms.IntegerField(widget=forms.HiddenInput, required=False)


def lines():
    made = forms.formset_factory(Line, extra=0, min_num=1, validate_min=True)
    return made(
        {
            "form-TOTAL_FORMS": "2",
            "form-INITIAL_FORMS": "0",
            "form-0-text": "",
            "form-1-text": "x",
            "form-1-kind": "a",
        }
    )


@pytest.mark.parametrize("with_layout", [False, True])
def test_a_formset_is_whole(with_layout):
    helper = FormHelper()
    if with_layout:
        helper.layout = layout.Layout("text", "kind")
    html = render_crispy_form(lines(), helper)

    page = Page(html)
    assert page.open == []
    assert len(page.ids()) == len(set(page.ids()))
    assert_told_apart(page)
    assert 'name="form-TOTAL_FORMS"' in html
    assert 'name="form-0-text"' in html
    assert 'name="form-1-row"' in html
    assert "This field is required." in html


def test_a_formset_by_filter_tells_its_own_problem():
    made = forms.formset_factory(Line, extra=0, min_num=1, validate_min=True)
    none = made({"form-TOTAL_FORMS": "0", "form-INITIAL_FORMS": "0"})
    html = Template(
        "{% load crispy_forms_tags %}{{ lines|crispy }}{{ lines|as_crispy_errors }}"
    ).render(Context({"lines": none}))

    assert html.count("Please submit at least 1 form.") == 2


class Seldom(forms.Form):
    """A field that each form needs, and two folded groups."""

    carrier = forms.CharField()
    seal = forms.CharField(required=False)
    crates = forms.IntegerField(required=False, widget=forms.TextInput)

    helper = FormHelper()
    helper.layout = layout.Layout(
        "carrier", Folded("Seal", "seal"), Folded("Crates differ", "crates")
    )


@pytest.mark.parametrize(
    ("data", "stand_open"),
    [
        (None, [False, False]),
        ({}, [False, False]),  # the miss is elsewhere
        ({"seal": "4471"}, [True, False]),
        ({"carrier": "Gannet", "crates": "two"}, [False, True]),
    ],
)
def test_a_fold_opens_for_what_is_wrong_or_filled_in_it_alone(data, stand_open):
    page = Page(render_crispy_form(Seldom(data)))

    assert ["open" in fold for fold in page.find("details")] == stand_open


class Hinted(forms.Form):
    """A hint of plain words, and the list Django makes for a new password."""

    plain = forms.CharField(help_text="Under 2 <in>.")
    listed = forms.CharField(help_text=format_html("<ul><li>{}</li></ul>", "Long"))


def test_a_hint_is_escaped_unless_it_was_built_as_markup():
    html, _ = draw("plain", "listed", form=Hinted())

    assert "Under 2 &lt;in&gt;." in html
    assert "<ul><li>Long</li></ul>" in html


ROOT = Path(__file__).parents[2]
PACK = ROOT / "templates" / "dock"
MODULES = {"crispy_forms.layout": layout, "crispy_forms.bootstrap": bootstrap}
INCLUDED = re.compile(r'"dock/([a-z_/-]+[.]html)"')
# Crispy asks for these by name: a form or a formset, by tag and by filter.
ASKED_FOR = {
    "field.html",
    "uni_form.html",
    "uni_formset.html",
    "whole_uni_form.html",
    "whole_uni_formset.html",
    "errors.html",
    "errors_formset.html",
}


def named_in_forms():
    """Return the templates of the layout objects and fields that our forms name."""
    for path in (*ROOT.glob("inventory/**/*.py"), *ROOT.glob("claims/**/*.py")):
        source = path.read_text(encoding="utf-8")
        yield from INCLUDED.findall(source)
        for node in ast.walk(ast.parse(source)):
            if isinstance(node, ast.ImportFrom) and node.module in MODULES:
                for alias in node.names:
                    made = getattr(MODULES[node.module], alias.name)
                    yield getattr(made, "template", "").removeprefix("%s/")


@pytest.mark.slow
def test_the_pack_holds_what_our_forms_reach_and_no_more():
    picker = ROOT / "templates" / "parts" / "crate_picker.html"
    wanted = {*ASKED_FOR, *named_in_forms(), *INCLUDED.findall(picker.read_text())}
    reached = set()
    while wanted:
        name = wanted.pop()
        if name not in reached and (PACK / name).is_file():
            reached.add(name)
            wanted |= set(INCLUDED.findall((PACK / name).read_text()))

    assert {str(path.relative_to(PACK)) for path in PACK.rglob("*.html")} == reached
