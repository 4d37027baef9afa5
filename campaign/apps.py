"""Django's registration of the campaign app; starts nothing."""

from django.apps import AppConfig
from django.core.checks import register


class CampaignConfig(AppConfig):
    name = "campaign"
    verbose_name = "Campaign"

    def ready(self) -> None:
        from campaign.processor.setup import check_card_settings  # models may not be imported before this moment

        register(check_card_settings)
