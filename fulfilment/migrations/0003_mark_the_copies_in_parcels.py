from django.db import migrations


def mark(apps, schema_editor):
    packed = apps.get_model("fulfilment", "ParcelCopy").objects.values("copy")
    apps.get_model("campaign", "Copy").objects.filter(pk__in=packed).update(is_packed=True)


class Migration(migrations.Migration):
    dependencies = [
        ("campaign", "0005_copy_knows_that_it_is_packed"),
        ("fulfilment", "0002_parcel_knows_its_job"),
    ]
    operations = [migrations.RunPython(mark, migrations.RunPython.noop)]
