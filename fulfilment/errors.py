"""What the rules of printing and posting refuse, with the figures that say why."""

from collections.abc import Sequence
from dataclasses import dataclass

from campaign.errors import Refusal

MOST_NAMED = 8
MOST_REASONS = 4


def name_some(names: Sequence[str]) -> str:
    """The first few of `names`, and how many more there are: 3/80, 4/80 and 12 more."""
    shown = ", ".join(names[:MOST_NAMED])
    more = len(names) - MOST_NAMED
    return f"{shown} and {more} more" if more > 0 else shown


@dataclass
class CopiesNotSpokenFor(Refusal):
    """Only a copy that somebody has paid for is printed."""

    numbers: tuple[int, ...]

    @property
    def sentence(self) -> str:
        named = name_some([str(number) for number in self.numbers])
        which = f"Copy {named} is" if len(self.numbers) == 1 else f"Copies {named} are"
        return f"{which} not spoken for, so nothing was marked. Print only what has been paid for."


@dataclass
class CopiesPacked(Refusal):
    """A copy that is numbered into a parcel stays printed."""

    numbers: tuple[int, ...]

    @property
    def sentence(self) -> str:
        named = name_some([str(number) for number in self.numbers])
        which = f"Copy {named} has" if len(self.numbers) == 1 else f"Copies {named} have"
        return f"{which} a parcel already, so nothing was changed."


@dataclass
class CopiesNotOut(Refusal):
    """Only what has come out of the printer well is signed."""

    numbers: tuple[int, ...]

    @property
    def sentence(self) -> str:
        named = name_some([str(number) for number in self.numbers])
        which = f"Copy {named} is" if len(self.numbers) == 1 else f"Copies {named} are"
        return f"{which} not marked as printed, so nothing was marked as signed."


@dataclass
class CopiesInClosedParcels(Refusal):
    """What is packed or on its way is not printed again without opening its parcel."""

    numbers: tuple[int, ...]

    @property
    def sentence(self) -> str:
        named = name_some([str(number) for number in self.numbers])
        which = f"Copy {named} lies" if len(self.numbers) == 1 else f"Copies {named} lie"
        return (
            f"{which} in a parcel that is packed or posted, so nothing was marked as spoiled. Open the parcel first, "
            "or record in the room Send what became of it."
        )


@dataclass
class CopiesWithoutOwner(Refusal):
    """A certificate is for a copy that somebody has paid for."""

    numbers: tuple[int, ...]

    @property
    def sentence(self) -> str:
        named = name_some([str(number) for number in self.numbers])
        which = f"Copy {named} is" if len(self.numbers) == 1 else f"Copies {named} are"
        return f"{which} not spoken for, so no certificate was issued."


@dataclass
class CopiesNotPrinted(Refusal):
    """Printing ends when every copy that is spoken for has come out well."""

    names: tuple[str, ...]

    @property
    def sentence(self) -> str:
        count = "1 copy is" if len(self.names) == 1 else f"{len(self.names)} copies are"
        return f"{count} not printed yet: {name_some(self.names)}. Mark them as printed first."


@dataclass
class NoParcelTakes(Refusal):
    """By mailers and limits every copy that is ready is refused; `reasons` say why, each once."""

    names: tuple[str, ...]
    reasons: tuple[str, ...]

    @property
    def sentence(self) -> str:
        shown, more = self.reasons[:MOST_REASONS], len(self.reasons) - MOST_REASONS
        why = "; ".join(shown) + (f"; and {more} more" if more > 0 else "")
        return (
            f"No parcel takes {name_some(self.names)}: {why}. So there are no papers to make. Change the packing "
            "material, or pack them all the same, both in the room Send."
        )


@dataclass
class AddressesUnfit(Refusal):
    """A label cannot be laid out from what stands in the order."""

    codes: tuple[str, ...]

    @property
    def sentence(self) -> str:
        orders = "Order" if len(self.codes) == 1 else "Orders"
        return (
            f"{orders} {name_some(self.codes)}: the address is missing, incomplete or not in Latin letters, "
            "so no label can be made. Ask for a complete one first; the backer can change it through the private link."
        )


@dataclass
class TrackingNumberWrong(Refusal):
    """A number of the international form whose check digit does not fit was mistyped."""

    number: str
    parcel_number: int

    @property
    def sentence(self) -> str:
        return (
            f"Parcel {self.parcel_number}: {self.number} has a mistyped character, its check digit does not fit. "
            "Compare it with the receipt; nothing was recorded."
        )


@dataclass
class NoticeAlreadySent(Refusal):
    """The recipient has been told, or the mail is on its way; taking it back would make it untrue."""

    parcel_number: int
    is_out: bool = True

    @property
    def sentence(self) -> str:
        if self.is_out:
            return f"The notice for parcel {self.parcel_number} has been sent, so it stays as it is."
        return (
            f"The notice for parcel {self.parcel_number} is written and has not gone out, so it stays as it is. Within "
            "a minute of the click its batch can be called off, under Notices; then it can be changed."
        )


@dataclass
class ParcelEmpty(Refusal):
    """All orders of a parcel were cancelled after it was numbered."""

    parcel_number: int

    @property
    def sentence(self) -> str:
        return f"Every order in parcel {self.parcel_number} has been cancelled. Do not post it; take it apart."


@dataclass
class AlreadyPosted(Refusal):
    """What has left cannot be sent somewhere else."""

    name: str

    @property
    def sentence(self) -> str:
        return f"What goes to {self.name} is posted already, so nothing was changed."


@dataclass
class NoSuchParcel(Refusal):
    """Nothing in this show has this code."""

    code: str

    @property
    def sentence(self) -> str:
        return f"No parcel of this show has the code {self.code[:40]}. Scan the bar code of the slip again."


@dataclass
class NotToBePacked(Refusal):
    """A parcel that is packed, posted or cancelled already; `why` says by whom and when."""

    why: str

    @property
    def sentence(self) -> str:
        return self.why


@dataclass
class ParcelHoldsOthers(Refusal):
    """What belongs in a parcel changed between showing it and packing it."""

    parcel_number: int

    @property
    def sentence(self) -> str:
        return (
            f"What belongs in parcel {self.parcel_number} has changed meanwhile, so it does not count as packed. "
            "Scan its slip again and confirm each copy."
        )


@dataclass
class ParcelToOpen(Refusal):
    """A copy was cancelled after somebody had packed it."""

    parcel_number: int
    names: tuple[str, ...]

    @property
    def sentence(self) -> str:
        return (
            f"Parcel {self.parcel_number} was packed before {name_some(self.names)} was cancelled. Open it, take that "
            "out, say so above the list, and pack it again. Nothing was recorded."
        )


@dataclass
class OutcomeNotYet(Refusal):
    """Something that only happens to a parcel on its way."""

    parcel_number: int

    @property
    def sentence(self) -> str:
        return f"Parcel {self.parcel_number} is not posted, so nothing has become of it yet."


@dataclass
class NothingToSendAgain(Refusal):
    """A second posting follows one that came back, was damaged or is lost."""

    parcel_number: int

    @property
    def sentence(self) -> str:
        return (
            f"Parcel {self.parcel_number} is on its way or has arrived. Record first that it came back, was damaged "
            "or is lost."
        )


@dataclass
class ParcelWaitsForPrint(Refusal):
    """A copy that belongs in a parcel was spoiled and is not printed again yet."""

    parcel_number: int
    names: tuple[str, ...]

    @property
    def sentence(self) -> str:
        return (
            f"Parcel {self.parcel_number} waits: {name_some(self.names)} was spoiled and is not marked as printed "
            "again. Nothing was recorded."
        )


@dataclass
class NotInThePrintList(Refusal):
    """What the plan does not hang, or no longer, is not marked."""

    @property
    def sentence(self) -> str:
        return "One of these is not in the print list any more, so nothing was marked. Look at the list as it is now."


@dataclass
class NothingToLay(Refusal):
    """A nest needs prints, and a paper for them."""

    @property
    def sentence(self) -> str:
        return "There is nothing to lay out: every print is printed, or has no paper yet."


@dataclass
class AgainstTheLimits(Refusal):
    """Something stands against a parcel as it would be packed; `faults` says what, a sentence each."""

    faults: tuple[str, ...]

    @property
    def sentence(self) -> str:
        return (
            f"So it should not go: {'; '.join(self.faults)}. Nothing was changed. Choose another mailer, or tick that "
            "it is packed all the same."
        )


@dataclass
class MailerInUse(Refusal):
    """A parcel says what it travels in as long as it is kept."""

    name: str
    parcels: int

    @property
    def sentence(self) -> str:
        parcels = "1 parcel travels" if self.parcels == 1 else f"{self.parcels} parcels travel"
        return f"{parcels} in “{self.name}”, so it stays in the list. Set how many there are to 0 if none is left."


@dataclass
class NotRefused(Refusal):
    """What has a parcel, or gets one by the rules, needs no word of the artist."""

    @property
    def sentence(self) -> str:
        return "These copies are not refused any more, so nothing was changed. Look at the list as it is now."


@dataclass
class LabelsDoNotFit(Refusal):
    """A sheet of labels that no page can hold, or an address that is more than a label holds."""

    words: str

    @property
    def sentence(self) -> str:
        return self.words


class NoCertificates(Refusal):
    """Nothing to print: no certificate of these copies holds."""

    @property
    def sentence(self) -> str:
        return "None of these copies has a certificate. Issue them first."
