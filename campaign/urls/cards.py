"""URLs of paying by card: the backer's way there and back, the processor's messages, the studio's page."""

from django.urls import path

from campaign.views import cards

C = "studio/<slug:show_code>/fund/cards/"

urlpatterns = [
    path("my/<str:code>/card/", cards.my_card, name="my_card"),
    path("my/<str:code>/card/back/", cards.my_card_back, name="my_card_back"),
    path("cards/messages", cards.card_messages, name="card_messages"),
    path(C, cards.card_payments, name="cards"),
    path(f"{C}compare/", cards.compare_cards, name="compare_cards"),
]
