"""Rows for tests: valid by default, invented, one factory a noun."""

from __future__ import annotations

import datetime
from decimal import Decimal

import factory
from django.contrib.auth.models import User
from factory.django import DjangoModelFactory

from bookings import models as bookings

NOON = datetime.datetime(2026, 6, 1, 12, 0, tzinfo=datetime.UTC)
# A trip still to come where the clock is the machine's own.
FAR_AHEAD = {
    "starts_at": datetime.datetime(2090, 6, 13, 4, 0, tzinfo=datetime.UTC),
    "ends_at": datetime.datetime(2090, 6, 13, 15, 15, tzinfo=datetime.UTC),
}


class UserFactory(DjangoModelFactory):
    class Meta:
        model = User

    username = factory.Sequence(lambda n: f"person{n}")
    email = factory.LazyAttribute(lambda user: f"{user.username}@marramhead.example")
    password = factory.django.Password("sand and spike 26")


class BusinessFactory(DjangoModelFactory):
    class Meta:
        model = bookings.Business
        django_get_or_create = ("id",)

    id = 1
    name = "Marram Head Shore Days"
    guide_name = "Orla Tern"
    email = "orla@marramhead.example"
    phone = "+35315550100"
    country = "IE"
    zone = "Europe/Dublin"
    currency = "EUR"
    locale = "en_IE"
    emergency_number = "112"
    emergency_checked = True


class ClientFactory(DjangoModelFactory):
    class Meta:
        model = bookings.Client

    given_name = factory.Sequence(lambda n: f"Given{n}")
    family_name = factory.Sequence(lambda n: f"Family{n}")
    email = factory.LazyAttribute(lambda person: f"{person.given_name.lower()}@example.org")


class OfferFactory(DjangoModelFactory):
    class Meta:
        model = bookings.Offer

    name = factory.Sequence(lambda n: f"Party day {n}")
    hours = Decimal(13)
    fishing_hours = Decimal(6)
    price = Decimal(290)


class PartyFactory(DjangoModelFactory):
    class Meta:
        model = bookings.Party

    client = factory.SubFactory(ClientFactory)
    offer = factory.SubFactory(OfferFactory)
    heads = 2
    asked_at = NOON


class ParticipantFactory(DjangoModelFactory):
    class Meta:
        model = bookings.Participant

    party = factory.SubFactory(PartyFactory)
    given_name = factory.Sequence(lambda n: f"Person{n}")


class TripFactory(DjangoModelFactory):
    class Meta:
        model = bookings.Trip

    offer = factory.SubFactory(OfferFactory)
    changed_at = NOON
    starts_at = datetime.datetime(2026, 6, 13, 4, 0, tzinfo=datetime.UTC)
    ends_at = datetime.datetime(2026, 6, 13, 15, 15, tzinfo=datetime.UTC)
    meeting_place = "Car park above the slip, Marram Head"
    places = 4


class BookingFactory(DjangoModelFactory):
    class Meta:
        model = bookings.Booking

    party = factory.SubFactory(PartyFactory)
    trip = factory.SubFactory(TripFactory)
    heads = 2
    status = "confirmed"
    booked_at = NOON
    currency = "EUR"
