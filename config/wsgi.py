"""WSGI entry for gunicorn and waitress."""

import gc
import os
from importlib import import_module

from django.conf import settings
from django.core.wsgi import get_wsgi_application

from config.front import Front

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
application = Front(get_wsgi_application(), seconds=settings.PAGE_SECONDS)

# What is loaded by now stays until the process ends. Out of the collector's sight it is not walked through again and
# again while somebody waits; with the pages loaded first, that is nearly everything.
import_module(settings.ROOT_URLCONF)
import_module("campaign.mail").be_ready("pledge_placed")
import_module("campaign.queries.order_ground").kept_grounds.seconds = settings.PAGE_SECONDS
gc.collect()
gc.freeze()
# An answer makes some ten thousand objects and most are gone with it; looked for after each 700 of them, as is the
# default, they are walked through a dozen times, and with all that is kept once in ten pages: 40 ms of that page.
gc.set_threshold(20_000)
