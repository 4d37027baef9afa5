"""Django's registration of the fulfilment app; starts nothing."""

from django.apps import AppConfig


class FulfilmentConfig(AppConfig):
    name = "fulfilment"
    verbose_name = "Fulfilment"
