"""The Celery application: workers and beat start from here, in `manage.py serve` as threads, elsewhere as processes."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
app = Celery("wallful")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["campaign", "fulfilment"])
# The current app is thread-local in Celery; without a default, tasks in a worker thread are not found.
app.set_default()
