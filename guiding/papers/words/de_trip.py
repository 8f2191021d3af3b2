"""German: what every paper carries, and the client's trip sheet."""

DE_TRIP: dict[str, str] = {
    # every paper
    "page.page_of": "Seite {page} von {pages}",
    "page.number": "Nr. {number}",
    "page.printed": "gedruckt {when}",
    "page.not_known": "nicht bekannt",
    "page.tentative": "NOCH NICHT BESTÄTIGT",
    "page.called_off": "ABGESAGT",
    "page.missing": (
        "steht für einen Buchstaben, den die Schrift dieses Blattes nicht hat. In unseren Büchern "
        "steht der Name vollständig."
    ),
    "page.quoted": "„{text}“",
    "page.yes": "ja",
    "page.no": "nein",
    # the tide beside a time
    "tide.at_low": "bei Niedrigwasser",
    "tide.at_high": "bei Hochwasser",
    "tide.before_low": "{span} vor Niedrigwasser",
    "tide.after_low": "{span} nach Niedrigwasser",
    "tide.before_high": "{span} vor Hochwasser",
    "tide.after_high": "{span} nach Hochwasser",
    # trip sheet: at a glance
    "trip.name": "Tagesblatt",
    "trip.subject": "Was vor, während und nach dem Tag zu wissen ist: {title}",
    "trip.date": "Datum",
    "trip.meet": "Treffen um",
    "trip.back": "Zurück zwischen",
    "trip.place": "Treffpunkt",
    "trip.guide": "Ihr Guide",
    "trip.decision": "Entscheidung über das Wetter",
    "trip.decision_how": "Sie hören in jedem Fall von uns.",
    "trip.map": "Karte",
    "trip.party": "Ihre Gruppe",
    "trip.party_count": "{count:Person|Personen}",
    "trip.clock": "Alle Zeiten sind Ortszeit ({zone}).",
    "trip.spot": "Wo:",
    # what we do
    "trip.what": "Was wir tun",
    "trip.method": "So kommen die Köder hinaus:",
    "trip.effort": "Anstrengung:",
    "trip.walking": "Fußweg:",
    "trip.toilets": "Toiletten:",
    "trip.signal": "Handyempfang:",
    # bring
    "trip.kit": "Was mitkommt",
    "trip.bring": "Mitbringen",
    "trip.wear": "Anziehen",
    "trip.supplied": "Stellen wir",
    # the day
    "trip.day": "Der Tag",
    "trip.day_note": (
        "Zeiten richten sich nach See und Wetter; was der Guide am Tag sagt, gilt vor diesem Blatt."
    ),
    # sea, tide, wind, sun
    "trip.sea": "See, Tide, Wind, Sonne",
    "trip.tide_source": "Tide: {source}.",
    "trip.tide_source_none": (
        "Für diesen Tag liegt keine Tidenvorhersage vor; fragen Sie den Guide."
    ),
    "trip.forecast": "Vorhersage: {source}, ausgegeben {when}.",
    "trip.forecast_plain": "Vorhersage: {source}.",
    "trip.not_for_navigation": "Vorhersagen, nicht zur Navigation.",
    # risks and rules
    "trip.risks": "Die Hauptgefahren dieses Tages",
    "trip.risks_lead": (
        "Angeln vom Ufer kann Sie verletzen, selten auch schwer. Mit diesen Gefahren rechnen wir "
        "an Ihrem Tag; vollständig ist die Liste nicht. Macht Ihnen etwas Sorgen, sagen Sie es: "
        "Sie dürfen alles auslassen. Fragen Sie auch Ihre eigene Behörde."
    ),
    "trip.rules": "Drei Regeln",
    "trip.rule_1": "Bleiben Sie hinter den Ruten, außer der Guide geht mit.",
    "trip.rule_2": "Gesicht zur See. Ruft der Guide, lassen Sie alles fallen und kommen herauf.",
    "trip.rule_3": "Ist das Fluggerät in der Luft, stehen Sie still hinter der gezeigten Linie.",
    "trip.rule_3_cast": "Vor jedem Wurf: hinter sich schauen und auf das Wort des Guides warten.",
    # emergency
    "trip.emergency": "Im Notfall",
    "trip.emergency_number": "Notruf",
    "trip.emergency_position": "Wir sind bei",
    "trip.emergency_access": "Zugang:",
    "trip.emergency_hospital": "Nächstes Krankenhaus",
    "trip.emergency_beacon": "Notsender",
    "trip.emergency_first_aid": "Erste Hilfe",
    "trip.emergency_signal": "Nächster Empfang",
    "trip.emergency_contact": "An Land weiß Bescheid",
    "trip.emergency_overdue": "schlägt Alarm, wenn wir bis {when} nicht zurück sind",
    "trip.emergency_landing": "Hubschrauber kann landen",
    "trip.step_1": (
        "Bringen Sie zuerst sich selbst in Sicherheit. Niemand geht hinterher ins Wasser."
    ),
    "trip.step_2": "Werfen Sie etwas, das schwimmt, und zeigen Sie ständig auf die Person.",
    "trip.step_3": (
        "Wählen Sie {number}: wo wir sind, was geschehen ist, wie viele verletzt sind. Kein "
        "Empfang: Notsender auslösen."
    ),
    "trip.step_4": (
        "Ist der Guide selbst verletzt: alle über der Hochwasserlinie sammeln, zählen, Notsender "
        "auslösen, zusammenbleiben, bis Hilfe kommt."
    ),
    # fish
    "trip.fish": "Die Fische",
    "trip.fish_species": "Art",
    "trip.fish_min": "Mindestmaß",
    "trip.fish_bag": "Je Person und Tag",
    "trip.fish_note": "Hinweis",
    "trip.fish_release_all": "alle zurück",
    "trip.fish_source": "Quelle: {source}, geprüft {day}.",
    "trip.fish_source_plain": "Quelle: {source}.",
    "trip.fish_check": "Maße und Mengen ändern sich: fragen Sie Ihre eigene Behörde.",
    "trip.fish_release": (
        "Was wir nicht behalten, geht rasch zurück: nasse Hände, Haken lösen oder Schnur kurz "
        "abschneiden, den Fisch aufrecht im Wasser halten, bis er schwimmt."
    ),
    "trip.fish_photos": (
        "Erst die Kamera bereit, dann den Fisch heben, und zurück, ehe Sie zum zweiten Mal Luft "
        "holen. Bilder von Ihnen zeigen wir nur, wenn Sie zugestimmt haben."
    ),
    # health
    "trip.health": "Gesundheit, Essen",
    "trip.health_medicines": (
        "Tragen Sie Ihre Medizin am Körper, nicht im Wagen, und sagen Sie dem Guide, wo. Hat sich "
        "seit Ihrem Bogen etwas geändert, rufen Sie vor dem Tag an. Im Zweifel fragen Sie Ihren "
        "Arzt, ob ein solcher Tag etwas für Sie ist."
    ),
    "trip.health_food": (
        "Essen und Wasser: selbst mitbringen, wenn nichts anderes vereinbart ist; Allergien nennen."
    ),
    "trip.health_alcohol": (
        "Kein Alkohol, keine Drogen vor und während des Tages, bis wir vom Ufer weg sind."
    ),
    # money
    "trip.money": "Geld",
    "trip.money_price": "Preis {price}, bezahlt {paid}.",
    "trip.money_due": "Noch offen {due}.",
    "trip.money_due_on": "Noch offen {due}, bis {day}.",
    "trip.money_nothing": "Es ist nichts mehr zu zahlen.",
    "trip.money_ladder": "Wenn sich etwas ändert:",
    "trip.money_weather": (
        "Sagt der Guide den Tag wegen Wetter oder See ab, wählen Sie ein neues Datum oder Ihr Geld "
        "zurück."
    ),
    # insurance
    "trip.insurance": "Versicherung, danach",
    "trip.insurance_cover": "Versichert:",
    "trip.insurance_gaps": "Nicht versichert:",
    "trip.insurance_gaps_text": (
        "eigene Arztkosten, Anreise und Sachen, außer Ihre eigene Versicherung tut es."
    ),
    "trip.insurance_complaints": "Etwas nicht in Ordnung?",
    "trip.insurance_complaints_text": (
        "Sagen Sie es dem Guide am Tag, oder schreiben Sie an die Adresse oben."
    ),
    "trip.insurance_after": "Danach:",
    "trip.insurance_after_text": (
        "melden Sie uns jede Verletzung, die Sie später bemerken, und was Sie vermissen; "
        "Fundsachen heben wir drei Monate auf."
    ),
    # minors
    "trip.minors": "Für Minderjährige",
    "trip.minors_responsible": "Wer aufpasst, Minute für Minute:",
    "trip.minors_second": "Zweite erwachsene Person:",
    "trip.minors_second_text": (
        "eine sorgeberechtigte Person bleibt, oder eine zweite erwachsene steht hier mit Namen. "
        "Nie ein Erwachsener allein mit einem Kind."
    ),
    "trip.minors_collection": "Abgeholt von:",
    "trip.minors_seats": "Sitze im Wagen:",
    "trip.minors_swim": "Schwimmen:",
    "trip.minors_consents": "Vereinbart:",
    "trip.minors_contacts": "Zu erreichen:",
    "trip.names": "Wer kommt",
    # the child's own page
    "child.name": "Deine Seite",
    "child.lead": "Fünf Dinge, die du wissen musst, bevor wir angeln gehen.",
    "child.rule_1": "Bleib bei deinem Erwachsenen. Geh nie allein an den Ruten vorbei.",
    "child.rule_2": (
        "Schau auf das Meer. Eine große Welle kann kommen, wenn du nicht damit rechnest."
    ),
    "child.rule_3": "Wenn das kleine Fluggerät fliegt, bleib stehen, bis die Flügel stillstehen.",
    "child.rule_4": (
        "Haken und Messer sind für den Guide. Liegt einer herum? Ruf laut, fass ihn nicht an."
    ),
    "child.rule_5": "Verlaufen? Setz dich an den Wagen. Dort holen wir dich ab.",
    "child.ask": "Kalt, durstig, Pipi, komisches Gefühl? Sag es. Das stört niemanden.",
}
