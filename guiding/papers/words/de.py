"""The papers in German, put together from one file a family of papers."""

from guiding.drawings.drop_plan import DropWords
from guiding.drawings.rig import RigWords
from guiding.drawings.strip import StripWords
from guiding.papers.words.de_desk import DE_DESK
from guiding.papers.words.de_money import DE_MONEY
from guiding.papers.words.de_other import DE_OTHER
from guiding.papers.words.de_sheet import DE_SHEET
from guiding.papers.words.de_trip import DE_TRIP

DE: dict[str, str] = {**DE_TRIP, **DE_DESK, **DE_MONEY, **DE_OTHER, **DE_SHEET}

DE_STRIP = StripWords(
    language="de",
    decimal_mark=",",
    night="Nacht",
    twilight="Dämmerung",
    day="Tag",
    light="Licht",
    dawn="erstes Licht",
    sunrise="Sonnenaufgang",
    sunset="Sonnenuntergang",
    dusk="letztes Licht",
    tide="Tide",
    high_water="Hochwasser",
    low_water="Niedrigwasser",
    cut_off="Sperrhöhe",
    cut_off_over="über der Sperrhöhe",
    moon="Mond",
    moonrise="Mondaufgang",
    moonset="Monduntergang",
    lit="beleuchtet",
    waxing="zunehmend",
    waning="abnehmend",
    wind="Wind",
    wind_from="aus",
    gusts="Böen",
    wind_limit="Windgrenze",
    over_limit="über der Grenze des Fluggeräts",
    waves="Wellen",
    plan="Ablauf",
    drive="Fahrt",
    set_up="Aufbau",
    session="Angeln",
    pack_down="Abbau",
    may_fly="Fliegen erlaubt",
    cast_only="nur werfen",
    note="Hinweis",
    now="jetzt",
    until="bis",
    next_day="Folgetag",
    day_before="Vortag",
    clock_change="Zeitumstellung",
    what="Was",
    time="Zeit",
    value="Wert",
    north="N",
    east="O",
    south="S",
    west="W",
    strip_of="Der Tag auf einen Blick",
    not_for_navigation="nicht zur Navigation",
)

DE_DROP = DropWords(
    language="de",
    decimal_mark=",",
    plan_of="Plan des Abwurfs",
    sea="Meer",
    north="N",
    wind="Wind",
    wind_from="aus",
    gusts="Böen",
    path_out="Hinweg",
    path_home="Rückweg",
    release="Abwurf",
    bearing="Richtung",
    distance="Weite",
    height="Höhe",
    fall_zone="niemand hier drin: Fallbereich, Radius",
    keep_behind="niemand vor dieser Linie, solange geflogen wird",
    least_height="mindestens",
    ceiling="höchstens",
    hangs="Montage hängt",
    waves="Wellen",
    nearest_person="nächster Mensch",
    needed="nötig",
    out_to_sea="hinaus",
    cast_only="nur werfen",
    caution="Fragen Sie Ihre eigene Behörde.",
)

DE_RIG = RigWords(
    language="de",
    decimal_mark=",",
    to_scale="maßstäblich, in Metern",
    strongest_first="reißt zuerst",
    down_trace="am Vorfach hinab",
    to_reel="zur Rolle",
    to_clip="zum Clip",
)
