from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("campaign", "0012_card_payments_are_compared")]

    operations = [
        migrations.CreateModel(
            name="Pulse",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=40, unique=True)),
                ("at", models.DateTimeField()),
            ],
        ),
    ]
