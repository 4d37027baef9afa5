"""What a backer fills in to order prints, for themselves and for a friend, or to give without one."""

import uuid
from collections.abc import Iterator
from typing import Any

from django import forms

from campaign.errors import NoPostage
from campaign.forms.addresses import NAME_LENGTH, AddressFields
from campaign.forms.fields import MoneyField
from campaign.forms.guard import GuardedForm
from campaign.measures.money import format_minor
from campaign.measures.words import count_of
from campaign.queries.basket import Basket, LineWish
from campaign.queries.order_lines import Addressed
from campaign.queries.order_terms import EditionTerms, OrderTerms
from campaign.services.pledges import Order

LARGEST_GIFT_MINOR = 100_000_000
OWN, FRIEND = "copies_", "friend_copies_"
PERSON = ["name", "email"]
REST = ["gift", "way", "is_thanked_by_name", "wants_updates", "message"]


class OrderForm(GuardedForm, AddressFields):
    """
    One order on the `terms` it is made for; `agreed_total_minor` is the sum the backer was shown last.

    Each edition that can be had has a field copies_<code>, and friend_copies_<code> where the terms name a friend's
    country. The address fields are those of the countries; for a gift none is asked for.
    """

    request_key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    agreed_total_minor = forms.IntegerField(widget=forms.HiddenInput, required=False)
    source = forms.CharField(widget=forms.HiddenInput, required=False, max_length=30)
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
    gift = MoneyField(label="A gift on top", required=False)
    way = forms.ChoiceField(
        label="Paying", widget=forms.RadioSelect, error_messages={"required": "Choose how you will pay."}
    )
    is_thanked_by_name = forms.BooleanField(label="Thank me by name on the page of the show", required=False)
    wants_updates = forms.BooleanField(label="Send me the artist’s updates, until I say stop", required=False)
    message = forms.CharField(
        label="A word to the artist", required=False, max_length=500, widget=forms.Textarea({"rows": 3})
    )
    basket = Basket()

    def __init__(self, *args: Any, terms: OrderTerms, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.terms = terms
        show = terms.show
        gift: Any = self.fields["gift"]
        gift.show, gift.widget.attrs["inputmode"] = show, "decimal"
        self.fields["way"].choices = list(terms.ways)  # type: ignore[attr-defined]  # a ChoiceField, declared above
        self.fields["way"].initial = next(iter(terms.ways), ("",))[0]
        gift.label = f"A gift on top, in {show.currency} (if you like)"
        self.own_names: list[str] = []
        self.friend_names: list[str] = []
        if terms.is_gift:
            gift.label, gift.required, gift.at_least = "Your gift", True, 1
            example = format_minor(2500, currency=show.currency, locale=show.locale)
            gift.error_messages["required"] = f"Write an amount, such as {example}."
        else:
            self._add_prints()
        # As on the page, so that what is wrong is listed from top to bottom.
        self.order_fields([name for _, names in self._named_groups for name in names])

    def _add_prints(self) -> None:
        terms = self.terms
        self.own_names = [self._add_copies(one, prefix=OWN) for one in terms.on_sale]
        self._address_names = self.add_address_fields(terms.country)
        if terms.friend_country:
            self._add_friend()

    def _add_copies(self, one: EditionTerms, *, prefix: str) -> str:
        name = f"{prefix}{one.edition.code}"
        is_plain = self._is_plain and prefix == OWN
        choices = [(copies, self._choice_text(one, copies, is_plain=is_plain)) for copies in range(1, one.most + 1)]
        if is_plain:
            choices = [(copies, text) for copies, text in choices if text]
        field = forms.TypedChoiceField(
            label="Prints" if is_plain else f"“{one.edition.title}”", coerce=int, required=is_plain,
            choices=choices if is_plain else [(0, "none"), *choices],
            widget=forms.RadioSelect if is_plain or one.most <= 3 else forms.Select,
            error_messages={
                "required": "Choose how many prints.",
                "invalid_choice": "That many are not on offer just now; choose one of these.",
            },
        )  # fmt: skip
        field.initial = int(prefix == OWN and one.edition.code == self.terms.chosen and not self.terms.friend_country)
        self.fields[name] = field
        return name

    @property
    def _is_plain(self) -> bool:
        """One edition for the backer alone: then each number of copies can say its whole sum."""
        return len(self.terms.on_sale) == 1 and not self.terms.friend_country

    def _choice_text(self, one: EditionTerms, copies: int, *, is_plain: bool) -> str:
        prints = count_of(copies, "print")
        if not is_plain:
            return f"{prints}, {self._written(one.edition.price_minor * copies)}"
        basket = self.terms.price_of(one, copies=copies)
        if basket is None:
            return ""
        added = f", {self._written(basket.tax_added_minor)} {basket.tax.name}" if basket.tax_added_minor else ""
        parts = f"{self._written(basket.prints_minor)} and {self._written(basket.postage_minor)} postage{added}"
        return f"{prints}: {parts}, together {self._written(basket.total_minor)}"

    def _written(self, minor: int) -> str:
        return format_minor(minor, currency=self.terms.show.currency, locale=self.terms.show.locale)

    def _add_friend(self) -> None:
        self.friend_names = [self._add_copies(one, prefix=FRIEND) for one in self.terms.on_sale]
        self.fields["friend_name"] = forms.CharField(
            label="Your friend’s name", max_length=NAME_LENGTH,
            widget=forms.TextInput({"autocomplete": "section-friend name"}),
            error_messages={"required": "Your friend’s name is needed, as it should stand on the parcel."},
        )  # fmt: skip
        self.friend_names += ["friend_name", *self.add_address_fields(self.terms.friend_country, prefix="friend_")]

    @property
    def groups(self) -> Iterator[tuple[str, list[forms.BoundField]]]:
        """The fields as the page has them: heading and fields; an empty heading for the last."""
        for heading, names in self._named_groups:
            yield heading, [self[name] for name in names]

    @property
    def _named_groups(self) -> Iterator[tuple[str, list[str]]]:
        own, friend = self.own_names, self.friend_names
        if own and not self._is_plain:
            yield ("For you" if friend else "Prints"), own
            own = []
        if friend:
            yield "For your friend", friend
        address = [] if self.terms.is_gift else self._address_names
        yield ("You" if self.own_names else ""), [*PERSON, *address, *own]
        yield ("Paying" if self.own_names else ""), list(REST)

    def clean_gift(self) -> int:
        """Minor units; empty is no gift."""
        minor: int = self.cleaned_data["gift"] or 0
        if minor > LARGEST_GIFT_MINOR:
            raise forms.ValidationError("That is more than this page takes; write to the studio, please.")
        return minor

    def clean(self) -> dict[str, Any]:
        super().clean()
        terms = self.terms
        if not terms.is_gift:
            self.cleaned_data["address"] = self.checked_address(terms.country)
            if terms.friend_country:
                self.cleaned_data["friend_address"] = self.checked_address(terms.friend_country, prefix="friend_")
            self._check_copies()
        try:
            self.basket = terms.price(self._lines(), gift_minor=self.cleaned_data.get("gift") or 0)
        except NoPostage as refusal:
            self.add_error(self.own_names[0], refusal.sentence)
        return self.cleaned_data

    def _check_copies(self) -> None:
        for one in self.terms.on_sale:
            wanted = self._copies(OWN, one) + self._copies(FRIEND, one)
            if wanted > one.most:
                sentence = f"With your own that is {wanted}; {one.most} of them can be had."
                self.add_error(f"{FRIEND}{one.edition.code}", sentence)
        if any(name in self.errors for name in (*self.own_names, *self.friend_names)):
            return
        if not any(self._copies(prefix, one) for prefix in (OWN, FRIEND) for one in self.terms.on_sale):
            self.add_error(self.own_names[0], "Choose how many prints.")
        elif self.friend_names and not any(self._copies(FRIEND, one) for one in self.terms.on_sale):
            sentence = "Choose what goes to your friend, or choose above that all of it comes to you."
            self.add_error(self.friend_names[0], sentence)

    def _copies(self, prefix: str, one: EditionTerms) -> int:
        return int(self.cleaned_data.get(f"{prefix}{one.edition.code}") or 0)

    def _lines(self) -> tuple[LineWish, ...]:
        own = [LineWish(one.edition.code, self._copies(OWN, one)) for one in self.terms.on_sale]
        name, address = self.cleaned_data.get("friend_name", ""), self.cleaned_data.get("friend_address") or {}
        land = {"country_code": self.terms.friend_country}
        friend = [
            LineWish(one.edition.code, self._copies(FRIEND, one), name, {**land, **address})
            for one in self.terms.on_sale
        ]
        return tuple(line for line in (*own, *friend) if line.copies)

    @property
    def total_minor(self) -> int:
        """What a valid form asks for, gift included."""
        return self.basket.total_minor

    @property
    def is_all_for_friend(self) -> bool:
        """Nothing of a valid form goes to the backer."""
        return all(line.is_for_friend for line in self._lines())

    @property
    def friend(self) -> Addressed | None:
        """Where a valid form sends what is for a friend; None where all of it goes to the backer."""
        data = self.cleaned_data
        return Addressed(data["friend_name"], data["friend_address"]) if self.friend_names else None

    @property
    def order(self) -> Order:
        """A valid form as the service takes it."""
        data = self.cleaned_data
        return Order(
            agreed_total_minor=self.total_minor,
            name=data["name"],
            email=data["email"],
            way=data["way"],
            lines=self._lines(),
            gift_minor=data["gift"],
            address=data.get("address", {}),
            is_thanked_by_name=data["is_thanked_by_name"],
            wants_updates=data["wants_updates"],
            message=data["message"],
            source_tag=data["source"],
        )


class SendLinkForm(GuardedForm):
    """Where to send the private link once more."""

    email = forms.EmailField(
        label="E-mail", widget=forms.EmailInput({"autocomplete": "email"}),
        help_text="The address you ordered with.",
        error_messages={"invalid": "This is not an e-mail address; it looks like anna@example.org."},
    )  # fmt: skip
