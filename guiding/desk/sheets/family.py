"""Every paper that a trip has: the ones each trip needs, and the ones for which there is something
to print. One list for the command, the pictures and whoever wants them all."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from bookings.models import Booking, Signature
from guiding.desk.sheets.files import make_trip_file, sheet_names, trip_file_names
from guiding.desk.sheets.gather import TripFile
from guiding.desk.sheets.languages import language_of, language_of_house
from guiding.desk.sheets.money import (
    PAPER_NAMES,
    entry_paper,
    quote_paper,
    trip_entries,
    trip_quotes,
)
from guiding.desk.sheets.prep import PREP_LABELS, prep_file, trip_prep
from guiding.desk.sheets.signed import signed_form_file
from guiding.desk.sheets.statements import account_statement, season_statement
from guiding.papers.account_statement import account_statement_pdf
from guiding.papers.season_statement import season_statement_pdf

# Without one of these a trip has no papers at all: what they lack is said, not passed over.
ALWAYS = ("run-sheet.pdf", "cost-sheet.pdf", "cost.csv", "invite.ics")


def trip_family(
    file: TripFile, *, printed_at: datetime.datetime, page_size: str = ""
) -> dict[str, bytes]:
    """Name and bytes of every paper of a trip.

    ValueError with a sentence where a trip sheet or one of `ALWAYS` cannot be made; the others
    are left out when there is nothing for them to say.
    """
    made = {
        name: make_trip_file(name, file, printed_at=printed_at, page_size=page_size)
        for name in (*sheet_names(file), *ALWAYS)
    }
    for name in trip_file_names():
        if name not in made and not name.startswith("trip-sheet"):
            made |= _if_there(name, file, printed_at, page_size)
    made |= dict(_prep(file, printed_at, page_size))
    made |= dict(_in_other_languages(file, printed_at, page_size))
    made |= dict(_money(file, printed_at, page_size))
    made |= dict(_season(file, printed_at, page_size))
    made |= dict(_signed(file, printed_at, page_size))
    return made


def _if_there(
    name: str, file: TripFile, printed_at: datetime.datetime, page_size: str
) -> dict[str, bytes]:
    try:
        return {name: make_trip_file(name, file, printed_at=printed_at, page_size=page_size)}
    except ValueError:
        return {}


def _prep(
    file: TripFile, printed_at: datetime.datetime, page_size: str
) -> Iterator[tuple[str, bytes]]:
    prep = trip_prep(file, at=printed_at)
    for name in PREP_LABELS:
        try:
            yield name, prep_file(name, prep, printed_at=printed_at, page_size=page_size)
        except ValueError:
            continue  # nothing to drop, nothing to charge: no such list


def _in_other_languages(
    file: TripFile, printed_at: datetime.datetime, page_size: str
) -> Iterator[tuple[str, bytes]]:
    """The trip sheet once more for a party that reads another language than the business.

    On a shared day each party's own is in its language already.
    """
    if len(file.parties) > 1:
        return
    readers = {language_of(x) for x in file.bookings if x.status == Booking.Status.CONFIRMED}
    for language in sorted(readers - {language_of_house(file.business)}):
        yield (
            f"trip-sheet-{language}.pdf",
            make_trip_file(
                "trip-sheet.pdf",
                file,
                printed_at=printed_at,
                page_size=page_size,
                language=language,
            ),
        )


def _money(
    file: TripFile, printed_at: datetime.datetime, page_size: str
) -> Iterator[tuple[str, bytes]]:
    """Price notes, invoices, receipts and credit notes of the trip; each party's statement."""
    for quote in trip_quotes(file.trip):
        yield f"price-note-{quote.pk:05d}.pdf", quote_paper(quote, page_size=page_size)
    for entry in trip_entries(file.trip):
        yield (
            f"{PAPER_NAMES[entry.kind]}-{entry.label}.pdf",
            entry_paper(entry, page_size=page_size),
        )
    for client in {x.party.client.pk: x.party.client for x in file.bookings}.values():
        try:
            statement = account_statement(
                client, business=file.business, printed_at=printed_at, page_size=page_size
            )
        except ValueError:
            continue  # nothing billed, nothing paid
        yield f"statement-{client.pk:05d}.pdf", account_statement_pdf(statement)


def _season(
    file: TripFile, printed_at: datetime.datetime, page_size: str
) -> Iterator[tuple[str, bytes]]:
    """The season that the trip is part of."""
    statement = season_statement(
        file.business, year=file.day.year, printed_at=printed_at, page_size=page_size
    )
    yield f"season-{file.day.year}.pdf", season_statement_pdf(statement)


def _signed(
    file: TripFile, printed_at: datetime.datetime, page_size: str
) -> Iterator[tuple[str, bytes]]:
    """What was signed for this trip, record by record; erased ones have no paper any more."""
    signatures = Signature.objects.filter(trip=file.trip, erased_at=None).select_related(
        "record", "text"
    )
    for signature in signatures:
        try:
            content = signed_form_file(
                signature,
                business=file.business,
                printed_at=printed_at,
                proof="",
                page_size=page_size,
            )
        except ValueError:
            continue
        yield f"signed-{signature.record_id:05d}.pdf", content
