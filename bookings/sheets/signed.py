"""One signed record as files that can be checked elsewhere, with tools that everybody has."""

from __future__ import annotations

import io
import zipfile

from bookings.models import Signature
from bookings.queries.records import read_content, record_of
from bookings.rules.evidence import chain_link_text

RECORD, TEXT, LINK, SUMS, HOW, SHEET = (
    "record.json",
    "text.txt",
    "chain.json",
    "SHA256SUMS",
    "HOW-TO-CHECK.txt",
    "sheet.jpg",
)
_STAMP = (1980, 1, 1, 0, 0, 0)  # the same record gives the same bytes

_WORDS = """How to check signed record {number}

record.json  everything that was recorded when it was signed, exactly as it was sealed
text.txt     the text that was signed, exactly as it was shown
chain.json   this record's place in the chain: number, hash of the record before, content
SHA256SUMS   the SHA-256 of each of them

In a shell, in the folder of these files:

    {one_liner}

It prints OK for each file and then the fingerprint of the record. That fingerprint must be the
one printed on the signed form that the signer holds, and the one that the chain of the business
shows for record {number}. If so, neither the text nor anything that was recorded has changed since.

What this proves and what it does not: it proves that the record is whole and stands in its place.
It does not prove who held the pen. A signed form is a record, not a shield.
"""

ONE_LINER = (
    "sha256sum -c SHA256SUMS"
    ' && grep -q "$(sha256sum < text.txt | cut -c1-64)" record.json'
    ' && grep -q "$(sha256sum < record.json | cut -c1-64)" chain.json'
    " && sha256sum chain.json"
)
"""Checks an exported record: files whole, text named by the record, record sealed in the chain."""


def record_files(signature: Signature) -> dict[str, bytes]:
    """The files of one record. ValueError when what it held was erased."""
    record_of(signature)
    link = signature.record
    files = {
        RECORD: signature.sealed.encode(),
        TEXT: signature.text.full_text.encode(),
        LINK: chain_link_text(link.number, link.content, link.previous_hash).encode(),
    }
    if signature.sheet is not None:
        with signature.sheet.file.open("rb") as stream:
            files[SHEET] = stream.read()
    sums = {
        RECORD: str(read_content(link.content)["seal"]),
        TEXT: signature.text.sha256,
        LINK: link.own_hash,
    }
    if signature.sheet is not None:
        sums[SHEET] = signature.sheet.sha256
    files[SUMS] = "".join(f"{digest}  {name}\n" for name, digest in sums.items()).encode()
    files[HOW] = _WORDS.format(number=link.number, one_liner=ONE_LINER).encode()
    return files


def record_zip(files: dict[str, bytes]) -> bytes:
    """The files in one archive, the same bytes every time."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(zipfile.ZipInfo(name, _STAMP), content)
    return out.getvalue()
