"""Ages on the day of the trip, and what they ask of the guide.

Figures are the house's defaults or one charity's guidance; none is set for the surf. Check with
your own authority and your insurer.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction
from math import ceil

from bookings.rules.prices import Heads

# NSPCC, recommended adult to child ratios: from this age on, one adult for so many
_CHILDREN_PER_ADULT = ((13, 10), (9, 8), (4, 6))
_LEAST_ADULTS = 2
_CHILD_ENDS = 19


class LeapBirthday(StrEnum):
    """The day on which those born on 29 February grow older in a year without one."""

    MARCH_1 = "march_1"
    FEBRUARY_28 = "february_28"


class Weight(StrEnum):
    """How a finding weighs: stop keeps the trip from being confirmed, caution is said."""

    STOP = "stop"
    CAUTION = "caution"


@dataclass(frozen=True, slots=True)
class Participant:
    """Somebody who comes; `guardian_comes` matters for a minor only."""

    name: str
    born: date | None
    guardian_comes: bool = False


@dataclass(frozen=True, slots=True)
class CareRules:
    """What the guide asks for; all of it a default to be changed in Setup."""

    heads_per_guide: int = 4
    least_age: int = 8
    adult_age: int = 18
    hand_range_age: int = 12
    leap_birthday: LeapBirthday = LeapBirthday.MARCH_1


@dataclass(frozen=True, slots=True)
class CareFinding:
    """One thing the party's ages ask for, with the number that raised it."""

    weight: Weight
    sentence: str


def age_on(born: date, on: date, leap_birthday: LeapBirthday = LeapBirthday.MARCH_1) -> int:
    """The age in whole years on a day.

    Those born on 29 February grow older on 1 March in a common year unless told otherwise: laws
    differ, and the later day keeps a minor a minor. Errors: a birth after the day.
    Source: calendar arithmetic; the default is the house's.
    """
    if born > on:
        raise ValueError(
            f"Born on {born:%-d %B %Y}, after {on:%-d %B %Y}; check the year of birth."
        )
    birthday = (born.month, born.day)
    if birthday == (2, 29) and leap_birthday is LeapBirthday.FEBRUARY_28 and not _is_leap(on.year):
        birthday = (2, 28)
    return on.year - born.year - ((on.month, on.day) < birthday)


def is_minor(
    born: date,
    on: date,
    adult_age: int = 18,
    leap_birthday: LeapBirthday = LeapBirthday.MARCH_1,
) -> bool:
    """Whether somebody is under age on a day; `adult_age` in years as the law of the place says.

    Errors: a birth after the day. Source: 18 years is a default, check with your own authority.
    """
    return age_on(born, on, leap_birthday) < adult_age


def heads_by_age(births: Sequence[date], on: date, child_until_age: int) -> Heads:
    """A party as a price counts it: children are below `child_until_age` on the day of the trip.

    Errors: a birth after the day. Source: house rule.
    """
    children = sum(age_on(born, on) < child_until_age for born in births)
    return Heads(adults=len(births) - children, children=children)


def guides_needed(heads: int, heads_per_guide: int) -> int:
    """How many guides a party needs at a ratio, rounded up; `heads` 0 or more, ratio 1 or more.

    Errors: figures outside. Source: 4 to a guide on a beach, 2 on rock are the house's defaults.
    """
    if heads < 0 or heads_per_guide < 1:
        raise ValueError(f"{heads} heads at {heads_per_guide} to a guide: give 0 and 1 or more.")
    return ceil(heads / heads_per_guide)


def adults_for_children(ages: Sequence[int]) -> int:
    """How many adults a group of children needs, by age and never fewer than two.

    One for 6 aged 4 to 8, for 8 aged 9 to 12, for 10 aged 13 to 18; ages in whole years. A mixed
    group adds up the shares and rounds up. No children need none. Errors: a child under 4 (no
    figure here), somebody over 18. Source: NSPCC, recommended adult to child ratios; its figures
    are for supervised groups, not for the edge of the sea.
    """
    if not ages:
        return 0
    needed = Fraction(0)
    for age in ages:
        per_adult = next((n for least, n in _CHILDREN_PER_ADULT if age >= least), None)
        if per_adult is None or age >= _CHILD_ENDS:
            raise ValueError(f"For age {age} there is no figure; 4 to 18 years have one.")
        needed += Fraction(1, per_adult)
    return max(ceil(needed), _LEAST_ADULTS)


def care_findings(
    party: Sequence[Participant],
    on: date,
    guides: int,
    other_adults: int = 0,
    rules: CareRules | None = None,
) -> tuple[CareFinding, ...]:
    """What the ages of a party ask for on the day of the trip, stops first.

    `guides` 0 or more; `other_adults` are checked second adults beside them. Stops: too many heads
    for the guides, somebody under the least age, a minor with neither guardian nor a second adult.
    Cautions: a birth date not known, a child who stays within hand's reach at the water.
    Errors: a birth after the day, negative counts. Source: house defaults.
    """
    rules = rules or CareRules()
    if guides < 0 or other_adults < 0:
        raise ValueError(f"{guides} guides and {other_adults} adults: give 0 or more.")
    found = []
    needed = guides_needed(len(party), rules.heads_per_guide)
    if needed > guides:
        found.append(
            CareFinding(
                Weight.STOP,
                f"A party of {len(party)} needs {needed} guide{'s' * (needed != 1)} at "
                f"{rules.heads_per_guide} to one, and {guides} {'is' if guides == 1 else 'are'} "
                "planned.",
            )
        )
    for person in party:
        found += _about(person, on, other_adults, rules)
    return tuple(sorted(found, key=lambda finding: finding.weight is not Weight.STOP))


def _about(person: Participant, on: date, other_adults: int, rules: CareRules) -> list[CareFinding]:
    if person.born is None:
        sentence = f"{person.name}'s date of birth is not known; ask before the trip."
        return [CareFinding(Weight.CAUTION, sentence)]
    age = age_on(person.born, on, rules.leap_birthday)
    found = []
    if age < rules.least_age:
        sentence = f"{person.name} will be {age}; the least age is {rules.least_age}."
        found.append(CareFinding(Weight.STOP, sentence))
    if age < rules.adult_age and not person.guardian_comes and not other_adults:
        sentence = (
            f"{person.name} will be {age} and comes without a guardian; "
            "a guardian or a checked second adult must come too."
        )
        found.append(CareFinding(Weight.STOP, sentence))
    if age < rules.hand_range_age:
        sentence = f"{person.name} will be {age}: within hand's reach of an adult at the water."
        found.append(CareFinding(Weight.CAUTION, sentence))
    return found


def _is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
