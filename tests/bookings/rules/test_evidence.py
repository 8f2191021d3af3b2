"""Fingerprints, the one way to write a record, and the chain that shows every change."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bookings.rules.evidence import (
    Acknowledgement,
    ChainedRecord,
    acknowledgement_record,
    canonical_record,
    chain_report,
    chained_record,
    missing_evidence,
    text_fingerprint,
)
from tests.reference import published

SIGNED = Acknowledgement(
    text="I have read the risks of the day.",
    text_version="3",
    language="en",
    signer_name="Aoife Example",
    identified_by="private link sent to the address on the booking",
    own_means="link of 2 March",
    mark_kind="typed name",
    mark="Aoife Example",
    signed_at=datetime(2026, 3, 2, 9, 30, tzinfo=UTC),
    zone="Europe/Dublin",
    agreed_to_electronic=True,
    copy_offered=True,
    intent="By typing my name I sign.",
    signed_for="Finn Example",
    relationship="mother",
    minor_age=12,
)
scalars = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.text(max_size=8)
    | st.decimals(allow_nan=False, allow_infinity=False)
    | st.dates()
    | st.datetimes(timezones=st.just(UTC))
)
records = st.dictionaries(st.text(max_size=6), scalars | st.lists(scalars, max_size=3), max_size=5)


def _chain(contents: list[str]) -> list[ChainedRecord]:
    chain: list[ChainedRecord] = []
    for content in contents:
        chain.append(chained_record(content, chain[-1] if chain else None))
    return chain


def _broken(chain: list[ChainedRecord], head: str = "") -> list[int]:
    return [x.place for x in chain_report(chain, head).broken]


def test_a_fingerprint_is_sha_256_of_the_bytes() -> None:
    # FIPS 180-4 example for the message 'abc'
    assert text_fingerprint("abc") == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )
    assert text_fingerprint("abc ") != text_fingerprint("abc")
    assert text_fingerprint("é") != text_fingerprint("e\u0301")  # same to the eye, other bytes


def test_half_a_character_has_no_fingerprint() -> None:
    with pytest.raises(ValueError, match="half a character"):
        text_fingerprint("\ud800")


def test_order_of_fields_does_not_matter_and_types_do() -> None:
    assert canonical_record({"a": 1, "b": "x"}) == canonical_record({"b": "x", "a": 1})
    alike = [1, "1", True, Decimal(1), Decimal("1.0"), date(2026, 1, 1), "2026-01-01", None, ""]
    assert len({canonical_record({"a": value}) for value in alike}) == len(alike)


def test_one_instant_is_one_record_in_every_zone() -> None:
    at = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
    there = at.astimezone(timezone(timedelta(hours=10)))
    assert canonical_record({"at": at}) == canonical_record({"at": there})


@pytest.mark.parametrize(
    "value",
    [1.5, datetime(2026, 3, 2, 9, 30), {"a": 1}, b"x"],  # noqa: DTZ001
)
def test_what_has_no_exact_form_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="when: "):
        canonical_record({"when": value})  # type: ignore[dict-item]


@given(records, records)
def test_records_are_written_alike_only_when_they_are_alike(first, second) -> None:  # type: ignore[no-untyped-def]
    def typed(record):  # type: ignore[no-untyped-def]
        return {k: [type(v), repr(v)] for k, v in record.items()}

    alike = typed(first) == typed(second)
    assert (canonical_record(first) == canonical_record(second)) is alike


def test_a_whole_chain_is_whole() -> None:
    chain = _chain(["one", "two", "three"])
    report = chain_report(chain, chain[-1].own_hash)
    assert report.whole
    assert report.records == 3
    assert chain_report([]).whole


@given(st.lists(st.text(max_size=5), min_size=1, max_size=7), st.data())
def test_every_change_of_one_field_is_found_and_the_record_named(
    contents: list[str], data: st.DataObject
) -> None:
    chain = _chain(contents)
    place = data.draw(st.integers(0, len(chain) - 1))
    field = data.draw(st.sampled_from(["number", "content", "previous_hash", "own_hash"]))
    before = getattr(chain[place], field)
    values = st.integers(-3, 99) if field == "number" else st.text(max_size=8)
    after = data.draw(values.filter(lambda value: value != before))
    chain[place] = replace(chain[place], **{field: after})
    assert _broken(chain) == [place + 1]


@given(st.lists(st.text(max_size=5), min_size=2, max_size=7), st.data())
def test_a_record_rewritten_with_a_new_hash_is_named(
    contents: list[str], data: st.DataObject
) -> None:
    chain = _chain(contents)
    head = chain[-1].own_hash
    place = data.draw(st.integers(0, len(chain) - 1))
    earlier = chain[place - 1] if place else None
    chain[place] = chained_record(contents[place] + "!", earlier)
    assert _broken(chain, head) == [place + 1]


@given(st.lists(st.text(max_size=5), min_size=1, max_size=7), st.data())
def test_a_record_taken_out_is_found(contents: list[str], data: st.DataObject) -> None:
    chain = _chain(contents)
    head = chain[-1].own_hash
    place = data.draw(st.integers(0, len(chain) - 1))
    del chain[place]
    # the follower stands in the wrong place; at the end only the hash kept elsewhere tells
    expected = [place + 1] if place < len(chain) else [len(chain)]
    assert _broken(chain, head) == expected


def test_a_chain_that_begins_elsewhere_is_found() -> None:
    chain = _chain(["one", "two"])
    other = chained_record("one", replace(chain[1], number=0))
    assert _broken([other]) == [1]


def test_a_full_signature_lacks_nothing() -> None:
    assert missing_evidence(SIGNED) == ()


# item of the published list -> the fact taken away -> the word that reports it
ITEMS = {
    "exact text shown, with version and hash": [
        ({"text": ""}, "exact text"),
        ({"text_version": ""}, "version"),
    ],
    "name of the signer and how identified": [
        ({"signer_name": ""}, "signer's name"),
        ({"identified_by": ""}, "identified"),
    ],
    "means under the signer's sole control (own link or code)": [({"own_means": ""}, "own link")],
    "mark used to sign (typed name, tick, drawn)": [
        ({"mark_kind": ""}, "kind of mark"),
        ({"mark": ""}, "mark itself"),
    ],
    "time, with zone": [({"zone": ""}, "zone")],
    "consent to sign electronically and not withdrawn; shown how to keep and get a copy": [
        ({"agreed_to_electronic": False}, "agreed"),
        ({"copy_offered": False}, "copy"),
    ],
    "intent to sign": [({"intent": ""}, "intent")],
    "guardian: own name, relationship, minor's name and age": [
        ({"relationship": ""}, "relationship"),
        ({"minor_age": None}, "age is missing"),
        ({"signed_for": ""}, "For whom"),
    ],
}
# kept by the chain and the database, or law about the whole: nothing of one signature to check
ELSEWHERE = {
    "record kept accurate and accessible, reproducible",
    "signer identified and approval shown; as reliable as appropriate",
    "not refused only because electronic",
}


@pytest.mark.parametrize(
    "row", published.rows("doc_signature_evidence"), ids=lambda row: row["item_to_record"]
)
def test_each_published_item_of_evidence_is_asked_for(row: dict[str, str]) -> None:
    item = row["item_to_record"]
    assert (item in ITEMS) is not (item in ELSEWHERE)
    for taken, words in ITEMS.get(item, []):
        gaps = missing_evidence(replace(SIGNED, **taken))  # type: ignore[arg-type]
        assert len(gaps) == 1
        assert words in gaps[0]


def test_the_record_of_a_signature_holds_the_fingerprint_of_its_text() -> None:
    record = acknowledgement_record(SIGNED)
    assert text_fingerprint(SIGNED.text) in record
    assert acknowledgement_record(replace(SIGNED, mark="Aoife")) != record
