from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("campaign", "0016_pledges_are_sums_of_their_lines")]

    operations = [
        migrations.CreateModel(
            name="Verification",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("hour_at", models.DateTimeField(unique=True)),
                ("began_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                (
                    "looked_at",
                    models.PositiveIntegerField(default=0, help_text="How many rows and sums were looked at."),
                ),
                (
                    "difference",
                    models.CharField(
                        blank=True, help_text="The first one; empty where all agrees.", max_length=500
                    ),
                ),
            ],
            options={"ordering": ["-hour_at"]},
        ),
    ]
