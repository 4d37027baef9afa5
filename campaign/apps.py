"""Django's registration of the campaign app; starts nothing."""

from django.apps import AppConfig


class CampaignConfig(AppConfig):
    name = "campaign"
    verbose_name = "Campaign"
