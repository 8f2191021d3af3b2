"""Addresses of the desk."""

from django.urls import path, re_path

from bookings.views import bookings, client_page, parties, quotes, records, sign
from bookings.views import money as money_pages
from equipment.views import things
from guiding.days.views import almanac as days_almanac
from guiding.desk.views import (
    almanac,
    answers,
    by_hand,
    card,
    decide,
    feed,
    labels,
    messages,
    money,
    prep,
    safety,
    setup,
    signed,
    taking,
    today,
    trips,
)

urlpatterns = [
    path("", today.today, name="today"),
    path("diary/", today.diary, name="diary"),
    path("diary/decide/", decide.night_before, name="night_before"),
    path("trips/<int:pk>/decide/", decide.trip_decide, name="trip_decide"),
    path("trips/new/", trips.trip_new, name="trip_new"),
    path("trips/<int:pk>/", trips.trip, name="trip"),
    path("trips/<int:pk>/plan/", trips.plan_edit, name="plan_edit"),
    path("trips/<int:pk>/book/", trips.trip_book, name="trip_book"),
    re_path(
        r"^trips/(?P<pk>\d+)/(?P<step>confirm|call-off|fished)/$",
        trips.trip_move,
        name="trip_move",
    ),
    path("trips/<int:pk>/papers/<str:name>", trips.trip_paper, name="trip_paper"),
    path("trips/<int:pk>/drops/", prep.trip_drops_edit, name="trip_drops_edit"),
    path("trips/<int:pk>/gear/", taking.trip_gear, name="trip_gear"),
    path("trips/<int:pk>/gear/take/", taking.trip_gear_take, name="trip_gear_take"),
    path("trips/<int:pk>/prep/", prep.prep, name="prep"),
    path("trips/<int:pk>/prep/mark/", prep.prep_mark, name="prep_mark"),
    path("trips/<int:pk>/prep/who/", prep.prep_who, name="prep_who"),
    path("trips/<int:pk>/prep/<str:sheet>", prep.prep_paper, name="prep_paper"),
    # The party's page with the desk's own tools on it.
    path("parties/<int:pk>/", parties.party, {"template": "desk/party.html"}, name="party"),
    path(
        "parties/<int:pk>/bookings/<int:booking_pk>/",
        bookings.booking,
        {"template": "desk/booking.html"},
        name="booking",
    ),
    path(
        "parties/<int:pk>/bookings/<int:booking_pk>/remind/",
        by_hand.reminder_send,
        name="reminder_send",
    ),
    # Pages of signing with the papers of the desk on them.
    path("sign/<str:token>/", sign.sign_start, {"copy_view": "sign_copy"}, name="sign_start"),
    path("sign/<str:token>/copy/<int:number>.pdf", signed.sign_copy, name="sign_copy"),
    path("signed/<int:number>/", records.signed, {"pdf_view": "signed_pdf"}, name="signed"),
    path("signed/<int:number>.pdf", signed.signed_pdf, name="signed_pdf"),
    path("gear/craft/<int:pk>/", things.craft, {"template": "desk/craft.html"}, name="craft"),
    # The almanac of a spot with its paper on it.
    path(
        "spots/<int:pk>/almanac/",
        days_almanac.almanac,
        {"pdf_view": "almanac_paper"},
        name="almanac",
    ),
    path("spots/<int:pk>/almanac/almanac.pdf", almanac.almanac_paper, name="almanac_paper"),
    # Pages of money with their papers on them.
    path(
        "money/quotes/<int:pk>/", quotes.quote, {"template": "desk/money_quote.html"}, name="quote"
    ),
    path("money/quotes/<int:pk>/send/", by_hand.quote_send, name="quote_send"),
    path("money/quotes/<int:pk>/paper.pdf", money.quote_file, name="quote_file"),
    path(
        "money/papers/<int:pk>/",
        money_pages.money_entry,
        {"template": "desk/money_entry.html"},
        name="money_entry",
    ),
    path("money/papers/<int:pk>/paper.pdf", money.entry_file, name="entry_file"),
    path(
        "money/years/<int:year>/",
        money_pages.money_year,
        {"template": "desk/money_year.html"},
        name="money_year",
    ),
    path("money/years/<int:year>/statement.pdf", money.season_file, name="season_file"),
    path("money/clients/<int:pk>/statement.pdf", money.statement_file, name="statement_file"),
    path("money/clients/<int:pk>/statement/", messages.statement_send, name="statement_send"),
    path("money/years/<int:year>/<str:name>", money.books_file, name="books_file"),
    path(
        "my/<str:token>/", client_page.client, {"template": "desk/money_client.html"}, name="client"
    ),
    path("my/<str:token>/papers/quote/<int:pk>.pdf", money.client_quote, name="client_quote"),
    path("my/<str:token>/papers/<int:pk>.pdf", money.client_entry, name="client_entry"),
    path("my/<str:token>/days/<int:booking_pk>/<str:name>", money.client_file, name="client_file"),
    path("safety/", safety.safety, name="safety"),
    path("trips/<int:pk>/safety/", safety.trip_safety, name="trip_safety"),
    path("trips/<int:pk>/safety/choice/", safety.trip_choice, name="trip_choice"),
    path("trips/<int:pk>/safety/sign/", safety.trip_sign, name="trip_sign"),
    path("trips/<int:pk>/safety/day/", safety.trip_marks, name="trip_marks"),
    path("trips/<int:pk>/briefing/", safety.trip_briefing, name="trip_briefing"),
    path("trips/<int:pk>/briefing/heard/", safety.trip_heard, name="trip_heard"),
    path("trips/<int:pk>/briefing/children/", safety.trip_child, name="trip_child"),
    path("trips/<int:pk>/card/", card.trip_card, name="trip_card"),
    path("trips/<int:pk>/card/own/", card.trip_card_own, name="trip_card_own"),
    path("trips/<int:pk>/watch/", safety.trip_watch, name="trip_watch"),
    path("trips/<int:pk>/watch/home/", safety.trip_home, name="trip_home"),
    path("trips/<int:pk>/watch/stand-down/", safety.trip_stand_down, name="trip_stand_down"),
    path("gear/labels/", labels.labels, name="labels"),
    path("gear/labels/gear-labels.pdf", labels.labels_file, name="labels_file"),
    path("setup/", setup.setup, name="setup"),
    path("calendar/<str:token>.ics", feed.feed, name="feed"),
    path("setup/messages/", messages.words_list, name="words_list"),
    path("setup/messages/quiet/", messages.quiet, name="quiet_hours"),
    path("setup/messages/mail/", messages.mail_test, name="mail_test"),
    path("setup/messages/rules/<str:message_kind>/", messages.rule_of_kind, name="rule_of_kind"),
    path(
        "setup/messages/words/<str:message_kind>/<str:language>/",
        messages.words_edit,
        name="words_edit",
    ),
    path("trips/<int:pk>/messages/<str:message_kind>/", messages.trip_message, name="trip_message"),
    path("answer/<str:token>/", answers.invite_answer, name="invite_answer"),
    path("trips/<int:pk>/answers/", messages.trip_answers, name="trip_answers"),
    path("setup/calendars/", feed.feed_list, name="feed_list"),
    path("setup/calendars/<int:pk>/new/", feed.feed_new, name="feed_new"),
    path("setup/calendars/<int:pk>/end/", feed.feed_end, name="feed_end"),
    path("setup/business/", setup.business, name="business"),
    path("setup/first/", setup.first_run, name="first_run"),
    path("healthy/", setup.healthy, name="healthy"),
]
