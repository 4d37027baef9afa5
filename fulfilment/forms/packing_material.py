"""Forms of packing material: a mailer, how a print travels, what the post takes, what customs asks."""

import re
from fractions import Fraction
from typing import Any

from crispy_forms.layout import HTML, Div
from django import forms

from campaign.addresses import country_choices
from campaign.forms.fields import (
    CountField,
    DayField,
    LengthField,
    LongSelect,
    MeasureField,
    MoneyField,
    QuantityField,
    WeightField,
)
from campaign.forms.show_form import ShowForm, laid_out
from campaign.measures.errors import MeasureError
from campaign.measures.money import currency_digits
from campaign.measures.numbers import readings, tidy
from fulfilment.models import TravelFacts
from fulfilment.packing import LETTER_POST
from fulfilment.services.packing_material import CustomsWish, MailerWish, ServiceWish, TravelWish

THICKEST_UM = 100_000  # of one print with its sheath: 10 cm
MOST_SDR_UNITS = 1_000_000  # of the currency, for one SDR
MOST_DIVISOR = 1_000_000
KINDS = (("flat", "flat: a mailer or boards"), ("tube", "a tube"))
WAYS = (("flat", "flat only"), ("rolled", "flat or rolled"))
# Photographs are 4911.91 and no prints of heading 9702: US CBP, ruling NY 879029 (1992); what hand-made prints are
# stands in the notes to chapter 97 of the Harmonized System, 9702.90 (not over 100 years old) in its edition of 2022.
PROPOSALS = (
    "Proposals: 4911.91 for printed pictures, photographs and reproductions, 4911 for other printed matter; 9702.90 "
    "for original prints made by hand from a plate, stone or block. Check with customs: the code decides on duty."
)
LETTER_HELP = (
    "Ticked with all limits empty, they become those that several posts publish for small packets: 2 kg; sides 60 cm, "
    "together 90 cm; tubes 90 cm, with twice the diameter 104 cm; a face of 14 × 9 cm at least. Check yours."
)


class MailerForm(ShowForm):
    """One mailer or tube."""

    name = forms.CharField(label="What it is called", max_length=80, help_text="Such as: board mailer A3, tube 64 cm.")
    kind = forms.ChoiceField(label="Kind", choices=KINDS, widget=forms.RadioSelect, initial="flat")
    inner_length_mm = LengthField(label="Length inside")
    inner_width_mm = LengthField(label="Width inside", help_text="Of a tube: its diameter.")
    inner_depth_mm = LengthField(
        label="Depth inside", required=False, placeholder="8 mm", help_text="Of a tube: empty."
    )
    outer_length_mm = LengthField(label="Length outside")
    outer_width_mm = LengthField(label="Width outside", help_text="Of a tube: its diameter.")
    outer_depth_mm = LengthField(
        label="Depth outside",
        required=False,
        placeholder="12 mm",
        help_text="Closed, with a print in it. Of a tube: empty.",
    )
    edge_mm = LengthField(
        label="Edge kept free",
        allow_zero=True,
        required=False,
        placeholder="5 mm",
        help_text="On each side of a flat print.",
    )
    mass_g = WeightField(label="Weight of one", help_text="Empty, with its boards, tape and papers.")
    count = CountField(
        label="How many there are", most=100_000, required=False,
        help_text="Everything bought for this show, used ones included. Parcels take from it.",
    )  # fmt: skip
    price_minor = MoneyField(label="One costs", required=False)
    helper = laid_out(
        "name", "kind", HTML("<h2>Size</h2>"),
        Div("inner_length_mm", "inner_width_mm", "inner_depth_mm", css_class="row"),
        Div("outer_length_mm", "outer_width_mm", "outer_depth_mm", css_class="row"), "edge_mm",
        HTML("<h2>How heavy, how many, for how much</h2>"), Div("mass_g", "count", "price_minor", css_class="row"),
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        if values.get("kind") == "tube":
            values |= {"edge_mm": 0} | {f"{at}_depth_mm": values.get(f"{at}_width_mm") for at in ("inner", "outer")}
        for at in ("inner", "outer"):
            if (
                values.get("kind") == "flat"
                and not values.get(f"{at}_depth_mm")
                and f"{at}_depth_mm" not in self.errors
            ):
                self.add_error(f"{at}_depth_mm", "A flat mailer has a depth; write how thick it may be, such as 8 mm.")
        for side in ("length", "width", "depth"):
            inner, outer = values.get(f"inner_{side}_mm"), values.get(f"outer_{side}_mm")
            if inner and outer and outer < inner:
                field = f"outer_{'width' if values.get('kind') == 'tube' else side}_mm"
                self.add_error(field, "Outside it is at least as large as inside; write the larger one here.")
                break
        return values

    @property
    def wish(self) -> MailerWish:
        """What the form asks for."""
        values = dict(self.cleaned_data)
        is_tube = values.pop("kind") == "tube"
        empty = {name: values[name] or 0 for name in ("edge_mm", "count", "price_minor")}
        return MailerWish(**(values | empty), is_tube=is_tube)


def mailer_start(mailer: Any) -> dict[str, Any]:
    """What stands in the form of a mailer at first."""
    if mailer is None:
        return {}
    names = [name for name in MailerForm.base_fields if name != "kind"]
    start = {name: getattr(mailer, name) for name in names} | {"kind": "tube" if mailer.is_tube else "flat"}
    return start | ({"inner_depth_mm": None, "outer_depth_mm": None} if mailer.is_tube else {})


class TravelForm(ShowForm):
    """How prints of one edition travel, and what customs is told."""

    way = forms.ChoiceField(label="It may travel", choices=WAYS, widget=forms.RadioSelect, initial="flat")
    least_tube_mm = LengthField(
        label="Rolled no tighter than",
        required=False,
        placeholder="76 mm",
        help_text="The inner diameter of the narrowest tube it bears.",
    )
    thickness_um = QuantityField(
        label="Thickness of one with its sheath, in mm", required=False,
        help_text="Measure ten in their sheaths and divide. A sheet of 300 g paper with tissue is about 0.5.",
    )  # fmt: skip
    mass_g = WeightField(
        label="Weight of one with its sheath", required=False, help_text="Without mailer, boards and tape."
    )
    commodity_code = forms.CharField(label="Commodity code", max_length=13, required=False, help_text=PROPOSALS)
    origin_country = forms.ChoiceField(
        label="Country of origin", required=False, widget=LongSelect, help_text="Where it is printed, as a rule."
    )
    content_words = forms.CharField(
        label="What it is, for customs", max_length=60, required=False,
        help_text="Exact and in the language of the country or in English: limited edition print on paper. Not: art.",
    )  # fmt: skip
    reason = forms.ChoiceField(label="Why it is sent", choices=TravelFacts.Reason.choices)
    helper = laid_out(
        HTML("<h2>How it travels</h2>"), "way", "least_tube_mm", Div("thickness_um", "mass_g", css_class="row"),
        HTML('<h2 id="customs">For customs</h2>'), "commodity_code", "origin_country", "content_words", "reason",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["origin_country"].choices = [("", "not said"), *country_choices()]  # type: ignore[attr-defined]

    def clean_thickness_um(self) -> int | None:
        thickness_um: int | None = self.cleaned_data["thickness_um"]
        if thickness_um and thickness_um > THICKEST_UM:
            raise forms.ValidationError(
                "That is thicker than 10 cm. Write the thickness of one print in mm, such as 0.5."
            )
        return thickness_um

    def clean_commodity_code(self) -> str:
        code = "".join(self.cleaned_data["commodity_code"].split())
        if code and not re.fullmatch(r"\d{4}(\.?\d{2}){0,3}", code):
            raise forms.ValidationError("A commodity code has four to ten digits, such as 4911.91.")
        return code

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        is_rolled = values.get("way") == "rolled"
        if is_rolled and not values.get("least_tube_mm") and "least_tube_mm" not in self.errors:
            self.add_error("least_tube_mm", "Write how tightly it may be rolled, such as 76 mm, or choose flat only.")
        thickness_um, mass_g = values.get("thickness_um"), values.get("mass_g")
        if thickness_um and not mass_g and "mass_g" not in self.errors:
            self.add_error("mass_g", "Write what one weighs as well; without it no parcel can be planned.")
        if not thickness_um and "thickness_um" not in self.errors and (mass_g or is_rolled):
            self.add_error("thickness_um", "Write how thick one is as well; without it no parcel can be planned.")
        return values

    @property
    def wish(self) -> TravelWish:
        """What the form asks for."""
        values = dict(self.cleaned_data)
        is_rolled = values.pop("way") == "rolled"
        least_mm = (values["least_tube_mm"] or 0) if is_rolled else 0
        empty = {"thickness_um": values["thickness_um"] or 0, "mass_g": values["mass_g"] or 0}
        return TravelWish(**(values | empty | {"least_tube_mm": least_mm}))


def travel_start(facts: Any, *, show: Any) -> dict[str, Any]:
    """What stands in the form of an edition at first; nothing is said yet where its numbers are 0."""
    if facts is None:
        return {"origin_country": show.country}
    names = [name for name in TravelForm.base_fields if name != "way"]
    start = {name: getattr(facts, name) for name in names} | {"way": "rolled" if facts.least_tube_mm else "flat"}
    return start | {name: start[name] or None for name in ("thickness_um", "mass_g", "least_tube_mm")}


LIMITS = (
    "mass_g", "longest_mm", "sum_mm", "tube_longest_mm", "tube_sum_mm", "length_and_girth_mm", "least_long_mm",
    "least_short_mm",
)  # fmt: skip
LETTER_LIMITS = {
    "mass_g": LETTER_POST.mass_g, "longest_mm": LETTER_POST.longest_mm, "sum_mm": LETTER_POST.sum_mm,
    "tube_longest_mm": LETTER_POST.tube_longest_mm, "tube_sum_mm": LETTER_POST.tube_sum_mm,
    "least_long_mm": LETTER_POST.least_face_mm[0], "least_short_mm": LETTER_POST.least_face_mm[1],
}  # fmt: skip


class ServiceForm(ShowForm):
    """What the post takes to one zone; a form in which nothing is said is no service."""

    use_required_attribute = False
    zone = forms.CharField(max_length=60, widget=forms.HiddenInput)
    name = forms.CharField(label="Service", max_length=80, required=False, help_text="As the post calls it.")
    is_letter_post = forms.BooleanField(label="It is letter post", required=False, help_text=LETTER_HELP)
    mass_g = WeightField(label="Weight at most", required=False)
    longest_mm = LengthField(label="Longest side at most", required=False)
    sum_mm = LengthField(label="All three sides together at most", required=False)
    length_and_girth_mm = LengthField(label="Length and girth at most", required=False, help_text="Girth: once around.")
    tube_longest_mm = LengthField(label="Tube, length at most", required=False)
    tube_sum_mm = LengthField(label="Tube, length and twice the diameter at most", required=False)
    least_long_mm = LengthField(label="Face, longer side at least", required=False)
    least_short_mm = LengthField(label="Face, shorter side at least", required=False)
    divisor_mm3_per_g = CountField(
        label="Weight by size: cm³ for one kilogram", most=MOST_DIVISOR, required=False, placeholder="5000",
        help_text="Where bulk counts as weight; 139 cubic inches a pound are 5022. Empty: the scales decide.",
    )  # fmt: skip
    divisor_from_mm3 = CountField(
        label="By size only above so many cm³", most=10_000_000, required=False, help_text="Empty: always."
    )
    insured_up_to_minor = MoneyField(label="Insured up to", required=False, placeholder="0")
    helper = laid_out(
        "zone", "name", "is_letter_post", Div("mass_g", "longest_mm", "sum_mm", css_class="row"),
        Div("tube_longest_mm", "tube_sum_mm", "length_and_girth_mm", css_class="row"),
        Div("least_long_mm", "least_short_mm", "insured_up_to_minor", css_class="row"),
        Div("divisor_mm3_per_g", "divisor_from_mm3", css_class="row"),
    )  # fmt: skip

    def __init__(self, *args: Any, line: Any, **kwargs: Any) -> None:
        self.line = line
        self.place = line.zone  # what the summary of faults calls it, since all zones have the same fields
        super().__init__(*args, **kwargs)

    def clean_zone(self) -> str:
        zone: str = self.cleaned_data["zone"]
        if zone != self.line.zone:
            raise forms.ValidationError("The table of postage has changed meanwhile. Look at this page again first.")
        return zone

    @property
    def wish(self) -> ServiceWish | None:
        """What the form asks for, None where nothing is said."""
        values = {name: value or 0 for name, value in self.cleaned_data.items() if name not in ("zone", "name")}
        values["divisor_from_mm3"] *= 1_000  # typed in cm³
        name, is_letter = self.cleaned_data["name"], bool(values.pop("is_letter_post"))
        if is_letter and not any(values[limit] for limit in LIMITS):
            values |= LETTER_LIMITS
        if not (name or is_letter or any(values.values())):
            return None
        return ServiceWish(zone=self.cleaned_data["zone"], name=name, is_letter_post=is_letter, **values)


def service_start(line: Any) -> dict[str, Any]:
    """What stands in the form of a zone at first; a limit that is not said is empty."""
    if line.service is None:
        return {"zone": line.zone}
    start = {name: getattr(line.service, name) or None for name in ServiceForm.base_fields}
    if start["divisor_from_mm3"]:
        start["divisor_from_mm3"] //= 1_000
    return start


class RateField(MeasureField):
    """What one SDR costs, as thousandths of the currency's smallest unit: 1.2435."""

    def read(self, text: str) -> int:
        expected = "what one SDR costs, such as 1.2435"
        values = readings(tidy(text))
        if not values:
            raise MeasureError(text, expected)
        milli = min(values) * self._factor  # nobody means thousands of them
        if milli < 1 or milli > MOST_SDR_UNITS * self._factor:
            raise MeasureError(text, expected)
        return round(milli)

    def write(self, value: int) -> str:
        return plain_rate(Fraction(value, self._factor))

    @property
    def _factor(self) -> int:
        digits = currency_digits(self.show.currency)
        return 1_000 * int(10**digits)


def plain_rate(value: Fraction) -> str:
    """A price with all its decimals and no trailing zeros."""
    whole, rest = divmod(round(value * 1_000_000), 1_000_000)
    return f"{whole}.{rest:06}".rstrip("0").rstrip(".")


WITH_DIGIT = r"(?=.*\d)"  # words are no number


class CustomsForm(ShowForm):
    """The price of an SDR and the sender's numbers."""

    sdr_milli = RateField(
        label="One SDR costs", required=False,
        help_text="In the currency of the show, as the International Monetary Fund publishes it each working day.",
    )  # fmt: skip
    sdr_read_on = DayField(label="Read on", required=False)
    eori = forms.CharField(
        label="EORI number", max_length=17, required=False, help_text="If you have one: two letters, then the number."
    )
    vat_number = forms.CharField(label="VAT number", max_length=20, required=False)
    ioss_number = forms.CharField(
        label="IOSS number",
        max_length=12,
        required=False,
        help_text="If you have one: IM and ten digits. Stands on notes to the European Union alone.",
    )
    helper = laid_out(
        HTML("<h2>Which note</h2>"), Div("sdr_milli", "sdr_read_on", css_class="row"),
        HTML("<h2>Numbers of the sender</h2>"), Div("eori", "vat_number", "ioss_number", css_class="row"),
    )  # fmt: skip

    def clean_eori(self) -> str:
        return self._number(
            "eori", rf"{WITH_DIGIT}[A-Z]{{2}}[A-Z0-9]{{1,15}}",
            "An EORI number begins with two letters, and digits follow, like DE1234567.",
        )  # fmt: skip

    def clean_vat_number(self) -> str:
        words = "Write the number as your tax office gave it to you, with its digits."
        return self._number("vat_number", rf"{WITH_DIGIT}[A-Z0-9.+*/-]{{4,20}}", words)

    def clean_ioss_number(self) -> str:
        return self._number("ioss_number", r"IM\d{10}", "An IOSS number is IM and ten digits, like IM2760000000.")

    def _number(self, name: str, shape: str, words: str) -> str:
        value = "".join(self.cleaned_data[name].split()).upper()
        if value and not re.fullmatch(shape, value):
            raise forms.ValidationError(words)
        return value

    def clean(self) -> dict[str, Any]:
        values = self.cleaned_data
        if values.get("sdr_milli") and not values.get("sdr_read_on") and "sdr_read_on" not in self.errors:
            self.add_error("sdr_read_on", "Write on which day you read the price.")
        if values.get("sdr_read_on") and not values.get("sdr_milli") and "sdr_milli" not in self.errors:
            self.add_error("sdr_milli", "Write the price that you read on that day.")
        return values

    @property
    def wish(self) -> CustomsWish:
        """What the form asks for."""
        return CustomsWish(**self.cleaned_data)


def customs_start(facts: Any) -> dict[str, Any]:
    """What stands in the form at first."""
    return {name: getattr(facts, name) for name in CustomsForm.base_fields} if facts else {}
