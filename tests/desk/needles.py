"""What to search for where no health word may stand, and the search."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]


def telling(notes: list[str]) -> set[str]:
    """What to search for: whole notes, their parts, and each word that no shipped text holds."""
    shipped = " ".join(
        path.read_text(encoding="utf-8", errors="ignore")
        for place in ("guiding", "bookings", "equipment", "fixtures/texts")
        for path in (ROOT / place).rglob("*")
        if path.suffix in {".py", ".md", ".html", ".json", ".csv"} and "demo" not in path.parts
    ).lower()
    parts = {part.strip() for note in notes for part in re.split(r"[,:;]", note)}
    words = {word for note in notes for word in re.findall(r"\w{6,}", note)}
    own = {word for word in words if word.lower() not in shipped}
    return set(notes) | {part for part in parts if " " in part} | own


def found_in(kept: bytes, needles: set[str]) -> set[str]:
    lower = kept.lower()
    return {
        needle
        for needle in needles
        if needle.lower().encode() in lower or needle.encode("utf-16-le") in kept
    }
