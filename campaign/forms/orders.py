"""What a backer fills in to order a print, or to give without one."""

import uuid
from typing import Any

from django import forms

from campaign.forms.addresses import NAME_LENGTH, AddressFields
from campaign.forms.fields import MoneyField
from campaign.forms.guard import GuardedForm
from campaign.measures.money import format_minor
from campaign.queries.order_terms import CopyChoice, OrderTerms
from campaign.services.pledges import Order

LARGEST_GIFT_MINOR = 100_000_000
PERSON = ("name", "email")
AFTER_ADDRESS = ("copies", "gift", "way", "is_thanked_by_name", "wants_updates", "message")


class OrderForm(GuardedForm, AddressFields):
    """
    One order on the `terms` it is made for; `agreed_total_minor` is the sum the backer was shown last.

    The address fields are those of the terms' country; for a gift none is asked for.
    """

    request_key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    agreed_total_minor = forms.IntegerField(widget=forms.HiddenInput, required=False)
    name = forms.CharField(
        label="Name", max_length=NAME_LENGTH, widget=forms.TextInput({"autocomplete": "name"}),
        error_messages={"required": "A name is needed, as it should stand on the parcel."},
    )  # fmt: skip
    email = forms.EmailField(
        label="E-mail", widget=forms.EmailInput({"autocomplete": "email"}),
        help_text="The confirmation and your private link go there.",
        error_messages={
            "required": "An e-mail address is needed: your confirmation and your private link go there.",
            "invalid": "This is not an e-mail address; it looks like anna@example.org.",
        },
    )  # fmt: skip
    copies = forms.TypedChoiceField(
        label="Prints", coerce=int, widget=forms.RadioSelect,
        error_messages={
            "required": "Choose how many prints.",
            "invalid_choice": "That many are not on offer just now; choose one of these.",
        },
    )  # fmt: skip
    gift = MoneyField(label="A gift on top", required=False)
    way = forms.ChoiceField(
        label="Paying", widget=forms.RadioSelect, error_messages={"required": "Choose how you will pay."}
    )
    is_thanked_by_name = forms.BooleanField(label="Thank me by name on the page of the show", required=False)
    wants_updates = forms.BooleanField(label="Send me the artist’s updates, until I say stop", required=False)
    message = forms.CharField(
        label="A word to the artist", required=False, max_length=500, widget=forms.Textarea({"rows": 3})
    )

    def __init__(self, *args: Any, terms: OrderTerms, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.terms = terms
        show = terms.show
        gift: Any = self.fields["gift"]
        gift.show, gift.widget.attrs["inputmode"] = show, "decimal"
        self.fields["way"].choices = list(terms.ways)  # type: ignore[attr-defined]  # a ChoiceField, declared above
        self.fields["way"].initial = next(iter(terms.ways), ("",))[0]
        gift.label = f"A gift on top, in {show.currency} (if you like)"
        if terms.is_gift:
            del self.fields["copies"]
            gift.label, gift.required, gift.at_least = "Your gift", True, 1
            example = format_minor(2500, currency=show.currency, locale=show.locale)
            gift.error_messages["required"] = f"Write an amount, such as {example}."
        else:
            self.fields["copies"].choices = [(c.copies, self._choice_text(c)) for c in terms.choices]  # type: ignore[attr-defined]
            self.fields["copies"].initial = 1
            self.add_address_fields(terms.country)
        self.order_fields([*PERSON, *(k for k in self.fields if k not in PERSON + AFTER_ADDRESS), *AFTER_ADDRESS])

    def _choice_text(self, choice: CopyChoice) -> str:
        def written(minor: int) -> str:
            return format_minor(minor, currency=self.terms.show.currency, locale=self.terms.show.locale)

        prints = "1 print" if choice.copies == 1 else f"{choice.copies} prints"
        parts = f"{written(choice.prints_minor)} and {written(choice.postage_minor)} postage"
        return f"{prints}: {parts}, together {written(choice.total_minor)}"

    def clean_gift(self) -> int:
        """Minor units; empty is no gift."""
        minor: int = self.cleaned_data["gift"] or 0
        if minor > LARGEST_GIFT_MINOR:
            raise forms.ValidationError("That is more than this page takes; write to the studio, please.")
        return minor

    def clean(self) -> dict[str, Any]:
        super().clean()
        if not self.terms.is_gift:
            self.cleaned_data["address"] = self.checked_address()
        return self.cleaned_data

    @property
    def sums(self) -> CopyChoice:
        """Prints and postage of a valid form."""
        return self.terms.sum_of(self.cleaned_data.get("copies", 0))

    @property
    def total_minor(self) -> int:
        """What a valid form asks for, gift included."""
        return self.sums.total_minor + int(self.cleaned_data["gift"])

    @property
    def order(self) -> Order:
        """A valid form as the service takes it."""
        data = self.cleaned_data
        edition = self.terms.edition
        return Order(
            agreed_total_minor=self.total_minor,
            name=data["name"],
            email=data["email"],
            way=data["way"],
            edition_code=edition.code if edition else "",
            copies=data.get("copies", 0),
            gift_minor=data["gift"],
            address=data.get("address", {}),
            is_thanked_by_name=data["is_thanked_by_name"],
            wants_updates=data["wants_updates"],
            message=data["message"],
        )


class SendLinkForm(GuardedForm):
    """Where to send the private link once more."""

    email = forms.EmailField(
        label="E-mail", widget=forms.EmailInput({"autocomplete": "email"}),
        help_text="The address you ordered with.",
        error_messages={"invalid": "This is not an e-mail address; it looks like anna@example.org."},
    )  # fmt: skip
