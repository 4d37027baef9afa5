from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("campaign", "0003_link_requests")]
    operations = [
        migrations.AddField(
            model_name="show",
            name="rebuild_until_at",
            field=models.DateTimeField(blank=True, null=True, help_text="Somebody works the staircase out."),
        ),
    ]
