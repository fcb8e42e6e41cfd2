"""What went out in another notice gets what until now stood on that one alone."""

from django.db import migrations
from django.db.models import OuterRef, Subquery


def keep_on_each(apps, _schema_editor):
    Notice = apps.get_model("warranties", "Notice")
    joined = Notice.objects.filter(state="joined", sent_at=None)
    carrier = Notice.objects.filter(pk=OuterRef("joined_to"))
    for column in ("channel", "bounced_at", "bounce_said", "sent_at"):
        told = joined.filter(joined_to__state="sent")
        told.update(**{column: Subquery(carrier.values(column)[:1])})
    unsaid = joined.filter(joined_to__state="dropped")
    unsaid.update(state="dropped", state_reason="Dropped with the notice that it had joined.")


class Migration(migrations.Migration):

    dependencies = [
        ('warranties', '0006_notices_told_in_another'),
    ]

    operations = [
        migrations.RunPython(keep_on_each, migrations.RunPython.noop),
    ]
