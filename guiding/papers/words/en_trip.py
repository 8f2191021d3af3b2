"""English: what every paper carries, and the client's trip sheet."""

EN_TRIP: dict[str, str] = {
    # every paper
    "page.page_of": "page {page} of {pages}",
    "page.number": "No. {number}",
    "page.printed": "printed {when}",
    "page.not_known": "not known",
    "page.tentative": "NOT YET CONFIRMED",
    "page.called_off": "CALLED OFF",
    "page.missing": (
        "stands for a letter that the type of this paper does not have. The name in our books "
        "is complete."
    ),
    "page.quoted": "“{text}”",
    "page.yes": "yes",
    "page.no": "no",
    # the tide beside a time
    "tide.at_low": "at low water",
    "tide.at_high": "at high water",
    "tide.before_low": "{span} before low water",
    "tide.after_low": "{span} after low water",
    "tide.before_high": "{span} before high water",
    "tide.after_high": "{span} after high water",
    # trip sheet: at a glance
    "trip.name": "Trip sheet",
    "trip.subject": "What to know before, during and after {title}",
    "trip.date": "Date",
    "trip.meet": "Meet at",
    "trip.back": "Back between",
    "trip.place": "Meeting place",
    "trip.guide": "Your guide",
    "trip.decision": "Weather decision",
    "trip.decision_how": "You hear from us either way.",
    "trip.map": "Map",
    "trip.party": "Your party",
    "trip.party_count": "{count:person|people}",
    "trip.clock": "All times are local ({zone}).",
    "trip.spot": "Where:",
    # what we do
    "trip.what": "What we do",
    "trip.method": "How baits go out:",
    "trip.effort": "Effort:",
    "trip.walking": "Walking:",
    "trip.toilets": "Toilets:",
    "trip.signal": "Phone signal:",
    # bring
    "trip.kit": "What to bring",
    "trip.bring": "Bring",
    "trip.wear": "Wear",
    "trip.supplied": "We supply",
    # the day
    "trip.day": "The day",
    "trip.day_note": (
        "Times move with the sea and the weather; the guide's word on the day goes before this "
        "paper."
    ),
    # sea, tide, wind, sun
    "trip.sea": "Sea, tide, wind, sun",
    "trip.tide_source": "Tide: {source}.",
    "trip.tide_source_none": "No tide prediction stands behind this day; ask your guide.",
    "trip.forecast": "Forecast: {source}, issued {when}.",
    "trip.forecast_plain": "Forecast: {source}.",
    "trip.not_for_navigation": "Predictions, not for navigation.",
    # risks and rules
    "trip.risks": "Main risks that day",
    "trip.risks_lead": (
        "Fishing from the shore can hurt you, in rare cases badly. These are the risks we plan "
        "for on your day; the list is not complete. If one of them worries you, say so: you may "
        "sit any part of it out. Check with your own authority."
    ),
    "trip.rules": "Three rules",
    "trip.rule_1": "Stay behind the rods unless the guide walks with you.",
    "trip.rule_2": "Face the sea. When the guide calls, drop what you hold and come up.",
    "trip.rule_3": "While the aircraft is in the air, stand still behind the line shown to you.",
    "trip.rule_3_cast": "Before any cast, look behind you and wait for the guide's word.",
    # emergency
    "trip.emergency": "In an emergency",
    "trip.emergency_number": "Emergency number",
    "trip.emergency_position": "We are at",
    "trip.emergency_access": "Way in:",
    "trip.emergency_hospital": "Nearest hospital",
    "trip.emergency_beacon": "Beacon",
    "trip.emergency_first_aid": "First aid",
    "trip.emergency_signal": "Nearest signal",
    "trip.emergency_contact": "Ashore, someone knows",
    "trip.emergency_overdue": "raises the alarm if we are not back by {when}",
    "trip.emergency_landing": "Helicopter can land",
    "trip.step_1": "Make yourself safe first. Nobody goes into the water after anybody.",
    "trip.step_2": "Throw something that floats and keep pointing at the person.",
    "trip.step_3": (
        "Call {number}: say where we are, what happened, how many are hurt. No signal: use the "
        "beacon."
    ),
    "trip.step_4": (
        "If the guide is the one who is hurt: gather everybody above the high-water mark, count, "
        "use the beacon, and stay together until help comes."
    ),
    # fish
    "trip.fish": "The fish",
    "trip.fish_species": "Species",
    "trip.fish_min": "Smallest to keep",
    "trip.fish_bag": "A person a day",
    "trip.fish_note": "Note",
    "trip.fish_release_all": "release all",
    "trip.fish_source": "Source: {source}, checked {day}.",
    "trip.fish_source_plain": "Source: {source}.",
    "trip.fish_check": "Limits change: check with your own authority.",
    "trip.fish_release": (
        "What we do not keep goes back quickly: wet hands, hook out or line cut close, fish held "
        "upright in the wash until it swims."
    ),
    "trip.fish_photos": (
        "Camera ready first, then lift the fish, and back before you need a second breath. We "
        "show pictures of you only if you agreed to it."
    ),
    # health
    "trip.health": "Health and food",
    "trip.health_medicines": (
        "Keep your own medicine on you, not in the vehicle, and tell the guide where it is. If "
        "anything changed since you filled in your form, call before the day. Ask your doctor "
        "if you are unsure whether a day like this is for you."
    ),
    "trip.health_food": "Food and water: bring your own unless agreed, and name any allergy.",
    "trip.health_alcohol": (
        "No alcohol or drugs before or during the day, until we are off the shore."
    ),
    # money
    "trip.money": "Money",
    "trip.money_price": "Price {price}, paid {paid}.",
    "trip.money_due": "Still due {due}.",
    "trip.money_due_on": "Still due {due}, by {day}.",
    "trip.money_nothing": "Nothing is left to pay.",
    "trip.money_ladder": "If plans change:",
    "trip.money_weather": (
        "If the guide calls the day off for weather or sea, you choose a new date or your money "
        "back."
    ),
    # insurance
    "trip.insurance": "Insurance, after the day",
    "trip.insurance_cover": "Covered:",
    "trip.insurance_gaps": "Not covered:",
    "trip.insurance_gaps_text": (
        "your own medical costs, travel, and belongings, unless your own insurance does."
    ),
    "trip.insurance_complaints": "Something wrong?",
    "trip.insurance_complaints_text": "Tell the guide on the day, or write to the address above.",
    "trip.insurance_after": "Afterwards:",
    "trip.insurance_after_text": (
        "tell us about any injury you notice later and about anything left behind; we keep lost "
        "things for three months."
    ),
    # minors
    "trip.minors": "For those under age",
    "trip.minors_responsible": "Who watches, minute by minute:",
    "trip.minors_second": "Second adult:",
    "trip.minors_second_text": (
        "a guardian stays, or a second adult named here. One adult alone with a child: never."
    ),
    "trip.minors_collection": "Collected by:",
    "trip.minors_seats": "Seats in the vehicle:",
    "trip.minors_swim": "Swimming:",
    "trip.minors_consents": "Agreed:",
    "trip.minors_contacts": "To reach:",
    "trip.names": "Who comes",
    # the child's own page
    "child.name": "Your page",
    "child.lead": "Five things to know before we go fishing.",
    "child.rule_1": "Stay by your grown-up. Never go past the rods on your own.",
    "child.rule_2": "Look at the sea. A big wave can come when you do not expect it.",
    "child.rule_3": "When the little aircraft flies, stand still until its blades stop.",
    "child.rule_4": (
        "Hooks and knives are for the guide. See one lying about? Call out, don't touch."
    ),
    "child.rule_5": "Lost? Go and sit by the truck. We will come to you there.",
    "child.ask": "Cold, thirsty, need a wee, feel odd? Say so. Nobody minds.",
}
