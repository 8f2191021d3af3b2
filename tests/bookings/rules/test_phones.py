"""Telephone numbers as they are read."""

from bookings.rules.phones import phone_text


def test_a_stored_number_is_grouped_with_its_country_code():
    # International form after ITU-T E.123; numbers invented.
    assert phone_text("+353209100100") == "+353 20 910 0100"
    assert phone_text("+4915112345678") == "+49 1511 2345678"


def test_what_is_no_number_stays_as_it_is():
    assert phone_text("") == ""
    assert phone_text("channel 16") == "channel 16"
