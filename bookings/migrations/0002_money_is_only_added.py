"""The database itself refuses to change money that was written down.

Deleting is not refused here, because emptying a whole database must stay possible on SQLite; a
missing number shows in `check_books`.
"""

from django.db import migrations

# Who entered it may be forgotten when a login is deleted; nothing else ever changes.
_KEPT = {
    "bookings_moneyentry": (
        "id, key, kind, year, number, label, \"on\", moved_on, due_on, currency, amount, net, tax, "
        "tax_included, tax_note, way, reference, about, supplied_on, reason, quote_id, corrects_id, "
        "reverses_id, letterhead, entered_at"
    ),
    "bookings_moneyline": (
        "id, entry_id, position, text, quantity, unit_price, amount, tax_percent, net, tax, gross"
    ),
    "bookings_moneyshare": "id, entry_id, party_id, booking_id, owed",
}
_WORDS = "Money that was written down is never changed: add an entry that takes it out."


def guard(apps, schema_editor):
    with schema_editor.connection.cursor() as cursor:
        if schema_editor.connection.vendor == "postgresql":
            cursor.execute(
                "CREATE FUNCTION bookings_money_stands() RETURNS trigger LANGUAGE plpgsql AS "
                f"$$ BEGIN RAISE EXCEPTION '{_WORDS}' USING ERRCODE = 'check_violation'; END $$"
            )
        for table, columns in _KEPT.items():
            if schema_editor.connection.vendor == "postgresql":
                cursor.execute(
                    f"CREATE TRIGGER {table}_stands BEFORE UPDATE OF {columns} ON {table} "
                    "FOR EACH ROW EXECUTE FUNCTION bookings_money_stands()"
                )
            elif schema_editor.connection.vendor == "sqlite":
                cursor.execute(
                    f"CREATE TRIGGER {table}_stands BEFORE UPDATE OF {columns} ON {table} "
                    f"BEGIN SELECT RAISE(ABORT, '{_WORDS}'); END"
                )


def unguard(apps, schema_editor):
    with schema_editor.connection.cursor() as cursor:
        for table in _KEPT:
            on = f" ON {table}" if schema_editor.connection.vendor == "postgresql" else ""
            cursor.execute(f"DROP TRIGGER IF EXISTS {table}_stands{on}")
        if schema_editor.connection.vendor == "postgresql":
            cursor.execute("DROP FUNCTION IF EXISTS bookings_money_stands()")


class Migration(migrations.Migration):
    dependencies = [("bookings", "0001_initial")]

    operations = [migrations.RunPython(guard, unguard)]
