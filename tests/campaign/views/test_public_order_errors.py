"""What is wrong with an order is listed in the order in which its fields stand on the page."""

import re
import uuid
from typing import Any

import pytest

from campaign.models import Show
from tests.builders import add_small_edition

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]


def listed(page: str) -> list[str]:
    summary = page[page.index('id="errors"') :]
    return re.findall(r'href="#(id_[^"]+)"', summary[: summary.index("</ul>")])


@pytest.mark.parametrize("query", ["", "?country=GB", "?what=gift", "?friend=FR", "?country=GB&friend=FR"])
@pytest.mark.parametrize("editions", [1, 2])
def test_the_summary_goes_from_top_to_bottom(client: Any, show: Show, query: str, editions: int) -> None:
    if editions == 2:
        add_small_edition(show)
    typed = {"step": "check", "message": "x" * 501, "request_key": str(uuid.uuid4())}
    page = client.post(f"/show/tideline/order/{query}", typed).content.decode()
    names, form = listed(page), page[page.index('id="order"') :]
    places = [form.index(f'id="{name}"') for name in names]
    assert len(names) >= 3 and names[-1] == "id_message"
    assert places == sorted(places)
