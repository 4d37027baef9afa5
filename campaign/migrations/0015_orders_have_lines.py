"""
Orders of one edition become orders with one line.

Back where every pledge has at most one line, for the backer; what goes to a friend has no place in the old rows.
"""

from django.db import migrations
from django.db.models import Count

CHUNK = 500


def fill_lines(apps, schema_editor):
    Pledge, PledgeLine, Copy = (apps.get_model("campaign", name) for name in ("Pledge", "PledgeLine", "Copy"))
    old = Pledge.objects.filter(edition__isnull=False, lines=None).order_by("pk")
    lines = [
        PledgeLine(
            pledge_id=pledge.pk,
            edition_id=pledge.edition_id,
            copies=pledge.copies,
            prints_minor=pledge.prints_minor,
            make_cost_minor=pledge.make_cost_minor,
            pack_cost_minor=pledge.pack_cost_minor,
        )
        for pledge in old.iterator(chunk_size=CHUNK)
    ]
    PledgeLine.objects.bulk_create(lines, batch_size=CHUNK)
    line_of = dict(PledgeLine.objects.values_list("pledge", "pk"))
    copies = list(Copy.objects.filter(pledge__isnull=False, line=None).only("pk", "pledge_id"))
    for copy in copies:
        copy.line_id = line_of[copy.pledge_id]
    Copy.objects.bulk_update(copies, ["line"], batch_size=CHUNK)


def fill_editions(apps, schema_editor):
    Pledge, PledgeLine, Copy = (apps.get_model("campaign", name) for name in ("Pledge", "PledgeLine", "Copy"))
    several = Pledge.objects.annotate(count=Count("lines")).filter(count__gt=1).count()
    elsewhere = PledgeLine.objects.exclude(recipient_name="", address={}).count()
    if several or elsewhere:
        raise RuntimeError(
            f"{several} orders have several lines, {elsewhere} lines go to a friend; the older rows cannot hold that."
        )
    Copy.objects.filter(line__isnull=False).update(line=None)
    for pledge_id, edition_id in PledgeLine.objects.values_list("pledge", "edition"):
        Pledge.objects.filter(pk=pledge_id).update(edition=edition_id)
    PledgeLine.objects.all().delete()


class Migration(migrations.Migration):
    dependencies = [("campaign", "0014_let_go_of_one_edition_a_pledge")]

    operations = [migrations.RunPython(fill_lines, fill_editions)]
