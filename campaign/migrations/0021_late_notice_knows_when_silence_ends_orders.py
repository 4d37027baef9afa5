from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("campaign", "0020_postage_steps_differ_on_sqlite_too")]

    operations = [
        migrations.AddField(
            model_name="latenotice",
            name="silent_end_on",
            field=models.DateField(
                blank=True, help_text="The next day with whose end silent orders end; empty once none is left.", null=True
            ),
        ),
    ]
