"""The words of a client's own page and of the public page of questions, in German."""

from __future__ import annotations

DE = {
    "title": "{name}, Ihre Tage mit uns",
    "party_of": "Personen:",
    "skip": "Zum Inhalt",
    "need": "nötig",
    "guide_decides": (
        "Zeiten von Gezeiten und Licht sind Vorhersagen; am Tag selbst entscheidet das Wort des "
        "Guides am Ufer."
    ),
    "our_price": "Unser Preis für Sie",
    "state_sent": "wartet auf Ihre Antwort",
    "state_tentative": "für Sie reserviert",
    "state_agreed": "vereinbart, noch nicht bestätigt",
    "state_confirmed": "bestätigt",
    "state_cancelled": "abgesagt",
    "state_fished": "gefischt",
    "state_paid": "bezahlt",
    "state_part_paid": "teilweise bezahlt",
    "state_unpaid": "zu zahlen",
    "state_overdue": "überfällig",
    "state_overpaid": "mehr bezahlt als verlangt",
    "from_time": "ab",
    "head": "Person",
    "heads": "Personen",
    "what": "Was",
    "number": "Anzahl",
    "each": "Je",
    "amount": "Betrag",
    "total": "Summe",
    "tax": "Steuer",
    "holds_tax": "Darin enthaltene Steuer:",
    "tax_at": "zu",
    "when_paid": "Wann gezahlt wird",
    "by_day": "bis",
    "if_plans_change": "Wenn sich etwas ändert",
    "until_day": "bis",
    "from_day": "ab",
    "any_time": "jederzeit",
    "we_call_off": (
        "Sagen wir den Tag ab, wählen Sie: Ihr ganzes Geld zurück oder einen anderen Tag."
    ),
    "terms_of_day": "die Bedingungen des Tages",
    "have_read": "Ich habe die Bedingungen oben für uns alle gelesen",
    "read_first": "Lesen Sie zuerst die Bedingungen und setzen Sie dann den Haken.",
    "yes_for": "Ja, wir nehmen es für",
    "price_until": "Der Preis gilt bis",
    "yours_by_yes": "Der Tag gehört Ihnen, sobald Sie zugesagt haben, und nicht vorher.",
    "yours_by_deposit": (
        "Der Tag gehört Ihnen, sobald Sie zugesagt haben und der erste Teil eingegangen ist, und "
        "nicht vorher."
    ),
    "nothing_agreed": "Noch ist nichts vereinbart",
    "ran_out": (
        "Unser Preis für {offer} ist am {day} abgelaufen. Möchten Sie den Tag noch? Fragen Sie uns "
        "unten."
    ),
    "agreed": "Vereinbart. Der Tag gehört Ihnen; unten steht, wie es weitergeht.",
    "agreed_waits": (
        "Danke. Ihr Ja und der Preis sind notiert. Auf unserer Seite ist noch etwas zu klären, "
        "dann bestätigen wir Ihnen den Tag."
    ),
    "agreed_part": (
        "Vereinbart. Der Tag gehört Ihnen, sobald der erste Teil eingegangen ist; unten steht, wie "
        "Sie zahlen."
    ),
    "agreed_already": "Sie haben diesem Preis schon zugestimmt; es wurde nichts geändert.",
    "day_waits": (
        "Sie haben zugesagt und der Preis ist vereinbart. Auf unserer Seite ist noch etwas zu "
        "klären; der Tag ist sicher, sobald hier bestätigt steht."
    ),
    "day_waits_part": (
        "Sie haben zugesagt und der Preis ist vereinbart. Der Tag gehört Ihnen, sobald der erste "
        "Teil eingegangen ist."
    ),
    "called_off_because": "Wir mussten diesen Tag absagen:",
    "yours_of_it": "Davon gehört Ihnen:",
    "must_move": "Davon kann nur auf einen anderen Tag gehen:",
    "what_shall_we": "Was sollen wir damit tun?",
    "send_back": "Zurückzahlen",
    "keep_it": "Für einen anderen Tag behalten",
    "kept": "Einbehalten",
    "goes_back": "Geht an Sie zurück",
    "goes_on": "Geht auf einen anderen Tag",
    "noted": "Notiert. Wir kümmern uns darum.",
    "no_choice": "Wählen Sie Geld zurück oder einen anderen Tag.",
    "we_meet": "Wir treffen uns",
    "back_by": "Spätestens zurück",
    "you_are": "Personen",
    "held_until": "Für Sie reserviert bis",
    "trip_sheet": "Blatt für den Tag",
    "add_to_calendar": "In Ihren Kalender",
    "money": "Geld",
    "price": "Preis",
    "paid": "Bezahlt",
    "to_pay_now": "Jetzt zu zahlen:",
    "account_of": "Konto von",
    "reference": "Verwendungszweck, genau so",
    "bank_app": "Für die App Ihrer Bank",
    "bank_code": "Zahlcode für eine Bank-App: dieselben Angaben wie oben",
    "ask_how": "Fragen Sie uns, wie Sie zahlen; nennen Sie dabei",
    "pay_here": "Im Netz bezahlen",
    "pay_cash": "Oder bar am Tag selbst.",
    "looking": "Wir kennen Ihre Wünsche und suchen einen Tag. Sie finden ihn dann hier.",
    "with_us": "Ihr Guthaben bei uns für einen anderen Tag:",
    "who_comes": "Wer mitkommt",
    "named_of": "{named} von {heads} genannt",
    "one_unnamed": "Person ist noch nicht genannt.",
    "many_unnamed": "Personen sind noch nicht genannt.",
    "name_somebody": "Jemanden nennen",
    "no_birthday": "Geburtsdatum fehlt",
    "person_title": "Wer mitkommt",
    "given_name": "Vorname",
    "family_name": "Nachname",
    "born_help": "Etwa {example}: {order}. Vom Alter hängt ab, was wir planen.",
    "born_needed": "Nennen Sie das Geburtsdatum; vom Alter hängt ab, was wir planen.",
    "name_needed": "Nennen Sie einen Namen.",
    "swims": "Im Wasser",
    "swims_unknown": "noch nicht gesagt",
    "swims_yes": "kann schwimmen",
    "swims_no": "kann nicht schwimmen",
    "is_client": "Das bin ich: Es gelten meine Mailadresse und Telefonnummer",
    "own_mail": "Mailadresse dieser Person, wenn volljährig",
    "own_mail_help": (
        "Dorthin geht ihr Link zum Unterschreiben. Ohne Adresse kommt er zu Ihnen, zum Weitergeben."
    ),
    "own_mail_kept": "Wir haben eine. Was Sie hier schreiben, ersetzt sie.",
    "guardian_heading": "An dem Tag minderjährig? Wer unterschreibt",
    "guardian": "Elternteil oder sorgeberechtigte Person",
    "guardian_none": "noch niemand",
    "guardian_outside": "{name}, kommt nicht mit",
    "guardian_other": "jemand, der nicht mitkommt, unten eingetragen",
    "guardian_name": "Voller Name, wenn sie nicht mitkommt",
    "guardian_relation": "Was die Person für das Kind ist",
    "guardian_email": "Mailadresse dieser Person",
    "guardian_phone": "Telefonnummer dieser Person",
    "guardian_name_needed": (
        "Wählen Sie jemanden aus oder nennen Sie, wer nicht mitkommt, mit vollem Namen."
    ),
    "guardian_both": "Wählen Sie jemanden aus der Liste oder tragen Sie unten einen Namen ein.",
    "no_guardian": "noch niemand genannt, der unterschreibt",
    "signs_for": "es unterschreibt {names}",
    "save": "Speichern",
    "saved": "Gespeichert.",
    "back": "Zurück, ohne zu speichern",
    "papers": "Unterlagen",
    "price_note": "Preisangabe",
    "paper_invoice": "Rechnung",
    "paper_credit_note": "Gutschrift",
    "paper_payment": "Quittung",
    "to_change": "Soll sich etwas ändern?",
    "ask_label": "Was möchten Sie ändern?",
    "ask_help": (
        "Einen anderen Tag, mehr oder weniger Personen. Wir antworten; von selbst ändert sich "
        "nichts."
    ),
    "ask_us": "Fragen",
    "you_asked": "Wartet auf unsere Antwort:",
    "asked": "Ihre Frage ist angekommen; wir antworten bald.",
    "shut_title": "Diese Seite ist geschlossen",
    "shut_unknown": (
        "Diese Adresse öffnet nichts. Vielleicht ging unterwegs ein Buchstabe verloren: Öffnen Sie "
        "sie noch einmal aus unserer Nachricht."
    ),
    "shut_over": "Diese Seite ist abgelaufen. Schreiben Sie uns, dann senden wir einen neuen Link.",
    "shut_revoked": (
        "Dieser Link wurde zurückgezogen. Schreiben Sie uns, dann senden wir einen neuen."
    ),
    "shut_too_many": (
        "Zu viele Versuche von hier. Warten Sie zehn Minuten und öffnen Sie dann den Link aus "
        "unserer Nachricht."
    ),
    "shut_else": "Unter dieser Adresse gibt es nichts. Gehen Sie zurück auf Ihre eigene Seite.",
    "to_own_page": "Zu Ihrer eigenen Seite",
    "public_title": "Fragen Sie nach einem Tag an der Küste",
    "public_lead": (
        "Sagen Sie uns, wer kommt und wann; wir antworten mit Tagen, die Gezeiten und Licht "
        "zulassen, und mit einem Preis. Fragen bucht noch nichts."
    ),
    "who_are_you": "Wer sind Sie?",
    "what_like": "Was möchten Sie?",
    "mail": "Mailadresse",
    "phone": "Telefon",
    "how_many": "Wie viele sind Sie?",
    "minors": "Davon unter 18",
    "which_day": "Welcher Tag",
    "not_sure": "noch nicht sicher",
    "first_day": "Erster Tag, der passt",
    "last_day": "Letzter Tag, der passt",
    "wishes": "Was sollten wir wissen?",
    "wishes_help": ("Bitte nichts zur Gesundheit: Dafür gibt es später einen sichereren Ort."),
    "leave_empty": "Lassen Sie dies leer",
    "send": "Frage senden",
    "reach": "Geben Sie eine Mailadresse oder Telefonnummer an, damit wir antworten können.",
    "flood": "Das waren viele Fragen. Bitte rufen Sie uns an oder warten Sie zehn Minuten.",
    "read_by": "Was Sie hier schreiben, liest {guide} und verwendet es, um Ihnen zu antworten.",
    "or_ring": "Sie können auch anrufen:",
    "thanks_title": "Danke",
    "thanks": (
        "Ihre Frage ist angekommen. {guide} antwortet in etwa einem Tag, mit Tagen und einem Preis."
    ),
    "no_answer": "Hören Sie nichts, sehen Sie im Spam-Ordner nach oder rufen Sie an:",
    "no_answer_mail": "Hören Sie nichts, sehen Sie im Spam-Ordner nach.",
}
