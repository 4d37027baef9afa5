"""Rows of printing and posting, hung onto the campaign's copies and pledges."""

from fulfilment.models.certificate_batch import CertificateBatch
from fulfilment.models.label_stock import LabelStock
from fulfilment.models.mailers import CustomsFacts, Mailer, PackAnyway, PostService, TravelFacts
from fulfilment.models.paper_stock import PaperChoice, PaperStock
from fulfilment.models.parcel import CLOSED, Parcel, ParcelCopy, ParcelEvent
from fulfilment.models.production import Impression
from fulfilment.models.register import Certificate, CopyEvent, EditionFacts
from fulfilment.models.show_print import Nest, ShowPrintEvent
from fulfilment.models.slip_line import SlipLine

__all__ = [
    "CLOSED",
    "Certificate",
    "CertificateBatch",
    "CopyEvent",
    "CustomsFacts",
    "EditionFacts",
    "Impression",
    "LabelStock",
    "Mailer",
    "Nest",
    "PackAnyway",
    "PaperChoice",
    "PaperStock",
    "Parcel",
    "ParcelCopy",
    "ParcelEvent",
    "PostService",
    "ShowPrintEvent",
    "SlipLine",
    "TravelFacts",
]
