"""What the shore contact and the guide are told, step by step."""

from __future__ import annotations

from dataclasses import dataclass

from bookings.models import Business
from bookings.rules.phones import phone_text
from guiding.days.models import DayPlan
from guiding.papers.formats import clock
from guiding.safety.models import Watch
from guiding.safety.rules.watch import Step
from guiding.safety.sheets.card import position_of_spot

NO_RESCUE = (
    "This is no rescue service. It is mail from a computer that looks at a clock: when the "
    "computer, its network or the mail is off, nothing comes, so let no mail tell you more than "
    "your own watch does. In doubt, ring; in danger, call the emergency number yourself."
)


@dataclass(frozen=True, slots=True)
class Told:
    """A message: to whom, about what, saying what."""

    to: str
    subject: str
    body: str


def watch_message(
    *, watch: Watch, plan: DayPlan, business: Business, people: int, step: Step
) -> Told:
    """The words of a step, in the zone of the business."""
    spot = plan.spot
    at = clock(watch.overdue_at, business.tz, business.locale)
    overdue = f"{watch.overdue_at.astimezone(business.tz):%A %-d %B}, {at} ({business.zone})"
    day = f"{watch.trip.starts_at.astimezone(business.tz):%A %-d %B}"
    where = position_of_spot(spot.latitude, spot.longitude)
    phone = phone_text(business.phone) or "no telephone on file"
    count = f"{people} {'person' if people == 1 else 'people'}"
    head = {
        Step.ASKED: f"You keep watch: {count} at {spot.name}, overdue from {overdue}",
        Step.CARD: f"Please keep watch: {count} at {spot.name}, overdue from {overdue}",
        Step.MOVED: f"Changed, please keep watch: {count} at {spot.name}, overdue from {overdue}",
        Step.REMINDER: f"Say that you are home, or move the time: overdue from {overdue}",
        Step.OVERDUE: f"OVERDUE: no word from {business.guide_name} at {spot.name}",
        Step.AGAIN: f"STILL OVERDUE: no word from {business.guide_name} at {spot.name}",
        Step.HOME: f"All home: {business.guide_name} and {count} from {spot.name}",
        Step.OFF: f"Called off, nobody is out: {spot.name}, {day}",
    }[step]
    from_then = (
        f"From {overdue} on, when you have heard nothing: ring {phone}; no answer, "
        f"wait for nothing more and call {business.emergency_number} with the facts below."
    )
    todo = {
        Step.ASKED: f"You are down as the contact ashore for {day}. The emergency card comes the "
        f"evening before. If you cannot, tell {business.guide_name} now. {from_then}",
        Step.CARD: from_then,
        Step.MOVED: f"This takes the place of what you had before. {from_then}",
        Step.REMINDER: "Record 'home' on the trip's page. Otherwise "
        f"{watch.contact_name} is told at the time above.",
        Step.OVERDUE: f"Ring {phone} now. No answer: call {business.emergency_number} and read "
        "them the facts below.",
        Step.AGAIN: f"Still nobody has recorded 'home'. If you have not reached them, call "
        f"{business.emergency_number} now and read them the facts below.",
        Step.OFF: f"Nobody goes out on {day}: {watch.stood_down_reason}. You need not wait.",
        Step.HOME: "They are home. Thank you. If you called anybody, tell them too.",
    }[step]
    facts = "\n".join(
        [
            f"Guide: {business.guide_name}, {phone}",
            f"People: {people} and the guide",
            f"Place: {spot.name}",
            f"Position: {where.decimal}",
            f"  {where.minutes}",
            f"  {where.grid}",
            f"Way in: {spot.access or 'not on file'}",
            f"Signal: {spot.signal or 'not on file'}",
            f"Overdue from: {overdue}",
        ]
    )
    to = business.email if step is Step.REMINDER else watch.contact_mail
    body = f"{todo}\n\n{facts}\n\n{NO_RESCUE}\n"
    return Told(to=to, subject=" ".join(head.split())[:200], body=body)
