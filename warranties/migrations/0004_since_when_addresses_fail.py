"""Addresses that mail came back from get the day and the words of the report."""

from django.db import migrations


def note_days(apps, _schema_editor):
    notices = apps.get_model("warranties", "Notice").objects.exclude(bounced_at=None)
    households = apps.get_model("customers", "Household").objects
    for household in households.exclude(mail_failed="").filter(mail_failed_at=None):
        back = notices.filter(household=household, channel="mail").order_by("bounced_at").last()
        if back:
            household.mail_failed_at = back.bounced_at
            household.mail_failed_said = back.bounce_said
            household.save(update_fields=["mail_failed_at", "mail_failed_said"])


class Migration(migrations.Migration):
    dependencies = [
        ("warranties", "0003_keep_texts_as_they_went_out"),
        ("customers", "0003_why_addresses_failed"),
    ]

    operations = [migrations.RunPython(note_days, migrations.RunPython.noop)]
