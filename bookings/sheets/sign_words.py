"""The words of the signing pages, in each language that they speak."""

from __future__ import annotations

from collections.abc import Mapping

EN = {
    "language": "English",
    "title": "Sign for your day",
    "for_whom": "Who signs",
    "signs_all": "You sign on this page for the people below. Nobody else can open it.",
    "nothing": "There is nothing for you to sign.",
    "no_text": "The text to sign is not ready yet. The guide asks you again when it is.",
    "minor_waits": (
        "You will be under age on the day, so a parent or legal guardian signs for you, on a link "
        "of their own. Please ask them."
    ),
    "signed": "signed",
    "missing": "missing",
    "read_sign": "Read and sign",
    "yourself": "Yourself",
    "for_minor": "{name}, {age} on the day. You sign as parent or legal guardian.",
    "your_copies": "What you have signed",
    "copies_help": "Keep a copy for yourself.",
    "copy": "PDF copy",
    "record": "record",
    "change_photos": "Change the answer about photographs",
    "change_health": "Change the health answers",
    "all_done": "Thank you. Everything is signed.",
    "hand_back": "Please hand the phone back to the guide.",
    "hand_back_button": "Back to the meeting point",
    "one_done": "Signed.",
    "copy_comes": "A copy comes by mail to {mail}.",
    "version": "Version {number}",
    "your_birthday": "Date of birth",
    "birthday_help": "Such as {example}: {order}. It says whether a guardian must sign.",
    "order_dmy": "day, month, year",
    "order_mdy": "month, day, year",
    "order_ymd": "year, month, day",
    "born_shape": "Write the date of birth as {order}, such as {example}.",
    "born_year": "Write the year of birth with four digits, such as {example}.",
    "born_no_day": "No calendar has this day. Write {order}, such as {example}.",
    "birthday_of": "When was {name} born?",
    "go_on": "Go on",
    "health_heading": "The questions",
    "allergy": "An allergy that the guide must know of?",
    "allergy_note": "Which, and what helps?",
    "injector": "An adrenaline injector is carried",
    "medicine": "Medicine or a condition that matters in an emergency?",
    "medicine_note": "Which, and where is the medicine kept?",
    "swims": "Able to swim 50 metres in open water?",
    "more": "Anything else the guide should know?",
    "kin_name": "Whom to call in an emergency",
    "kin_phone": "Their telephone number",
    "yes": "Yes",
    "no": "No",
    "photos": "May pictures with you in them be shown?",
    "photos_minor": "May pictures with {name} in them be shown?",
    "guardian_heading": "You, and who watches over {name}",
    "relation": "What you are to {name}",
    "relation_help": "Such as mother, father, legal guardian.",
    "contact_phone": "Number on which you can be reached on the day",
    "responsible": "Who stays responsible minute by minute?",
    "other_adult": "another adult who comes along",
    "responsible_name": "That other adult's full name",
    "signature_heading": "Your signature",
    "signer_name": "Your full name",
    "draw_label": "Draw your signature here",
    "draw_help": "With a finger, a pen or a mouse.",
    "drawn": "Signature drawn.",
    "cleared": "The field is empty.",
    "clear": "Clear",
    "undo": "Take back the last line",
    "typed": "Or type your name as your signature",
    "agrees": "I agree to sign here electronically. I could have had paper instead.",
    "intent": "I have read the texts above, I understand them, and I sign them as my own act.",
    "intent_minor": (
        "I have read the texts above, I understand them, and I sign them for {name} as my own act."
    ),
    "copy_to": "Mail address for your copy, if you want one",
    "copy_to_help": "You can also download it on the next page.",
    "sign": "Sign",
    "needed": "Please answer this.",
    "put_right": "Please put this right; what you typed is still there",
    "not_a_shield": (
        "What you sign is a record, not a shield: it takes away none of your rights. Unsure? Ask "
        "the guide, or your own adviser."
    ),
    "kept": (
        "With your signature we keep the time, the browser's name and the network it came from, "
        "the last two for {days} days."
    ),
    "questions": "Questions?",
    "ring": "Ring {guide} on",
    "or_write": "or write to",
    "write": "Write to",
    "yours_alone": "This page is yours alone: whoever has its address can open it.",
    "shut_title": "This link opens nothing",
    "shut_unknown": "This address is not known. Copy the whole link from the message once more.",
    "shut_over": "This link has run out. Ask the guide for a new one.",
    "shut_revoked": "This link was taken back. Ask the guide for a new one.",
    "shut_off": "This day was called off, or you are not on it any more. There is nothing to sign.",
    "shut_else": "This page is not there, or it is not yours. Go back to your own link.",
    "too_many": "Too many wrong addresses from here. Wait ten minutes and try again.",
    "trip_over": "This day is over: nothing can be signed for it any more.",
    "sheet_health": "Allergy, medicine, swims 50 m, whom to call: told to the guide in person.",
    "sheet_for": "Signs for",
    "sheet_as": "{name}, {age} on the day, as",
    "sheet_reached": "Reached on",
    "sheet_stays": "Stays responsible",
    "sheet_name": "Full name",
    "sheet_signature": "Signature",
    "sheet_when": "Place, day, time",
    "sheet_record": "A signed sheet is a record, not a shield.",
    "ask_subject": "Please read and sign for {day}",
    "ask_body": (
        "Hello {name},\n\nbefore our day on the shore on {day} there are a few texts to read and "
        "sign for {names}. It takes about five minutes on a phone:\n\n{link}\n\nThe link is "
        "yours alone and lasts until {until}. Please do not pass it on.\n\n{guide}\n"
    ),
    "ask_booker_subject": "To hand on to {signer}: please read and sign for {day}",
    "ask_booker_body": (
        "Hello {name},\n\nbefore our day on the shore on {day} {signer} has a few texts to read "
        "and sign for {names}. We have neither a mail address nor a telephone number of "
        "{signer}'s own, so the link comes to you. Please hand it on; {signer} alone signs "
        "with it:\n\n{link}\n\nThe link lasts until {until}.\n\n{guide}\n"
    ),
}

DE = {
    "language": "Deutsch",
    "title": "Unterschreiben für Ihren Tag",
    "for_whom": "Wer unterschreibt",
    "signs_all": (
        "Auf dieser Seite unterschreiben Sie für die folgenden Personen. Niemand sonst kann sie "
        "öffnen."
    ),
    "nothing": "Für Sie gibt es nichts zu unterschreiben.",
    "no_text": (
        "Der Text zum Unterschreiben ist noch nicht fertig. Sobald er da ist, fragt der Guide noch "
        "einmal."
    ),
    "minor_waits": (
        "Sie sind an dem Tag noch minderjährig. Deshalb unterschreibt ein Elternteil oder eine "
        "sorgeberechtigte Person für Sie, über einen eigenen Link. Bitte sprechen Sie sie an."
    ),
    "signed": "unterschrieben",
    "missing": "fehlt",
    "read_sign": "Lesen und unterschreiben",
    "yourself": "Sie selbst",
    "for_minor": (
        "{name}, an dem Tag {age} Jahre alt. Sie unterschreiben als Elternteil oder "
        "sorgeberechtigte Person."
    ),
    "your_copies": "Was Sie unterschrieben haben",
    "copies_help": "Heben Sie eine Kopie auf.",
    "copy": "Kopie als PDF",
    "record": "Nummer",
    "change_photos": "Die Antwort zu Fotos ändern",
    "change_health": "Die Antworten zur Gesundheit ändern",
    "all_done": "Danke. Alles ist unterschrieben.",
    "hand_back": "Bitte geben Sie das Telefon dem Guide zurück.",
    "hand_back_button": "Zurück zum Treffpunkt",
    "one_done": "Unterschrieben.",
    "copy_comes": "Eine Kopie kommt per Mail an {mail}.",
    "version": "Fassung {number}",
    "your_birthday": "Geburtsdatum",
    "birthday_help": "Etwa {example}: {order}. Danach richtet sich, wer unterschreiben muss.",
    "order_dmy": "Tag, Monat, Jahr",
    "order_mdy": "Monat, Tag, Jahr",
    "order_ymd": "Jahr, Monat, Tag",
    "born_shape": "Schreiben Sie das Geburtsdatum als {order}, etwa {example}.",
    "born_year": "Schreiben Sie das Geburtsjahr mit vier Ziffern, etwa {example}.",
    "born_no_day": "Diesen Tag gibt es in keinem Kalender. Schreiben Sie {order}, etwa {example}.",
    "birthday_of": "Wann wurde {name} geboren?",
    "go_on": "Weiter",
    "health_heading": "Die Fragen",
    "allergy": "Eine Allergie, von der der Guide wissen muss?",
    "allergy_note": "Welche, und was hilft?",
    "injector": "Ein Adrenalin-Pen ist dabei",
    "medicine": "Medikamente oder eine Krankheit, die im Notfall wichtig sind?",
    "medicine_note": "Welche, und wo sind die Medikamente?",
    "swims": "Können Sie 50 Meter im offenen Wasser schwimmen?",
    "more": "Was sollte der Guide sonst noch wissen?",
    "kin_name": "Wen sollen wir im Notfall anrufen?",
    "kin_phone": "Telefonnummer dieser Person",
    "yes": "Ja",
    "no": "Nein",
    "photos": "Dürfen Bilder gezeigt werden, auf denen Sie zu sehen sind?",
    "photos_minor": "Dürfen Bilder gezeigt werden, auf denen {name} zu sehen ist?",
    "guardian_heading": "Sie, und wer auf {name} achtet",
    "relation": "Was Sie für {name} sind",
    "relation_help": "Etwa Mutter, Vater, Vormund.",
    "contact_phone": "Nummer, unter der Sie an dem Tag zu erreichen sind",
    "responsible": "Wer bleibt in jeder Minute verantwortlich?",
    "other_adult": "ein anderer Erwachsener, der mitkommt",
    "responsible_name": "Voller Name dieses Erwachsenen",
    "signature_heading": "Ihre Unterschrift",
    "signer_name": "Ihr voller Name",
    "draw_label": "Zeichnen Sie hier Ihre Unterschrift",
    "draw_help": "Mit dem Finger, einem Stift oder der Maus.",
    "drawn": "Die Unterschrift ist gezeichnet.",
    "cleared": "Das Feld ist leer.",
    "clear": "Leeren",
    "undo": "Letzte Linie zurücknehmen",
    "typed": "Oder tippen Sie Ihren Namen als Unterschrift",
    "agrees": (
        "Ich bin einverstanden, hier elektronisch zu unterschreiben. Papier hätte ich auch haben "
        "können."
    ),
    "intent": (
        "Ich habe die Texte oben gelesen und verstanden und unterschreibe sie als meine eigene "
        "Erklärung."
    ),
    "intent_minor": (
        "Ich habe die Texte oben gelesen und verstanden und unterschreibe sie für {name} als "
        "meine eigene Erklärung."
    ),
    "copy_to": "Mailadresse für Ihre Kopie, falls Sie eine wünschen",
    "copy_to_help": "Auf der nächsten Seite können Sie sie auch herunterladen.",
    "sign": "Unterschreiben",
    "needed": "Bitte beantworten Sie das.",
    "put_right": "Bitte berichtigen Sie das; Ihre Eingaben sind noch da",
    "not_a_shield": (
        "Was Sie unterschreiben, ist ein Nachweis und kein Schutzschild: Es nimmt Ihnen keine "
        "Rechte. Unsicher? Fragen Sie den Guide oder lassen Sie sich beraten."
    ),
    "kept": (
        "Mit der Unterschrift bewahren wir die Zeit, den Namen des Browsers und das Netz auf, aus "
        "dem sie kam, die letzten beiden {days} Tage lang."
    ),
    "questions": "Fragen?",
    "ring": "Rufen Sie {guide} an:",
    "or_write": "oder schreiben Sie an",
    "write": "Schreiben Sie an",
    "yours_alone": ("Diese Seite gehört Ihnen allein: Wer die Adresse hat, kann sie öffnen."),
    "shut_title": "Dieser Link öffnet nichts",
    "shut_unknown": (
        "Diese Adresse ist nicht bekannt. Kopieren Sie den ganzen Link noch einmal aus der "
        "Nachricht."
    ),
    "shut_over": "Dieser Link ist abgelaufen. Bitten Sie den Guide um einen neuen.",
    "shut_revoked": "Dieser Link wurde zurückgezogen. Bitten Sie den Guide um einen neuen.",
    "shut_off": (
        "Dieser Tag wurde abgesagt, oder Sie nehmen nicht mehr teil. Es gibt nichts zu "
        "unterschreiben."
    ),
    "shut_else": (
        "Diese Seite gibt es nicht, oder sie gehört Ihnen nicht. Öffnen Sie Ihren eigenen Link."
    ),
    "too_many": "Zu viele falsche Adressen von hier. Warten Sie zehn Minuten.",
    "trip_over": "Dieser Tag ist vorbei: Dafür kann nichts mehr unterschrieben werden.",
    "sheet_health": (
        "Allergie, Medikamente, schwimmt 50 m, wen anrufen: dem Guide persönlich gesagt."
    ),
    "sheet_for": "Unterschreibt für",
    "sheet_as": "{name}, an dem Tag {age} Jahre alt, als",
    "sheet_reached": "Zu erreichen unter",
    "sheet_stays": "Bleibt verantwortlich",
    "sheet_name": "Voller Name",
    "sheet_signature": "Unterschrift",
    "sheet_when": "Ort, Tag, Uhrzeit",
    "sheet_record": "Ein unterschriebenes Blatt ist ein Nachweis und kein Schutzschild.",
    "ask_subject": "Bitte lesen und unterschreiben für {day}",
    "ask_body": (
        "Guten Tag {name},\n\nvor unserem Tag an der Küste am {day} gibt es ein paar Texte zu "
        "lesen und zu unterschreiben, und zwar für {names}. Am Telefon dauert das etwa fünf "
        "Minuten:\n\n{link}\n\nDer Link gehört Ihnen allein und gilt bis {until}. Bitte geben "
        "Sie ihn nicht weiter.\n\n{guide}\n"
    ),
    "ask_booker_subject": "Zum Weitergeben an {signer}: bitte lesen und unterschreiben für {day}",
    "ask_booker_body": (
        "Guten Tag {name},\n\nvor unserem Tag an der Küste am {day} hat {signer} ein paar Texte zu "
        "lesen und zu unterschreiben, und zwar für {names}. Wir kennen von {signer} weder eine "
        "Mailadresse noch eine Telefonnummer, darum kommt der Link zu Ihnen. Bitte geben Sie ihn "
        "weiter; damit unterschreibt nur {signer}:\n\n{link}\n\nDer Link gilt bis "
        "{until}.\n\n{guide}\n"
    ),
}

WORDS: Mapping[str, Mapping[str, str]] = {"en": EN, "de": DE}

# What a form may be refused with, as the rules and the actions say it.
_REFUSALS_DE = {
    "Draw your signature or type your name.": (
        "Zeichnen Sie Ihre Unterschrift oder tippen Sie Ihren Namen."
    ),
    "The drawing is too large to be a signature; clear it and draw it again.": (
        "Die Zeichnung ist zu groß für eine Unterschrift; leeren Sie das Feld und zeichnen Sie neu."
    ),
    "The drawing did not arrive whole; draw it again.": (
        "Die Zeichnung kam nicht vollständig an; zeichnen Sie sie noch einmal."
    ),
    "Nothing is drawn yet; draw your signature or type your name.": (
        "Noch ist nichts gezeichnet; zeichnen Sie oder tippen Sie Ihren Namen."
    ),
    "The drawing has too many points; clear it and draw it again.": (
        "Die Zeichnung hat zu viele Punkte; leeren Sie das Feld und zeichnen Sie neu."
    ),
    "A dot is no signature; draw it larger or type your name.": (
        "Ein Punkt ist keine Unterschrift; zeichnen Sie größer oder tippen Sie Ihren Namen."
    ),
    "A point of the drawing lies outside the field; clear it and draw it again.": (
        "Ein Punkt der Zeichnung liegt außerhalb; leeren Sie das Feld und zeichnen Sie neu."
    ),
    "Type your whole name; a letter alone is no signature.": (
        "Tippen Sie Ihren ganzen Namen; ein Buchstabe ist keine Unterschrift."
    ),
    "The name holds a character that no name has; type it again.": (
        "Der Name enthält ein Zeichen, das in keinem Namen steht; tippen Sie ihn noch einmal."
    ),
    "The name is longer than 200 characters; type it as you sign.": (
        "Der Name ist länger als 200 Zeichen; tippen Sie ihn, wie Sie unterschreiben."
    ),
    "Tick this to sign here, or ask the guide for paper.": (
        "Setzen Sie hier einen Haken, oder bitten Sie den Guide um Papier."
    ),
    "Say yes or no; either answer is fine.": "Sagen Sie Ja oder Nein; beides ist in Ordnung.",
    "Answer the health questions.": "Beantworten Sie die Fragen zur Gesundheit.",
    "Say what it is, or that you will tell the guide in person.": (
        "Sagen Sie, was es ist, oder dass Sie es dem Guide persönlich sagen."
    ),
    "Say what you are to the minor: mother, father, legal guardian.": (
        "Sagen Sie, was Sie für das Kind sind: Mutter, Vater, Vormund."
    ),
    "Give a number on which you can be reached on the day.": (
        "Geben Sie eine Nummer an, unter der Sie an dem Tag zu erreichen sind."
    ),
    "Say which adult stays responsible for them minute by minute.": (
        "Sagen Sie, welcher Erwachsene in jeder Minute verantwortlich bleibt."
    ),
    "This is no mail address.": "Das ist keine Mailadresse.",
    "The date of birth lies in the future.": "Das Geburtsdatum liegt in der Zukunft.",
    "The date of birth is known. Ask the guide to mend it.": (
        "Das Geburtsdatum ist bekannt. Bitten Sie den Guide, es zu berichtigen."
    ),
}
REFUSALS: Mapping[str, Mapping[str, str]] = {"de": _REFUSALS_DE}


def words_of(language: str) -> Mapping[str, str]:
    """The words of a language, or English."""
    return WORDS.get(language, EN)


def refusal_in(language: str, sentence: str) -> str:
    """A refusal in a language, or as it is."""
    return REFUSALS.get(language, {}).get(sentence, sentence)
