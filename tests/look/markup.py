"""Reads markup back as a list of elements, so that tests speak of attributes, not of strings."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"input", "br", "hr", "img", "link", "meta", "path", "circle"}


@dataclass(slots=True)
class Element:
    """One element: its attributes and all the text inside it."""

    tag: str
    attrs: dict[str, str | None]
    words: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        return " ".join("".join(self.words).split())


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[Element] = []
        self.open: list[Element] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        element = Element(tag, dict(attrs))
        assert len(attrs) == len(element.attrs), f"<{tag}> says one attribute twice: {attrs}"
        self.found.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append(Element(tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"</{tag}> closes nothing"
        last = self.open.pop()
        assert last.tag == tag, f"</{tag}> comes while <{last.tag}> is open"

    def handle_data(self, data: str) -> None:
        for element in self.open:
            element.words.append(data)


def elements(html: str) -> list[Element]:
    """All elements in reading order; fails when one is not closed where it should be."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    assert not reader.open, f"never closed: {[element.tag for element in reader.open]}"
    return reader.found


def one(html: str, tag: str, **attrs: str) -> Element:
    """The only element with this tag and these attributes (`class_` holds one of its classes)."""
    found = every(html, tag, **attrs)
    assert len(found) == 1, f"{len(found)} of <{tag}> {attrs} in {html}"
    return found[0]


def every(html: str, tag: str, **attrs: str) -> list[Element]:
    """All elements with this tag and these attributes."""

    def fits(element: Element) -> bool:
        for name, value in attrs.items():
            if name == "class_":
                if value not in (element.attrs.get("class") or "").split():
                    return False
            elif element.attrs.get(name.rstrip("_").replace("_", "-")) != value:
                return False
        return True

    return [element for element in elements(html) if element.tag == tag and fits(element)]
