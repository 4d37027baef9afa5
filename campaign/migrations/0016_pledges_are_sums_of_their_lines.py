"""Schema after the data of 0015: the edition of a pledge is gone, and a copy knows its line."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("campaign", "0015_orders_have_lines")]

    operations = [
        migrations.RemoveField(model_name="pledge", name="edition"),
        migrations.AlterField(
            model_name="pledge",
            name="copies",
            field=models.PositiveSmallIntegerField(
                default=0, help_text="All copies of its lines; prints and costs too."
            ),
        ),
        migrations.AlterField(
            model_name="edition",
            name="sold_from_at",
            field=models.DateTimeField(blank=True, help_text="Later than the campaign opens.", null=True),
        ),
        migrations.AlterField(
            model_name="edition",
            name="sold_until_at",
            field=models.DateTimeField(blank=True, help_text="Earlier than the campaign closes.", null=True),
        ),
        migrations.AddConstraint(
            model_name="pledge",
            constraint=models.CheckConstraint(
                condition=models.Q(("copies", 0), ("prints_minor", 0))
                | models.Q(("copies__gt", 0), ("prints_minor__gt", 0)),
                name="pledge_has_copies_exactly_when_it_pays_for_prints",
            ),
        ),
        migrations.AddConstraint(
            model_name="copy",
            constraint=models.CheckConstraint(
                condition=models.Q(("line", None), ("pledge", None))
                | models.Q(("line__isnull", False), ("pledge__isnull", False)),
                name="copy_has_a_line_exactly_when_it_has_a_pledge",
            ),
        ),
    ]
