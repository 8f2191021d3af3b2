"""What was noted of a person for the guides moves into the sealed store; its column goes."""

import django.db.models.deletion
from django.db import migrations, models
from django.utils import timezone

import bookings.models.health
from bookings.models.keys import make_first_key


def seal(apps, schema_editor):
    """Encrypt every word that stands in clear, so that no file holds it any more."""
    connection = schema_editor.connection
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:  # what is dropped is overwritten, not just let go
            cursor.execute("PRAGMA secure_delete = ON")
    people = apps.get_model("bookings", "Participant")
    told = apps.get_model("bookings", "ToldNote")
    rows = list(people.objects.exclude(alert="").values_list("pk", "alert"))
    if rows:
        make_first_key()
    for pk, words in rows:
        told.objects.create(
            participant_id=pk,
            words={"told": words},
            told_at=timezone.now(),
            written_by="the desk",
        )
    people.objects.exclude(alert="").update(alert="")
    if connection.vendor == "postgresql":
        schema_editor.execute("SET CONSTRAINTS ALL IMMEDIATE")


class Migration(migrations.Migration):
    dependencies = [
        ("bookings", "0004_merges_are_undone_later"),
    ]

    operations = [
        migrations.CreateModel(
            name="ToldNote",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("words", bookings.models.health.EncryptedJSONField()),
                ("told_at", models.DateTimeField()),
                ("written_by", models.CharField(max_length=150)),
                (
                    "participant",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="told_note",
                        to="bookings.participant",
                    ),
                ),
            ],
            options={
                "ordering": ["participant"],
                "default_permissions": (),
            },
        ),
        migrations.RunPython(seal, migrations.RunPython.noop),
        migrations.RemoveField(
            model_name="participant",
            name="alert",
        ),
    ]
