"""Sentences of the house on a client's page, in the language of the page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import template
from django.utils.html import format_html

from bookings.sheets.client_phrases import said_in

register = template.Library()


@register.simple_tag(takes_context=True)
def say(context: Mapping[str, Any], sentence: object) -> str:
    """A rule, an instalment or a line of a price: `{% say step.rule %}`."""
    return said_in(context.get("page_language", "en"), str(sentence))


@register.simple_tag(takes_context=True)
def word(context: Mapping[str, Any], start: str, key: object) -> str:
    """The page's word for a state: `{% word "state_" booking.status %}`."""
    return str(context["w"][f"{start}{key}".replace(" ", "_")])


@register.simple_tag(takes_context=True)
def put(context: Mapping[str, Any], key: str, **values: object) -> str:
    """The page's words with names put in: `{% put "title" name=client.given_name %}`."""
    return format_html(str(context["w"][key]), **values)
