"""Charges, value days and reversals of bank lines; files that wait for their columns; layouts known by their headings."""

import campaign.models.codes
import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("campaign", "0017_what_the_hourly_check_found")]

    operations = [
        migrations.CreateModel(
            name="BankUpload",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("code", models.CharField(default=campaign.models.codes.new_code, max_length=16, unique=True)),
                ("file_name", models.CharField(max_length=160)),
                ("content", models.BinaryField()),
                ("sent_at", models.DateTimeField()),
                (
                    "show",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="bank_uploads", to="campaign.show"
                    ),
                ),
            ],
            options={"ordering": ["-pk"]},
        ),
        migrations.AddField(
            model_name="bankline",
            name="fee_minor",
            field=models.BigIntegerField(default=0, help_text="What the bank took out of it on the way."),
        ),
        migrations.AddField(model_name="bankline", name="is_reversal", field=models.BooleanField(default=False)),
        migrations.AddField(
            model_name="bankline",
            name="kept_minor",
            field=models.BigIntegerField(
                default=0, help_text="Too much, kept as a gift with the backer’s consent."
            ),
        ),
        migrations.AddField(
            model_name="bankline", name="value_on", field=models.DateField(blank=True, null=True)
        ),
        # No layout was ever kept before this migration: the pages that keep them came with it.
        migrations.AddField(
            model_name="csvlayout",
            name="headings_sha256",
            field=models.CharField(
                default="", help_text="Of the headings, so that they are known again.", max_length=64, unique=True
            ),
            preserve_default=False,
        ),
        migrations.AlterField(
            model_name="csvlayout",
            name="columns",
            field=models.JSONField(help_text="Headings, the heading of each meaning, the order of days."),
        ),
        migrations.AddConstraint(
            model_name="bankline",
            constraint=models.CheckConstraint(
                condition=models.Q(("fee_minor__gte", 0), ("kept_minor__gte", 0)),
                name="bank_line_sums_are_not_negative",
            ),
        ),
    ]
