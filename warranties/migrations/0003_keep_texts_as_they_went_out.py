"""The firm's own words of notices keep the text messages that they went out in.

Until now a text was the subject within a fixed frame. A version of the firm's own gets that frame
as its words, so that nothing that households are sent changes by itself. An offer and a change of
owner now lead to the page where they are answered.
"""

from django.db import migrations

FRAMES = {
    "en": "{{firm}}: {{subject}}{when}. {link} Reply STOP to end.",
    "es": "{{firm}}: {{subject}}{when}. {link} Responda ALTO para no recibir más.",
}
LINKS = {"offer": "{agree}", "transfer-old": "{confirm}", "transfer-new": "{confirm}"}
NEVER_TEXTED = ("agreement", "offer-paper", "certificate")


def keep_texts(apps, _schema_editor):
    own = apps.get_model("warranties", "NoticeWords").objects.filter(shipped=False, text="")
    for language, frame in FRAMES.items():
        for words in own.filter(language=language).exclude(occasion__in=NEVER_TEXTED):
            link = LINKS.get(words.occasion, "{my_home}")
            when = ", {when}" if words.occasion == "trim-back" else ""
            words.text = frame.format(when=when, link=link)
            words.save(update_fields=["text"])


class Migration(migrations.Migration):
    dependencies = [("warranties", "0002_text_messages_of_notice_words")]

    operations = [migrations.RunPython(keep_texts, migrations.RunPython.noop)]
