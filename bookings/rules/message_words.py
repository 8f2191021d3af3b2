"""The house's wording of each message in English and German, until the guide writes another."""

from __future__ import annotations

_SIGNED = "\n\n{guide}, {business}\n{guide_phone}\n"

_WHERE = "We meet at {meet_time} on {day}: {meet_place}.\nBack at the latest: {back_time}."
_WO = "Treffpunkt {day}, {meet_time} Uhr: {meet_place}.\nSpätestens zurück: {back_time} Uhr."

_EN: dict[str, tuple[str, str]] = {
    "price_note": (
        "Your price: {offer}",
        "Hello {first_name},\n\nthank you for asking. {offer} comes to {total}, with a deposit of "
        "{deposit}. The price stands until {valid_until}; the whole of it is in the paper with "
        "this mail.\n\n{yours}\n\nTo take the day, say yes on your own page, or answer this mail:"
        "\n{page}",
    ),
    "confirmation": (
        "{trip}, {day}: your place is confirmed",
        "Hello {first_name},\n\nit is settled: {trip} on {day}.\n\n" + _WHERE + "\n\n"
        "The invitation with this mail puts it into your calendar. Where your mail program shows "
        "none, say here whether you come:\n{answer}\n\nWe look at wind, waves and tide again "
        "and tell you by {decision_time} whether we go.",
    ),
    "change": (
        "{trip}: new time or place, {day}",
        "Hello {first_name},\n\n{moved}\n\nThis is how it stands now.\n" + _WHERE + "\n\n"
        "If you have an invitation of ours, the update with this mail corrects your calendar. "
        "Say whether it suits you:\n{answer}",
    ),
    "taken_off": (
        "{trip}, {day}: you are off the list",
        "Hello {first_name},\n\nyou no longer stand on the list for {trip} on {day}, and the entry "
        "leaves your calendar. If that is a mistake, tell us.",
    ),
    "forms": (
        "{trip}, {day}: still to be signed",
        "Hello {first_name},\n\nbefore we can take you along on {day} this is still missing:\n\n"
        "{missing}\n\n{sign}\n\nCall if anything is unclear.",
    ),
    "copy": (
        "Your copy: {trip}, {day}",
        "Hello {first_name},\n\nthank you for signing for {signed_for}. Here is your copy, a file "
        "for each text:\n\n{copies}\n\nKeep it. The square code on each form opens a page that "
        "says whether the record is still what it was. A signed form is a record, not a shield: "
        "it takes away none of your rights.",
    ),
    "balance": (
        "{trip}, {day}: {due} to pay by {due_day}",
        "Hello {first_name},\n\nwith this mail comes the invoice for {trip} on {day}: {due}, to be "
        "paid by {due_day}. {yours}\n\nHow to pay stands on it and on your own page:\n{page}",
    ),
    "reminder": (
        "{trip}, {day}: {due} not yet with us",
        "Hello {first_name},\n\nfor {trip} on {day} we have not yet received {due}, due since "
        "{since}.\n\n{invoices}\n\n{pay}\n\nThe same stands on your own page:\n{page}\n\nIf it "
        "is on its way already, this mail has crossed it. If something stands in the way, answer "
        "this mail or call, and we find a way.",
    ),
    "go": (
        "We go: {trip}, {day}",
        "Hello {first_name},\n\nwe go. {reason}\n\n" + _WHERE,
    ),
    "hold": (
        "Not decided yet: {trip}, {day}",
        "Hello {first_name},\n\nwe cannot say yet whether we go on {day}. {reason}\n\n"
        "Please keep the day free; we write again as soon as we know.",
    ),
    "call_off": (
        "Called off: {trip}, {day}",
        "Hello {first_name},\n\nwe call the day off: {reason}\n\n{choices}\n\n"
        "The entry leaves your calendar with this mail.",
    ),
    "trip_sheet": (
        "{trip}, {day}: your trip sheet",
        "Hello {first_name},\n\nhere is your trip sheet with the plan of the day, what to bring "
        "and whom to call.\n\n" + _WHERE,
    ),
    "overdue": (
        "{trip}: the party is overdue",
        "Hello {first_name},\n\nthe party of {trip} should have reported by {overdue_time} and has "
        "not. You are asked to call {guide} on {guide_phone} now and, without an answer, to follow "
        "the emergency card. Spot: {spot}.",
    ),
    "thanks": (
        "Thank you for the day at {spot}",
        "Hello {first_name},\n\nthank you for {day}.\n\n{catch}\n\nWe hope to see you again.",
    ),
    "statement": (
        "Your statement",
        "Hello {first_name},\n\nthis is how your account stands. {balance}\n\nEvery paper is in "
        "the statement with this mail, and on your own page:\n{page}",
    ),
    "test": (
        "The mail settings work",
        "Hello {first_name},\n\nthis mail was sent by the desk of {business} to see whether its "
        "mail settings work. They do.",
    ),
}
_DE: dict[str, tuple[str, str]] = {
    "price_note": (
        "Ihr Preis: {offer}",
        "Guten Tag {first_name},\n\ndanke für die Anfrage. {offer} kostet {total}, davon {deposit} "
        "als Anzahlung. Der Preis gilt bis {valid_until}; alles Nähere steht im Blatt in dieser "
        "Mail.\n\n{yours}\n\nZum Zusagen öffnen Sie Ihre eigene Seite, oder antworten Sie:\n{page}",
    ),
    "confirmation": (
        "{trip}, {day}: Ihr Platz ist fest",
        "Guten Tag {first_name},\n\nes bleibt dabei: {trip} am {day}.\n\n" + _WO + "\n\n"
        "Die Einladung in dieser Mail trägt den Tag in Ihren Kalender ein. Zeigt Ihr Programm "
        "keine, sagen Sie hier, ob Sie kommen:\n{answer}\n\nWir sehen noch einmal nach Wind, "
        "Wellen und Tide und sagen bis {decision_time}, ob wir fahren.",
    ),
    "change": (
        "{trip}: neue Zeit oder neuer Ort, {day}",
        "Guten Tag {first_name},\n\n{moved}\n\nSo gilt es jetzt.\n" + _WO + "\n\n"
        "Haben Sie eine Einladung von uns, so berichtigt diese Mail Ihren Kalender. Sagen Sie, ob "
        "es passt:\n{answer}",
    ),
    "taken_off": (
        "{trip}, {day}: Sie stehen nicht mehr auf der Liste",
        "Guten Tag {first_name},\n\nSie stehen für {trip} am {day} nicht mehr auf der Liste; der "
        "Eintrag verschwindet aus Ihrem Kalender. Ist das ein Irrtum, sagen Sie bitte Bescheid.",
    ),
    "forms": (
        "{trip}, {day}: noch zu unterschreiben",
        "Guten Tag {first_name},\n\nbevor wir Sie am {day} mitnehmen können, fehlt noch:\n\n"
        "{missing}\n\n{sign}\n\nRufen Sie an, wenn etwas unklar ist.",
    ),
    "copy": (
        "Ihre Kopie: {trip}, {day}",
        "Guten Tag {first_name},\n\ndanke für die Unterschrift für {signed_for}. Anbei Ihre Kopie, "
        "eine Datei für jeden Text:\n\n{copies}\n\nHeben Sie sie auf. Der quadratische Code auf "
        "jedem Bogen öffnet eine Seite, die sagt, ob der Eintrag noch ist, was er war. Ein "
        "unterschriebener Bogen ist ein Nachweis und kein Schutzschild: Er nimmt Ihnen keine "
        "Rechte.",
    ),
    "balance": (
        "{trip}, {day}: {due} zu zahlen bis {due_day}",
        "Guten Tag {first_name},\n\nmit dieser Mail kommt die Rechnung für {trip} am {day}: {due}, "
        "zahlbar bis {due_day}. {yours}\n\nWie Sie zahlen, steht darauf und auf Ihrer eigenen "
        "Seite:\n{page}",
    ),
    "reminder": (
        "{trip}, {day}: {due} noch nicht bei uns",
        "Guten Tag {first_name},\n\nfür {trip} am {day} sind {due} noch nicht bei uns angekommen, "
        "fällig seit {since}.\n\n{invoices}\n\n{pay}\n\nDasselbe steht auf Ihrer eigenen Seite:"
        "\n{page}\n\nIst der Betrag schon unterwegs, hat sich diese Mail mit ihm gekreuzt. Steht "
        "etwas im Weg, antworten Sie oder rufen Sie an; wir finden eine Lösung.",
    ),
    "go": (
        "Wir fahren: {trip}, {day}",
        "Guten Tag {first_name},\n\nwir fahren. {reason}\n\n" + _WO,
    ),
    "hold": (
        "Noch nicht entschieden: {trip}, {day}",
        "Guten Tag {first_name},\n\nwir können noch nicht sagen, ob wir am {day} fahren. {reason}"
        "\n\nBitte halten Sie den Tag frei; wir schreiben, sobald wir es wissen.",
    ),
    "call_off": (
        "Abgesagt: {trip}, {day}",
        "Guten Tag {first_name},\n\nwir sagen den Tag ab: {reason}\n\n{choices}\n\n"
        "Der Eintrag verschwindet mit dieser Mail aus dem Kalender.",
    ),
    "trip_sheet": (
        "{trip}, {day}: Ihr Tagesblatt",
        "Guten Tag {first_name},\n\nanbei Ihr Tagesblatt mit dem Plan des Tages, der Packliste und "
        "den Telefonnummern.\n\n" + _WO,
    ),
    "thanks": (
        "Danke für den Tag: {spot}",
        "Guten Tag {first_name},\n\ndanke für {day}.\n\n{catch}\n\nBis zum nächsten Mal.",
    ),
    "statement": (
        "Ihr Kontoauszug",
        "Guten Tag {first_name},\n\nso steht Ihr Konto. {balance}\n\nJedes Blatt steht im Auszug "
        "in dieser Mail und auf Ihrer eigenen Seite:\n{page}",
    ),
}
LANGUAGES = ("en", "de")


def house_text(kind: str, language: str) -> tuple[str, str]:
    """Subject and words of the house for a kind, in English where there is no other.

    Raises ValueError for a kind that is not known.
    """
    if kind not in _EN:
        raise ValueError(f"{kind!r} is no kind of message; known are {', '.join(_EN)}.")
    words = _DE if language.split("-")[0].split("_")[0] == "de" and kind in _DE else _EN
    subject, body = words[kind]
    return subject, body + _SIGNED
