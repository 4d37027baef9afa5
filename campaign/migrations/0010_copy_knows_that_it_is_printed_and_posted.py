from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("campaign", "0009_orders_and_money_as_they_are")]
    operations = [
        migrations.AddField(
            model_name="copy",
            name="is_printed",
            field=models.BooleanField(default=False, help_text="Came out well, so making it has been paid for."),
        ),
        migrations.AddField(
            model_name="copy",
            name="is_posted",
            field=models.BooleanField(default=False, help_text="In a parcel that is on its way."),
        ),
    ]
