"""Where an order goes, as the artist corrects it; and which request that answers."""

from collections.abc import Sequence
from typing import Any

from django import forms

from campaign.forms.addresses import AddressForm
from campaign.forms.change_requests import LONGEST
from fulfilment.services.addresses import Answering, NewAddress

SHOWN = 70


class CorrectionForm(AddressForm):
    """An address by the rules of its country; `requests` are those of the order that wait for an answer."""

    bears_postage = forms.BooleanField(
        label="Post it even where that costs more than the postage that was agreed", required=False,
        help_text="The studio bears the difference.",
    )  # fmt: skip

    def __init__(self, *args: Any, requests: Sequence[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.requests = {str(one.request_key): one for one in requests}
        self.address_names = [name for name in self.fields if name != "bears_postage"]
        if self.requests:
            choices = [("", "nothing that was asked"), *((key, _shortened(one)) for key, one in self.requests.items())]
            self.fields["answers"] = forms.ChoiceField(
                label="This answers", choices=choices, required=False, widget=forms.RadioSelect,
                help_text="The answer is “done”; a mail says so to the backer.",
            )  # fmt: skip
            self.fields["words"] = forms.CharField(
                label="In your words", max_length=LONGEST, required=False, widget=forms.Textarea({"rows": 3})
            )
        self.order_fields([*self.address_names, "bears_postage", "answers", "words"])

    @property
    def to(self) -> NewAddress:
        """What a valid form asks for."""
        data = self.cleaned_data
        return NewAddress(data["name"], data["address"], bears_postage=data["bears_postage"])

    @property
    def answering(self) -> Answering | None:
        """Which request a valid form answers."""
        found = self.requests.get(self.cleaned_data.get("answers", ""))
        return Answering(found, self.cleaned_data["words"]) if found else None


def _shortened(request: Any) -> str:
    text = " ".join(request.text.split())
    return text if len(text) <= SHOWN else f"{text[:SHOWN]}…"
