"""Who comes to the pages of printing and posting besides the artist."""

import pytest
from django.contrib.auth.models import Group

from campaign.access import HELPERS


@pytest.fixture
def kim_user(django_user_model):
    """A helper."""
    helper = django_user_model.objects.create_user("kim", password="a long enough one")
    helper.groups.add(Group.objects.get_or_create(name=HELPERS)[0])
    return helper


@pytest.fixture
def kim(client, kim_user):
    """A browser in which the helper is signed in."""
    client.force_login(kim_user)
    return client
