"""German: the sentences that fill a paper in where the rows hold no words of their own."""

DE_SHEET: dict[str, str] = {
    "sheet.decision_how": "Wir schreiben der Person, die gebucht hat.",
    "sheet.flown": "Die Köder werden mit der Drohne hinausgeflogen und über dem Wasser gelöst.",
    "sheet.walk": "Etwa {minutes} Minuten zu Fuß, hin wie zurück.",
    "sheet.meet": "Treffpunkt: {place}",
    "sheet.ready": "Am Platz ({spot}): Blick aufs Wasser, Einweisung, Ruten aufstellen",
    "sheet.lines_out": "Schnüre draußen",
    "sheet.pack_up": "Abbauen und hinausgehen",
    "sheet.back": "Spätestens zurück am Treffpunkt",
    "sheet.weather_rule": (
        "Sagen wir den Tag wegen Wetter oder See ab, wählen Sie einen anderen Tag oder Ihr Geld "
        "zurück."
    ),
    "sheet.how_to_pay": "Überweisung an {account}, IBAN {iban}, Verwendungszweck {reference}.",
    "sheet.no_guardian": "Noch niemand verantwortlich für {names}: bitte vorher sagen.",
    "sheet.health_told": "Gesundheit: eigene Karte",
    "sheet.swim_yes": "{name} schwimmt",
    "sheet.swim_no": "{name} schwimmt nicht",
    "sheet.swim_unknown": "{name}: bitte sagen, ob geschwommen wird",
    "sheet.ladder_first": "{days} Tage vorher oder früher: {what}",
    "sheet.ladder_from": "Ab {days} Tage vorher: {what}",
    "sheet.ladder_last": "Später: {what}",
    "sheet.ladder_always": "Wann immer Sie absagen: {what}",
    "sheet.keep_nothing": "nichts wird einbehalten",
    "sheet.keep_moves": (
        "nichts wird einbehalten; die Anzahlung gilt einmal für einen anderen Tag"
    ),
    "sheet.keep_deposit": "die Anzahlung wird einbehalten",
    "sheet.keep_of_deposit": "{share} der Anzahlung wird einbehalten",
    "sheet.keep_price": "der ganze Preis wird einbehalten",
    "sheet.keep_of_price": "{share} des Preises wird einbehalten",
    "sheet.keep_refilled": "{what}, nur die Anzahlung, wenn jemand anders den Platz nimmt",
    # statement of account
    "account.name": "Kontoauszug",
    "account.until": "Stand {day}",
    "account.day": "Datum",
    "account.what": "Was",
    "account.billed": "Berechnet",
    "account.paid": "Bezahlt",
    "account.balance": "Saldo",
    "account.forward": "Übertrag",
    "account.owed": "Noch zu zahlen: {amount}",
    "account.held": "Ihr Guthaben: {amount}",
    "account.even": "Es ist nichts mehr zu zahlen.",
    "account.none": "Noch nichts berechnet und nichts bezahlt.",
    "account.invoice": "Rechnung {label}",
    "account.credit_note": "Gutschrift {label}",
    "account.payment": "Zahlung, Quittung {label}",
    "account.refund": "Geld zurück, {label}",
    "account.transfer": "Auf einen anderen Tag übertragen, {label}",
    "account.write_off": "Ausgebucht, {label}",
    "account.taken_out": "{what}, zurückgenommen",
    # season statement, filled from the books
    "season.title": "Saison {year}",
    "season.by_month": "Nach Monaten",
    "season.month": "Monat",
    "season.billed": "Berechnet",
    "season.tax": "Steuer darin",
    "season.received": "Eingegangen",
    "season.refunded": "Zurückgezahlt",
    "season.written_off": "Ausgebucht",
    "season.by_rate": "Steuer nach Satz",
    "season.net": "Netto",
    "season.gross": "Brutto",
    "season.exempt": "befreit",
    "season.rate": "{rate} %",
    "season.days_by_offer": "Tage nach Angebot",
    "season.offer": "Angebot",
    "season.days_fished": "Gefischt",
    "season.days_off": "Abgesagt",
    "season.days_ahead": "Noch offen",
    "season.heads": "Köpfe",
    "season.days_run": "Tage gefischt",
    "season.of_days": "von {count} verkauften",
    # the page on which somebody says whether they come
    "answer.title": "Kommen Sie?",
    "answer.meet": "Treffpunkt",
    "answer.back": "Spätestens zurück",
    "answer.yes": "Ich komme",
    "answer.unsure": "Ich weiß es noch nicht",
    "answer.no": "Ich komme nicht",
    "answer.comment": "Ein Wort an den Guide, wenn Sie mögen",
    "answer.thanks": "Danke, notiert.",
    "answer.changes": (
        "Sie können es hier bis zum Tag ändern. Gebucht und abgesagt wird damit nichts: Das tut, "
        "wer gebucht hat."
    ),
    "answer.now_needs-action": "Sie haben noch nicht geantwortet.",
    "answer.now_accepted": "Sie haben gesagt, dass Sie kommen.",
    "answer.now_tentative": "Sie haben gesagt, dass Sie es noch nicht wissen.",
    "answer.now_declined": "Sie haben gesagt, dass Sie nicht kommen.",
    "answer.now_delegated": "Sie haben gesagt, dass jemand anders für Sie kommt.",
    "answer.shut": "Diese Seite ist zu",
    "answer.shut_unknown": (
        "Diese Adresse öffnet nichts. Vielleicht ging ein Buchstabe verloren: Öffnen Sie sie noch "
        "einmal aus unserer Nachricht."
    ),
    "answer.shut_older": (
        "Zeit oder Ort haben sich geändert. Nehmen Sie den Link aus unserer neuesten Nachricht."
    ),
    "answer.shut_off": "Sie stehen nicht mehr auf der Liste dieses Tages, oder er ist abgesagt.",
    "answer.shut_over": "Dieser Tag ist vorbei. Danke.",
    "answer.shut_too_many": "Zu viele Versuche von hier. Bitte zehn Minuten warten.",
    # gear report, filled from the gear list
    "gear.title": "Gerät für {trip}",
    "gear.title_all": "Alles Gerät",
}
