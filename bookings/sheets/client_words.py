"""The words of a client's own page and of the public page of questions, in each language."""

from __future__ import annotations

from collections.abc import Mapping

from bookings.models import Booking, Quote
from bookings.sheets import client_words_de, sign_words
from bookings.sheets.pricing import fixed_by

_SHARED = (
    *("language", "questions", "ring", "or_write", "write", "yours_alone", "put_right"),
    *("your_birthday", "order_dmy", "order_mdy", "order_ymd"),
    *("born_shape", "born_year", "born_no_day"),
)

_EN = {
    "title": "{name}, your days with us",
    "party_of": "Party of",
    "skip": "Skip to the page",
    "need": "required",
    "guide_decides": (
        "Times of tide and light are predictions; on the day the guide's word on the shore decides."
    ),
    "our_price": "Our price for you",
    "state_sent": "waits for your answer",
    "state_tentative": "held for you",
    "state_agreed": "agreed, not confirmed yet",
    "state_confirmed": "confirmed",
    "state_cancelled": "called off",
    "state_fished": "fished",
    "state_paid": "paid",
    "state_part_paid": "part paid",
    "state_unpaid": "to pay",
    "state_overdue": "overdue",
    "state_overpaid": "paid more than asked",
    "from_time": "from",
    "head": "person",
    "heads": "people",
    "what": "What",
    "number": "Number",
    "each": "Each",
    "amount": "Amount",
    "total": "Total",
    "tax": "Tax",
    "holds_tax": "Tax in it:",
    "tax_at": "at",
    "when_paid": "When it is paid",
    "by_day": "by",
    "if_plans_change": "If plans change",
    "until_day": "until",
    "from_day": "from",
    "any_time": "at any time",
    "we_call_off": "If we call the day off, you choose: all your money back, or another date.",
    "terms_of_day": "the terms of the day",
    "have_read": "I have read the terms above, for all of my party",
    "read_first": "Read the terms first, then tick that you have.",
    "yes_for": "Yes, we take it for",
    "price_until": "The price stands until",
    "yours_by_yes": "The day is yours once you have said yes, and not before.",
    "yours_by_deposit": (
        "The day is yours once you have said yes and the first part has come in, and not before."
    ),
    "nothing_agreed": "Nothing is agreed yet",
    "ran_out": "Our price for {offer} ran out on {day}. Would you still like it? Ask us below.",
    "agreed": "Agreed. The day is yours; below is what comes next.",
    "agreed_waits": (
        "Thank you. Your yes and the price are noted. We still settle something on our side and "
        "then we confirm the day to you."
    ),
    "agreed_part": (
        "Agreed. The day is yours once the first part has come in; how to pay stands below."
    ),
    "agreed_already": "You have said yes to this price already; nothing was changed.",
    "day_waits": (
        "You have said yes and the price is agreed. We still settle something on our side; the "
        "day is certain when it says confirmed here."
    ),
    "day_waits_part": (
        "You have said yes and the price is agreed. The day is yours once the first part has come "
        "in."
    ),
    "called_off_because": "We had to call this day off:",
    "yours_of_it": "That is yours:",
    "must_move": "Of it, this can only go to another date:",
    "what_shall_we": "What shall we do with it?",
    "send_back": "Send it back",
    "keep_it": "Keep it for another date",
    "kept": "Kept",
    "goes_back": "Goes back to you",
    "goes_on": "Goes to another date",
    "noted": "Noted. We see to it.",
    "no_choice": "Choose money back or another date.",
    "we_meet": "We meet",
    "back_by": "Back at the latest",
    "you_are": "You are",
    "held_until": "Held for you until",
    "trip_sheet": "Trip sheet",
    "add_to_calendar": "Add to your calendar",
    "money": "Money",
    "price": "Price",
    "paid": "Paid",
    "to_pay_now": "To pay now:",
    "account_of": "Account of",
    "reference": "Reference, exactly so",
    "bank_app": "For the app of your bank",
    "bank_code": "Payment code for a bank app: the same figures as above",
    "ask_how": "Ask us how to pay; name the reference",
    "pay_here": "Pay on the web",
    "pay_cash": "Or in cash on the day.",
    "looking": "We have your wishes and are looking for a day. You will find it here.",
    "with_us": "Of yours, kept with us for another date:",
    "who_comes": "Who comes",
    "named_of": "{named} of {heads} named",
    "one_unnamed": "person is not named yet.",
    "many_unnamed": "people are not named yet.",
    "name_somebody": "Name somebody",
    "no_birthday": "date of birth missing",
    "person_title": "Who comes along",
    "given_name": "Given name",
    "family_name": "Family name",
    "born_help": "Such as {example}: {order}. Ages decide what we plan.",
    "born_needed": "Give the date of birth; ages decide what we plan.",
    "name_needed": "Give a name.",
    "swims": "In the water",
    "swims_unknown": "not told yet",
    "swims_yes": "swims",
    "swims_no": "does not swim",
    "is_client": "That is me: my mail address and telephone number count",
    "own_mail": "Mail address of this person, if of age",
    "own_mail_help": "Their link to sign goes there. Without one it comes to you, to hand on.",
    "own_mail_kept": "We have one. What you write here takes its place.",
    "guardian_heading": "Under age on the day? Who signs for them",
    "guardian": "Parent or legal guardian",
    "guardian_none": "nobody yet",
    "guardian_outside": "{name}, who does not come along",
    "guardian_other": "somebody who does not come along, named below",
    "guardian_name": "Full name, if they do not come along",
    "guardian_relation": "What they are to the child",
    "guardian_email": "Their mail address",
    "guardian_phone": "Their telephone number",
    "guardian_name_needed": "Choose somebody, or give the name of who does not come along.",
    "guardian_both": "Choose somebody of the list or write a name below, not both.",
    "no_guardian": "nobody named who signs",
    "signs_for": "{names} signs",
    "save": "Save",
    "saved": "Saved.",
    "back": "Back without saving",
    "papers": "Papers",
    "price_note": "Price note",
    "paper_invoice": "Invoice",
    "paper_credit_note": "Credit note",
    "paper_payment": "Receipt",
    "to_change": "Something to change?",
    "ask_label": "What would you like to change?",
    "ask_help": "Another day, more or fewer people. We answer; nothing changes by itself.",
    "ask_us": "Ask us",
    "you_asked": "Waits for our answer:",
    "asked": "We have your question and answer it soon.",
    "shut_title": "This page is shut",
    "shut_unknown": (
        "This address opens nothing. Perhaps a letter of it was lost on the way: open it once more "
        "from our message."
    ),
    "shut_over": "This page has ended. Write to us and we send you a new link.",
    "shut_revoked": "This link was taken back. Write to us and we send you a new one.",
    "shut_too_many": (
        "Too many tries from here. Wait ten minutes, then open the link from our message."
    ),
    "shut_else": "There is nothing at this address. Go back to your own page.",
    "to_own_page": "To your own page",
    "public_title": "Ask for a day on the shore",
    "public_lead": (
        "Tell us who comes and when; we answer with dates that the tide and the light allow, and a "
        "price. Nothing is booked by asking."
    ),
    "who_are_you": "Who are you",
    "what_like": "What would you like",
    "mail": "Mail",
    "phone": "Telephone",
    "how_many": "How many of you",
    "minors": "Of them under 18",
    "which_day": "Which day",
    "not_sure": "not sure yet",
    "first_day": "First day that suits",
    "last_day": "Last day that suits",
    "wishes": "Anything we should know",
    "wishes_help": "Please no health matters here: there is a safer place for them later.",
    "leave_empty": "Leave this empty",
    "send": "Send the question",
    "reach": "Give a mail address or a telephone number to answer to.",
    "flood": "That was a lot of questions. Please ring us, or wait ten minutes.",
    "read_by": "What you write here is read by {guide} and used to answer you.",
    "or_ring": "You can also ring",
    "thanks_title": "Thank you",
    "thanks": "We have your question. {guide} answers within a day or so, with dates and a price.",
    "no_answer": "If you hear nothing, look among the unwanted mail, or ring",
    "no_answer_mail": "If you hear nothing, look among the unwanted mail.",
}

EN = {key: sign_words.EN[key] for key in _SHARED} | _EN
DE = {key: sign_words.DE[key] for key in _SHARED} | client_words_de.DE
WORDS: Mapping[str, Mapping[str, str]] = {"en": EN, "de": DE}


def words_of(language: str) -> Mapping[str, str]:
    """The words of a language, or English."""
    return WORDS.get(language, EN)


def yours_when(quote: Quote, language: str) -> str:
    """With what the day becomes the client's; the one sentence of paper, page and mail.

    Empty where the price is for no day yet.
    """
    return words_of(language)[f"yours_by_{fixed_by(quote)}"] if quote.booking else ""


def part_awaited(booking: Booking, language: str) -> str:
    """That an agreed day waits for its first part; empty where it does not."""
    return words_of(language)["day_waits_part"] if booking.awaits_deposit else ""
