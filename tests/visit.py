"""A visitor of the desk: goes to pages, reads them, fills in their forms and sends them.

Forms are read from the page itself, with what the page put in them, so a test says only what a
person would type.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any
from urllib.parse import urljoin

from django.test import Client

_VOID = {"input", "br", "hr", "img", "link", "meta", "path", "circle", "line", "rect"}


@dataclass(slots=True)
class Form:
    """A form of a page: where it goes, what stands in it, and the words on its buttons."""

    action: str
    method: str
    values: dict[str, Any] = field(default_factory=dict)
    choices: dict[str, dict[str, str]] = field(default_factory=dict)
    buttons: list[str] = field(default_factory=list)
    pressed: dict[str, dict[str, str]] = field(default_factory=dict)
    texts: set[str] = field(default_factory=set)

    def add(self, name: str, value: str) -> None:
        """A field of one line; a name that comes again sends all its values, as a browser does."""
        held = self.values.get(name)
        self.values[name] = (
            value if held is None else [*([held] if isinstance(held, str) else held), value]
        )

    def choice(self, name: str, label: str) -> str:
        """The value of the choice with these words."""
        found = [value for value, words in self.choices[name].items() if words == label]
        assert len(found) == 1, f"{name} offers {self.choices[name]}, not one {label!r}"
        return found[0]


@dataclass(slots=True)
class Page:
    """What came back."""

    status: int
    address: str
    html: str
    text: str
    forms: list[Form]
    links: dict[str, str]
    problems: str
    told: str

    def form(self, having: str = "") -> Form:
        """The form with this field or this button; the only one that posts when nothing is said."""
        found = [
            form
            for form in self.forms
            if (having in form.values or having in form.choices or having in form.buttons)
            or (not having and form.method == "post" and "/logout/" not in form.action)
        ]
        assert len(found) == 1, f"{len(found)} forms with {having!r} on {self.address}: {self.text}"
        return found[0]


class Visitor:
    """A browser without script."""

    def __init__(self, client: Client) -> None:
        self.client = client
        self.page: Page | None = None

    def go(self, address: str, **query: str) -> Page:
        return self._arrived(self.client.get(address, query, follow=True))

    def follow(self, words: str) -> Page:
        """Press the link with these words."""
        assert self.page
        assert words in self.page.links, f"{words!r} is none of {sorted(self.page.links)}"
        address = urljoin(self.page.address, self.page.links[words])
        return self._arrived(self.client.get(address, follow=True))

    def send(self, having: str = "", /, **typed: Any) -> Page:
        """Fill in a form of this page and send it; None empties a field."""
        assert self.page
        form = self.page.form(having)
        unknown = set(typed) - set(form.values) - set(form.choices)
        assert not unknown, f"{self.page.address} asks for {sorted(form.values)}, not {unknown}"
        values = {
            name: value
            for name, value in (form.values | form.pressed.get(having, {}) | typed).items()
            if value is not None and value is not False
        }
        address = urljoin(self.page.address, form.action)
        method = self.client.post if form.method == "post" else self.client.get
        return self._arrived(method(address, values, follow=True))

    def _arrived(self, answer: Any) -> Page:
        chain = getattr(answer, "redirect_chain", [])
        address = chain[-1][0] if chain else answer.request["PATH_INFO"]
        query = answer.request.get("QUERY_STRING", "")
        if not chain and query:
            address += f"?{query}"
        html = answer.content.decode() if "html" in answer.headers.get("Content-Type", "") else ""
        reader = _Reader()
        reader.feed(html)
        self.page = Page(
            status=answer.status_code,
            address=address,
            html=html,
            text=_single(reader.words),
            forms=reader.forms,
            links=reader.links,
            problems=_single(reader.classed["problem"]),
            told=_single(reader.classed["messages"]),
        )
        return self.page


def _single(words: list[str]) -> str:
    return " ".join("".join(words).split())


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.links: dict[str, str] = {}
        self.words: list[str] = []
        self.classed: dict[str, list[str]] = {"problem": [], "messages": []}
        self.stack: list[tuple[str, set[str]]] = []
        self.form: Form | None = None
        self.select = self.option = self.text_of = ""
        self.link: tuple[str, list[str]] | None = None
        self.button: list[str] | None = None
        self.button_sends: dict[str, str] = {}
        self.label_for = ""
        self.radios: dict[str, tuple[str, str]] = {}

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        attrs = {name: value or "" for name, value in attributes}
        if tag not in _VOID:
            self.stack.append((tag, set(attrs.get("class", "").split())))
        if tag == "form":
            self.form = Form(attrs.get("action", ""), attrs.get("method", "get").lower())
            self.forms.append(self.form)
        elif tag == "a" and attrs.get("href"):
            self.link = (attrs["href"], [])
        elif tag == "label":
            self.label_for = attrs.get("for", "")
        elif tag == "button":
            self.button = []
            name = attrs.get("name", "")
            self.button_sends = {name: attrs.get("value", "")} if name else {}
        if self.form and "disabled" not in attrs:
            self._control(tag, attrs, self.form)

    def _control(self, tag: str, attrs: dict[str, str], form: Form) -> None:
        name, kind = attrs.get("name", ""), attrs.get("type", "text")
        if tag == "input" and kind == "submit":
            form.buttons.append(attrs.get("value", ""))
        elif tag == "input" and kind in {"checkbox", "radio"} and name:
            value = attrs.get("value", "on")
            form.choices.setdefault(name, {})[value] = ""
            self.radios[attrs.get("id", "")] = (name, value)
            if "checked" in attrs:
                held = form.values.get(name, [])
                form.values[name] = [*held, value] if kind == "checkbox" else value
        elif tag == "input" and name:
            form.add(name, attrs.get("value", ""))
        elif tag == "textarea":
            self.text_of, form.values[name] = name, ""
        elif tag == "select":
            self.select = name
            form.choices[name] = {}
        elif tag == "option" and self.select:
            self.option = attrs.get("value", "")
            form.choices[self.select][self.option] = ""
            if "selected" in attrs or self.select not in form.values:
                form.values[self.select] = self.option

    def handle_endtag(self, tag: str) -> None:
        while self.stack and self.stack.pop()[0] != tag:
            pass
        if tag == "form":
            self.form = None
        elif tag == "select":
            self.select = self.option = ""
        elif tag == "textarea":
            self.text_of = ""
        elif tag == "label":
            self.label_for = ""
        elif tag == "a" and self.link:
            self.links.setdefault(_single(self.link[1]), self.link[0])
            self.link = None
        elif tag == "button" and self.button is not None:
            if self.form:
                self.form.buttons.append(_single(self.button))
                self.form.pressed[_single(self.button)] = self.button_sends
            self.button = None

    def handle_data(self, data: str) -> None:
        inside = {tag for tag, _ in self.stack}
        if not inside & {"style", "script"}:
            self.words.append(data if inside & {"a", "b", "strong", "em", "abbr"} else f"{data} ")
        for name, found in self.classed.items():
            if any(name in classes or f"{name}s" in classes for _, classes in self.stack):
                found.append(f"{data} ")
        if self.form and self.text_of:
            self.form.values[self.text_of] += data.lstrip("\n")
        if self.form and self.select and self.option is not None:
            labels = self.form.choices[self.select]
            if self.option in labels:
                labels[self.option] = _single([labels[self.option], data])
        if self.form and self.label_for in self.radios:
            name, value = self.radios[self.label_for]
            if name in self.form.choices:
                known = self.form.choices[name]
                known[value] = _single([known.get(value, ""), data])
        if self.link:
            self.link[1].append(data)
        if self.button is not None:
            self.button.append(data)
