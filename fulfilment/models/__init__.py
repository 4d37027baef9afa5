"""Rows of printing and posting, hung onto the campaign's copies and pledges."""

from fulfilment.models.parcel import Parcel, ParcelCopy, ParcelEvent
from fulfilment.models.production import Impression

__all__ = ["Impression", "Parcel", "ParcelCopy", "ParcelEvent"]
