"""Papers read back with two libraries that had no part in making them."""

import unicodedata
from io import BytesIO

import pikepdf
import pypdf


def pages(data: bytes) -> list[str]:
    """The text of each page, its white space made single."""
    reader = pypdf.PdfReader(BytesIO(data))
    return [_plain(page.extract_text()) for page in reader.pages]


def text(data: bytes) -> str:
    """The text of the whole paper."""
    return " ".join(pages(data))


def squeezed(data: bytes) -> str:
    """The text without any white space: for words that were broken over lines."""
    return "".join(text(data).split())


def facts(data: bytes) -> dict[str, str]:
    """Title, author, subject and language of the file."""
    with pikepdf.open(BytesIO(data)) as pdf:
        info = pdf.docinfo
        return {
            "title": str(info["/Title"]),
            "author": str(info["/Author"]),
            "subject": str(info["/Subject"]),
            "language": str(pdf.Root["/Lang"]),
        }


def outline(data: bytes) -> list[tuple[str, int]]:
    """Bookmarks as title and page number, in order."""
    reader = pypdf.PdfReader(BytesIO(data))
    return [
        (str(item.title), reader.get_destination_page_number(item))
        for item in reader.outline
        if not isinstance(item, list)
    ]


def loose_fonts(data: bytes) -> list[str]:
    """Fonts that a page or a form uses and that are not embedded."""
    found = []
    with pikepdf.open(BytesIO(data)) as pdf:
        for thing in pdf.objects:
            if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/Font":
                descriptor = thing.get("/FontDescriptor")
                if descriptor is None or "/FontFile2" not in descriptor:
                    found.append(str(thing.get("/BaseFont")))
    return found


def _plain(told: str) -> str:
    return " ".join(unicodedata.normalize("NFC", told).split())
