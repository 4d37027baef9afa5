"""Postings of before left, as far as is known, in what their parcel travels in now."""

from django.db import migrations
from django.db.models import OuterRef, Subquery


def fill(apps, schema_editor):
    parcels = apps.get_model("fulfilment", "Parcel").objects.filter(pk=OuterRef("parcel"))
    posted = apps.get_model("fulfilment", "ParcelEvent").objects.filter(kind="posted", mailer=None)
    posted.update(mailer=Subquery(parcels.values("mailer")))


class Migration(migrations.Migration):
    dependencies = [("fulfilment", "0015_a_posting_knows_what_it_left_in")]
    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
