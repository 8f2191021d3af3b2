"""Who of a party booked is known, and a guardian named from outside who is on the party's list is
that person."""

from django.db import migrations, models


def _key(*names):
    return " ".join(" ".join(names).split()).casefold()


def know_old_rows(apps, schema_editor):
    """By the name, where only one of the party bears it."""
    participants = apps.get_model("bookings", "Participant").objects
    named = {}
    for person in participants.select_related("party__client").order_by("pk"):
        people = named.setdefault(person.party_id, {})
        people.setdefault(_key(person.given_name, person.family_name), []).append(person)
    for people in named.values():
        client = next(iter(people.values()))[0].party.client
        found = people.get(_key(client.given_name, client.family_name), [])
        if len(found) == 1:
            participants.filter(pk=found[0].pk).update(is_client=True)
    _join_guardians(apps, named)


def _join_guardians(apps, named):
    guardians = apps.get_model("bookings", "Guardian").objects
    for guardian in guardians.filter(person=None).select_related("ward").order_by("pk"):
        ward = guardian.ward
        found = named.get(ward.party_id, {}).get(_key(guardian.name), [])
        if len(found) != 1 or found[0].pk == ward.pk:
            continue
        person = found[0]
        apps.get_model("bookings", "SigningLink").objects.filter(guardian=guardian).update(
            guardian=None, person=person
        )
        known = guardians.filter(ward=ward, person=person).first()
        if known is None:
            guardians.filter(pk=guardian.pk).update(person=person)
        else:
            apps.get_model("bookings", "Signature").objects.filter(guardian=guardian).update(
                guardian=known
            )
            guardian.delete()
        if ward.guardian_id is None:
            apps.get_model("bookings", "Participant").objects.filter(pk=ward.pk).update(
                guardian=person
            )


class Migration(migrations.Migration):
    dependencies = [("bookings", "0007_worker_rounds")]

    operations = [
        migrations.AddField(
            model_name="participant",
            name="is_client",
            field=models.BooleanField(default=False, verbose_name="is who booked"),
        ),
        migrations.RunPython(know_old_rows, migrations.RunPython.noop),
        migrations.AddConstraint(
            model_name="participant",
            constraint=models.UniqueConstraint(
                condition=models.Q(("is_client", True)),
                fields=("party",),
                name="participant_client_once",
            ),
        ),
    ]
