"""The form pack: every kind of field, its problems, its help and its units, said to everybody."""

from __future__ import annotations

import pytest
from crispy_forms.bootstrap import (
    Accordion,
    AccordionGroup,
    Alert,
    AppendedText,
    FieldWithButtons,
    FormActions,
    InlineCheckboxes,
    InlineField,
    InlineRadios,
    Modal,
    PrependedAppendedText,
    PrependedText,
    StrictButton,
    Tab,
    TabHolder,
    UneditableField,
)
from crispy_forms.helper import FormHelper
from crispy_forms.layout import (
    HTML,
    Button,
    ButtonHolder,
    Column,
    Div,
    Field,
    Fieldset,
    Hidden,
    Layout,
    MultiField,
    Reset,
    Row,
    Submit,
)
from django import forms
from django.core.files.uploadedfile import SimpleUploadedFile
from django.template import Context, Template
from django.test import RequestFactory
from django.utils.safestring import mark_safe

from tests.look.markup import elements, every, one

HOSTILE = "<script>alert('x')</script>\"&"
REACHES = [("", "–"), ("near", "near"), ("Far <out>", [("f", "far & away"), ("g", "beyond")])]


class Everything(forms.Form):
    """One field of each kind that the library of forms has."""

    text = forms.CharField(label="Name", help_text="As on the licence.")
    mail = forms.EmailField(widget=forms.EmailInput(attrs={"autocomplete": "email"}))
    site = forms.URLField(required=False, assume_scheme="https")
    secret = forms.CharField(widget=forms.PasswordInput)
    whole = forms.IntegerField(min_value=1, max_value=8, label="Rods")
    money = forms.DecimalField(widget=forms.TextInput(attrs={"inputmode": "decimal"}))
    day = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}))
    at = forms.TimeField()
    moment = forms.SplitDateTimeField(label="Meets at")
    length = forms.DurationField(required=False)
    born = forms.DateField(widget=forms.SelectDateWidget(years=range(1930, 2020)), label="Born")
    one_of = forms.ChoiceField(choices=REACHES, label="Reach")
    several_of = forms.MultipleChoiceField(choices=[("a", "dawn"), ("b", "dusk")], label="Lights")
    radio = forms.ChoiceField(
        choices=REACHES, widget=forms.RadioSelect, label="Priced", help_text="One of them."
    )
    ticks = forms.MultipleChoiceField(
        choices=[("r", "rods"), ("w", "waders")],
        widget=forms.CheckboxSelectMultiple,
        label="Brings",
    )
    yes = forms.BooleanField(label="May swim", help_text="At least 50 m.")
    maybe = forms.NullBooleanField(required=False)
    notes = forms.CharField(widget=forms.Textarea, required=False)
    file = forms.FileField(required=False)
    picture = forms.FileField(required=False, widget=forms.ClearableFileInput)
    hidden = forms.CharField(widget=forms.HiddenInput)


def crispy(form: forms.BaseForm, helper: FormHelper | None = None) -> str:
    request = RequestFactory().get("/")
    if helper is None:  # a helper without a layout is as long as nothing, and so is false
        helper = FormHelper()
    context = Context({"form": form, "helper": helper, "csrf_token": "T0KEN", "request": request})
    return Template("{% load crispy_forms_tags %}{% crispy form helper %}").render(context)


def laid(form: forms.BaseForm, *layout: object) -> str:
    helper = FormHelper()
    helper.layout = Layout(*layout)
    return crispy(form, helper)


def described(html: str, identity: str) -> list[str]:
    """The words that a screen reader adds to one control, in order."""
    control = next(e for e in elements(html) if e.attrs.get("id") == identity)
    by_id = {e.attrs["id"]: e.text for e in elements(html) if "id" in e.attrs}
    return [by_id[part] for part in (control.attrs.get("aria-describedby") or "").split()]


def bound(**data: object) -> Everything:
    return Everything(data={"text": HOSTILE, "mail": "nora@", "radio": "no", **data})


@pytest.mark.parametrize("form", [Everything(), bound()], ids=["empty", "refused"])
def test_every_control_has_a_name_one_id_and_what_it_points_to(form: forms.Form) -> None:
    html = crispy(form)
    found = elements(html)
    ids = [e.attrs["id"] for e in found if e.attrs.get("id")]
    assert len(ids) == len(set(ids))
    for element in found:
        for part in (element.attrs.get("aria-describedby") or "").split():
            assert part in ids
        if element.tag == "label":
            assert element.attrs.get("for") in ids
    named = {e.attrs["for"] for e in found if e.tag == "label"}
    grouped = set()
    for group in ("moment", "born"):  # several boxes under one legend
        grouped |= {i for i in ids if i.startswith(f"id_{group}_")}
    for control in (e for e in found if e.tag in {"input", "select", "textarea"}):
        if control.attrs.get("type") != "hidden":
            assert control.attrs["id"] in named | grouped, control
    assert {e.attrs["name"] for e in found if "name" in e.attrs} >= {
        *(set(form.fields) - {"moment", "born"}), "moment_0", "moment_1", "born_day", "born_year",
    }  # fmt: skip


def test_choices_stand_under_a_legend() -> None:
    html = crispy(Everything())
    assert [e.text for e in every(html, "legend")] == [
        "Meets at required", "Born required", "Priced required", "Brings required",
    ]  # fmt: skip
    radios = every(html, "input", type="radio", name="radio")
    assert [e.attrs.get("value") for e in radios] == ["", "near", "f", "g"]
    assert "far & away" in [e.text for e in every(html, "label")]
    assert "Far <out>" in [e.text for e in every(html, "p")]


def test_what_was_typed_stays_and_stays_text() -> None:
    html = crispy(bound(notes="</textarea><b>x", one_of="near", ticks=["w"], yes="on", whole="99"))
    assert "<script>alert" not in html
    assert one(html, "input", name="text").attrs["value"] == HOSTILE
    assert one(html, "textarea", name="notes").text == "</textarea><b>x"
    assert "selected" in one(html, "option", value="near").attrs
    assert one(html, "input", value="w").attrs.keys() >= {"checked"}
    assert "checked" not in one(html, "input", value="r").attrs
    assert "checked" in one(html, "input", name="yes").attrs
    assert one(html, "input", name="whole").attrs["value"] == "99"
    assert "value" not in one(html, "input", name="secret").attrs


def test_required_is_said_in_words_and_to_machines() -> None:
    html = crispy(Everything())
    labels = {e.attrs["for"]: e.text for e in every(html, "label")}
    assert labels["id_text"] == "Name required"
    assert labels["id_notes"] == "Notes"
    assert "required" in one(html, "input", name="text").attrs


def test_in_a_formset_required_reaches_machines_too() -> None:
    class Line(forms.Form):
        what = forms.CharField()

    html = crispy(forms.formset_factory(Line)())
    control = one(html, "input", name="form-0-what")
    assert "required" not in control.attrs  # an empty spare line must not hold the browser back
    assert control.attrs["aria-required"] == "true"


def test_help_and_problem_belong_to_their_control() -> None:
    html = crispy(bound(text=""))
    assert described(html, "id_text") == ["As on the licence.", "This field is required."]
    assert described(html, "id_yes") == ["At least 50 m.", "This field is required."]
    assert described(html, "div_id_radio") == [
        "One of them.",
        "Select a valid choice. no is not one of the available choices.",
    ]
    assert one(html, "input", name="text").attrs["aria-invalid"] == "true"
    assert "aria-invalid" not in one(html, "textarea", name="notes").attrs
    assert described(crispy(Everything()), "id_text") == ["As on the licence."]


def test_the_list_of_problems_leads_to_each_control() -> None:
    form = bound(text="")
    form.add_error(None, "The trip ends before it begins. Put a later end.")
    html = crispy(form)
    box = one(html, "div", class_="problems")
    assert box.attrs["role"] == "alert"
    items = [e.text for e in every(html, "li")]
    assert items[0] == "The trip ends before it begins. Put a later end."
    assert "Name: This field is required." in items
    assert len(items) == sum(len(errors) for errors in form.errors.values())
    heading = one(html, "h2").text
    assert heading == f"{len(items)} things to put right"
    targets = {e.attrs["href"][1:] for e in every(html, "a")}
    boxes = {"input", "select", "textarea"}
    assert targets <= {e.attrs.get("id") for e in elements(html) if e.tag in boxes}
    assert {"id_radio_0", "id_ticks_0", "id_moment_0"} <= targets


def test_the_list_of_problems_goes_down_the_page() -> None:
    """It went by the order in which the form's class names its fields."""
    html = laid(
        Everything(data={}),
        Fieldset("Last first", Row(Column("whole"), Column("mail")), "radio"),
        "text",
    )
    targets = [each.attrs["href"] for each in every(html, "a")]
    first = ["#id_whole", "#id_mail", "#id_radio_0", "#id_text"]
    assert targets[:4] == first
    places = [html.index(f'id="{each[1:]}"') for each in first]
    assert places == sorted(places)


def test_the_problems_of_a_hidden_field_are_not_hidden() -> None:
    html = crispy(Everything(data={}))
    assert "This field is required." in [e.text for e in every(html, "li")]
    assert not every(html, "a", href="#id_hidden")


def test_an_empty_form_lists_no_problems() -> None:
    assert not every(crispy(Everything()), "div", class_="problems")
    assert not every(crispy(Everything()), "p", class_="problem")


def test_problems_and_labels_are_escaped_but_safe_help_is_kept() -> None:
    class Sly(forms.Form):
        name = forms.CharField(label="<u>Name</u>", help_text="1 < 2", max_length=3)
        other = forms.CharField(help_text=mark_safe("<em>must</em>"))

        def clean_name(self) -> str:
            raise forms.ValidationError(f"No: {HOSTILE}")

    html = crispy(Sly(data={"name": "abc"}))
    assert "<u>" not in html
    assert "<script>" not in html
    assert "1 &lt; 2" in html
    assert one(html, "em").text == "must"


def test_attributes_of_a_widget_arrive() -> None:
    html = crispy(Everything())
    assert one(html, "input", name="mail").attrs["autocomplete"] == "email"
    assert one(html, "input", name="money").attrs["inputmode"] == "decimal"
    assert one(html, "input", name="day").attrs["type"] == "date"
    assert one(html, "input", name="whole").attrs["max"] == "8"


def test_no_placeholder_stands_in_for_a_label() -> None:
    class Sign(forms.Form):
        mail = forms.CharField(
            label="Email", widget=forms.TextInput(attrs={"placeholder": "Email address"})
        )
        reach = forms.CharField(widget=forms.TextInput(attrs={"placeholder": "300 m"}))

    html = crispy(Sign())
    assert "placeholder" not in one(html, "input", name="mail").attrs
    assert one(html, "input", name="reach").attrs["placeholder"] == "300 m"


def test_a_form_sends_itself_with_its_token() -> None:
    helper = FormHelper()
    helper.form_class, helper.form_id, helper.form_action = "form wide", "offer", "/offers/"
    helper.add_input(Submit("save", "Keep it"))
    html = crispy(Everything(), helper)
    form = one(html, "form")
    assert form.attrs == {
        "class": "form wide", "id": "offer", "action": "/offers/", "method": "post",
        "enctype": "multipart/form-data",
    }  # fmt: skip
    assert one(html, "input", name="csrfmiddlewaretoken").attrs["value"] == "T0KEN"
    assert one(html, "input", type="submit").attrs["value"] == "Keep it"
    helper.form_method = "get"
    assert not every(crispy(Everything(), helper), "input", name="csrfmiddlewaretoken")
    helper.form_tag = False
    assert not every(crispy(Everything(), helper), "form")


@pytest.mark.parametrize("form", [Everything(), bound(text="", money="x", ticks="?")])
def test_units_stand_beside_the_box_and_are_read_out(form: forms.Form) -> None:
    html = laid(
        form,
        AppendedText("text", "m"),
        PrependedText("money", "€"),
        PrependedAppendedText("whole", "about", "rods"),
    )
    assert described(html, "id_text")[:2] == ["m", "As on the licence."]
    assert described(html, "id_money")[0] == "€"
    assert described(html, "id_whole")[:2] == ["about", "rods"]
    assert len(described(html, "id_text")) == (3 if form.is_bound else 2)
    assert len(every(html, "span", class_="unit")) == 4


def test_a_unit_of_one_field_does_not_reach_the_next() -> None:
    html = laid(Everything(), AppendedText("text", "m"), "money", Row(Field("mail")))
    assert len(every(html, "span", class_="unit")) == 1


def test_the_layout_objects_hold_their_fields() -> None:
    html = laid(
        Everything(),
        HTML("<p>{{ 1|add:1 }}</p>"),
        Fieldset("Who", "text", css_class="tight", css_id="who", data_x="<1>"),
        Row(Column("mail", css_class="wide"), Column("site"), css_id="row"),
        Div("whole", css_class="box", css_id="box"),
        MultiField("Both", "money", "day", help_text="Two."),
        InlineRadios("radio"),
        InlineCheckboxes("ticks"),
        InlineField("at"),
        FieldWithButtons("notes", StrictButton("Look <b>up</b>", css_class="btn-quiet")),
        ButtonHolder(Submit("save", "Keep"), Reset("undo", "As it was")),
        FormActions(Button("again", "Count again"), Hidden("kind", '"day"')),
    )
    assert one(html, "fieldset", id="who").attrs["class"].split() == ["fieldset", "tight"]
    assert one(html, "fieldset", id="who").attrs["data-x"] == "<1>"
    assert one(html, "div", id="row").attrs["class"] == "row"
    assert len(every(html, "div", class_="column")) == 2
    assert one(html, "div", id="box").attrs["class"] == "box"
    assert "Both" in [e.text for e in every(html, "legend")]
    assert len(every(html, "div", class_="ticks-inline")) == 2
    assert one(html, "label", for_="id_at").attrs["class"] == "visually-hidden"
    assert one(html, "button").attrs["type"] == "button"
    assert one(html, "b").text == "up"
    assert len(every(html, "div", class_="actions")) == 2
    assert one(html, "input", name="kind").attrs["value"] == '"day"'
    assert [e.attrs["type"] for e in every(html, "input", class_="btn")] == [
        "submit", "reset", "button",
    ]  # fmt: skip


def test_folds_work_without_script_and_open_where_a_problem_is() -> None:
    html = laid(
        bound(),
        Accordion(AccordionGroup("First", "notes"), AccordionGroup("Second", "mail")),
        TabHolder(Tab("Here", "site", css_id="here"), Tab("There", "whole", css_id="there")),
        Modal("length", title="More", css_id="more"),
        Alert("Look <b>out</b>"),
        UneditableField("at"),
    )
    folds = {next(iter(e.text.split())): "open" in e.attrs for e in every(html, "details")}
    assert folds == {"First": False, "Second": True, "More": False}
    assert {e.attrs["href"] for e in every(html, "a")} >= {"#here", "#there"}
    assert one(html, "div", class_="alert").text == "Look <b>out</b>"
    assert "not known" in html  # the time that was never given


def test_a_field_says_one_sentence_when_its_value_is_known_but_fixed() -> None:
    html = laid(Everything(initial={"text": HOSTILE}), UneditableField("text"))
    assert "<script>" not in html
    assert not every(html, "input", name="text")


class Line(forms.Form):
    """One line of a list."""

    what = forms.CharField(label="What")
    amount = forms.DecimalField(label="Amount", help_text="With tax.")
    kind = forms.CharField(widget=forms.HiddenInput, required=False)


class Lines(forms.BaseFormSet):
    def clean(self) -> None:
        raise forms.ValidationError("The lines do not add up to the quote.")


@pytest.mark.parametrize("template", ["", "sandspike/table_inline_formset.html"])
def test_a_list_of_lines_says_what_is_wrong_and_where(template: str) -> None:
    data = {
        "form-TOTAL_FORMS": "2", "form-INITIAL_FORMS": "0",
        "form-0-what": "Bait", "form-0-amount": "49.50",
        "form-1-what": HOSTILE, "form-1-amount": "much",
    }  # fmt: skip
    lines = forms.formset_factory(Line, formset=Lines, extra=0)(data=data)
    helper = FormHelper()
    helper.template = template or None
    helper.add_input(Submit("save", "Keep the lines"))
    html = crispy(lines, helper)
    assert one(html, "input", name="form-TOTAL_FORMS").attrs["value"] == "2"
    assert [e.text for e in every(html, "li")] == [
        "The lines do not add up to the quote.",
        "Line 2, Amount: Enter a number.",
    ]
    assert len(every(html, "div", class_="problems")) == 1
    assert one(html, "a").attrs["href"] == "#id_form-1-amount"
    assert described(html, "id_form-1-amount") == ["With tax.", "Enter a number."]
    assert one(html, "input", name="form-1-what").attrs["value"] == HOSTILE
    assert one(html, "input", type="submit").attrs["value"] == "Keep the lines"
    assert len(every(html, "input", type="hidden", name="form-1-kind")) == 1
    if template:
        assert [e.text for e in every(html, "th")] == ["What required", "Amount required"]
        assert "Amount, line 2" in [e.text for e in every(html, "label")]


def test_the_filters_draw_the_same_fields() -> None:
    form = bound(text="")
    request = Context({"form": form})
    load = "{% load crispy_forms_filters crispy_forms_field %}"
    whole = Template(load + "{{ form|crispy }}").render(request)
    alone = Template(load + "{{ form.text|as_crispy_field }}").render(request)
    wrong = Template(load + "{{ form|as_crispy_errors }}").render(request)
    added = Template(load + '{% crispy_addon form.money append="€" %}').render(request)
    partial = Template('{% include "_field.html" with field=form.money unit="€" %}').render(request)
    assert described(alone, "id_text") == described(whole, "id_text")
    assert one(wrong, "div", class_="problems").text == one(whole, "div", class_="problems").text
    assert described(added, "id_money")[0] == described(partial, "id_money")[0] == "€"


def test_a_chosen_file_can_be_taken_off() -> None:
    stored = SimpleUploadedFile("spot.png", b"x")
    stored.url = "/files/spot.png"
    html = laid(Everything(initial={"picture": stored}), "picture")
    assert one(html, "a", href="/files/spot.png").text == "spot.png"
    assert one(html, "input", type="checkbox").attrs["name"] == "picture-clear"
