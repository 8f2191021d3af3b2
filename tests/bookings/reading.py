"""What a page says, read back from its HTML."""

from __future__ import annotations

from html.parser import HTMLParser


class _Words(HTMLParser):
    """Collects the words inside elements of one class."""

    def __init__(self, wanted: str) -> None:
        super().__init__()
        self.wanted, self.depth, self.found = wanted, 0, []  # type: ignore[var-annotated]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        classes = (dict(attrs).get("class") or "").split()
        if self.depth:
            self.depth += tag not in {"input", "br", "link", "meta", "path", "circle"}
        elif self.wanted in classes:
            self.depth = 1
            self.found.append("")

    def handle_endtag(self, tag: str) -> None:
        if self.depth:
            self.depth -= 1

    def handle_data(self, data: str) -> None:
        if self.depth:
            self.found[-1] += data


def words(html: str, wanted: str) -> list[str]:
    """The text of every element of a class, spaces made single."""
    reader = _Words(wanted)
    reader.feed(html)
    return [" ".join(text.split()) for text in reader.found]


def in_one_line(html: str) -> str:
    """The page with single spaces, so that a sentence is found wherever its lines break."""
    return " ".join(html.split())


def problems(html: str) -> str:
    """What the page says is wrong, at the top and beside the fields."""
    return " ".join([*words(html, "problems"), *words(html, "problem")])


def told(html: str) -> str:
    """The messages at the top of the page."""
    return " ".join(words(html, "messages"))
