"""The forms of messages: words, rules, quiet hours, a test, an answer."""

from __future__ import annotations

from typing import Any

from crispy_forms.layout import Layout
from django import forms
from django.http import QueryDict

from bookings.forms.layout import PlainForm, framed
from bookings.queries.messages import When

_DAY_H = 24


class _PicturesInput(forms.ClearableFileInput):
    allow_multiple_selected = True


class PicturesField(forms.FileField):
    """Several files at once."""

    widget = _PicturesInput(attrs={"accept": "image/*"})

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        many = data if isinstance(data, list) else [data] if data else []
        return [super(PicturesField, self).clean(one, initial) for one in many]


class WordsForm(PlainForm):
    """Subject and text, with named fields in curly brackets."""

    subject = forms.CharField(max_length=200)
    body = forms.CharField(
        label="Text", max_length=5000, strip=False, widget=forms.Textarea(attrs={"rows": 16})
    )


class HandForm(WordsForm):
    """Words looked at before they go out; `once` keeps a second press from sending again."""

    reason = forms.CharField(
        label="Why, in your words",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Stands where the text says {reason}.",
    )
    once = forms.UUIDField(widget=forms.HiddenInput)
    field_order = ["reason", "subject", "body", "once"]


class ThanksForm(HandForm):
    """With what was caught and pictures of the day. Pictures are chosen last: a browser does not
    keep them through a look."""

    catch = forms.CharField(
        label="What was caught, one line each",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Stands where the text says {catch}. Empty: what the log of the day holds, in "
        "the language of each party.",
    )
    photos = PicturesField(
        label="Pictures of the day",
        required=False,
        help_text="Up to six, to everybody; only of people who agreed. Choose them right before "
        "you send.",
    )
    reason = None  # type: ignore[assignment]  # a day fished needs no why
    field_order = ["catch", "subject", "body", "photos", "once"]


class StatementForm(HandForm):
    """The words around a statement of account."""

    reason = None  # type: ignore[assignment]  # the account speaks for itself


class ReminderForm(HandForm):
    """The words that ask for late money."""

    reason = None  # type: ignore[assignment]  # the papers speak for themselves


class PriceNoteForm(HandForm):
    """The words around a price note."""

    reason = None  # type: ignore[assignment]  # the price speaks for itself


class ComingForm(PlainForm):
    """Whether somebody comes, with a word beside it."""

    answer = forms.ChoiceField(
        choices=[("ACCEPTED", "yes"), ("TENTATIVE", "not sure"), ("DECLINED", "no")],
        error_messages={"required": "Say yes, no or not sure."},
    )
    comment = forms.CharField(required=False, max_length=300)


class RuleForm(PlainForm):
    """Whether a kind goes out by itself, and when."""

    automatic = forms.BooleanField(label="Goes out by itself", required=False)
    hours = forms.IntegerField(label="Hours", min_value=0, max_value=1440)

    def wish(self) -> dict[str, Any]:
        """As the action takes it, in hours."""
        return self.cleaned_data


class ReminderRuleForm(PlainForm):
    """When late money is asked for, and how often, counted in days."""

    automatic = forms.BooleanField(label="Goes out by itself", required=False)
    days = forms.IntegerField(label="Days after it was due and billed", min_value=1, max_value=60)
    again_days = forms.IntegerField(label="Then every so many days", min_value=1, max_value=60)
    most = forms.IntegerField(label="Times at most", min_value=1, max_value=10)

    def wish(self) -> dict[str, Any]:
        """As the action takes it, in hours."""
        wish = self.cleaned_data
        return {
            "automatic": wish["automatic"],
            "hours": wish["days"] * _DAY_H,
            "again_hours": wish["again_days"] * _DAY_H,
            "most": wish["most"],
        }


def rule_form(rule: When, sent: QueryDict | None) -> RuleForm | ReminderRuleForm:
    """The form of a rule as it stands."""
    if not rule.repeats:
        return RuleForm(sent, initial={"automatic": rule.automatic, "hours": rule.hours})
    days = {"days": rule.hours // _DAY_H, "again_days": rule.again_hours // _DAY_H or 7}
    now = {"automatic": rule.automatic, "most": rule.most}
    return ReminderRuleForm(sent, initial=days | now)


class QuietForm(PlainForm):
    quiet_from = forms.TimeField(
        label="Quiet from", widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
    )
    quiet_until = forms.TimeField(
        label="Quiet until",
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        help_text="Go, hold, call off and overdue are told at any hour.",
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.helper = framed(Layout("quiet_from", "quiet_until"), "Save")


class TestMailForm(PlainForm):
    address = forms.EmailField(
        label="Send a test to", help_text="Sent now, with a real connection."
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.helper = framed(Layout("address"), "Send it now")


class AnswerForm(PlainForm):
    """A mail that answers an invitation, as its source."""

    mail = forms.CharField(
        label="The whole mail, as its source",
        max_length=200_000,
        widget=forms.Textarea(attrs={"rows": 12}),
        help_text="In the mail program: show source, copy all of it.",
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.helper = framed(Layout("mail"), "Read the answer")
