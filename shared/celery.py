"""The Celery application: its tasks live in each app's tasks.py, its schedule in settings."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shared.settings")

app = Celery("ringkeep")
app.set_default()  # In every thread: else tasks asked for there go to an app that knows no broker.
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
