from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("campaign", "0010_copy_knows_that_it_is_printed_and_posted")]
    operations = [
        migrations.AddField(
            model_name="show",
            name="called_off_words",
            field=models.CharField(blank=True, max_length=500, help_text="Why it was called off, as backers read it."),
        ),
        migrations.AddField(
            model_name="show", name="called_off_at", field=models.DateTimeField(blank=True, null=True)
        ),
    ]
