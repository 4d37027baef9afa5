from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("campaign", "0004_staircase_has_a_lease")]
    operations = [
        migrations.AddField(
            model_name="copy",
            name="is_packed",
            field=models.BooleanField(default=False, help_text="In a numbered parcel, so it goes to nobody else."),
        ),
    ]
