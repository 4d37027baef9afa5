import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('campaign', '0002_cash_book_is_append_only'),
        ('fulfilment', '0001_initial'),
    ]

    operations = [
        migrations.AddField(
            model_name='parcel',
            name='job',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='parcels', to='campaign.job'),
        ),
    ]
