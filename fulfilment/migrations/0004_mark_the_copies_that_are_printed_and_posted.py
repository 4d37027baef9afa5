from django.db import migrations


def mark(apps, schema_editor):
    copies = apps.get_model("campaign", "Copy").objects
    printed = apps.get_model("fulfilment", "Impression").objects.values("copy")
    posted = apps.get_model("fulfilment", "ParcelCopy").objects.filter(parcel__state="posted").values("copy")
    copies.filter(pk__in=printed).update(is_printed=True)
    copies.filter(pk__in=posted).update(is_posted=True)


class Migration(migrations.Migration):
    dependencies = [
        ("campaign", "0010_copy_knows_that_it_is_printed_and_posted"),
        ("fulfilment", "0003_mark_the_copies_in_parcels"),
    ]
    operations = [migrations.RunPython(mark, migrations.RunPython.noop)]
