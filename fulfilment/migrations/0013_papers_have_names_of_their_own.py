"""Papers of a show whose names are the same but for large and small letters get a number behind the later ones."""

from django.db import migrations

LONGEST = 120


def rename(apps, schema_editor):
    known = {}
    for stock in apps.get_model("fulfilment", "PaperStock").objects.order_by("show", "pk"):
        names, name, number = known.setdefault(stock.show_id, set()), stock.name, 1
        while name.lower() in names:
            number += 1
            tail = f" ({number})"
            name = stock.name[: LONGEST - len(tail)] + tail
        names.add(name.lower())
        if name != stock.name:
            stock.name = name
            stock.save(update_fields=["name"])


class Migration(migrations.Migration):
    dependencies = [("fulfilment", "0012_certificates_made_by_a_job")]
    operations = [migrations.RunPython(rename, migrations.RunPython.noop)]
