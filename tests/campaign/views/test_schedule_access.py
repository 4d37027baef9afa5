"""Deadlines are found within their own show only; `test_studio_access.py` asks the rest of all pages at once."""

import uuid

import pytest
from django.urls import reverse

from tests.builders import NOW, make_draft

pytestmark = pytest.mark.usefixtures("clock")


def test_a_deadline_of_another_show_or_of_none_is_not_found(db, ada_client):
    draft, other = make_draft(), make_draft(code="other")
    uid = draft.deadlines.create(kind="grant", name="City culture fund", on=NOW.date()).uid
    for name in ("deadline", "meet_deadline", "delete_deadline"):
        for wrong, show in ((uid, other), (uuid.uuid4(), draft)):
            url = reverse(f"campaign:{name}", args=[show.code, wrong])
            assert (name, ada_client.post(url).status_code) == (name, 404)
    assert draft.deadlines.filter(is_done=False).exists()
