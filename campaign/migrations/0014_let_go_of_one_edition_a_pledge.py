"""Schema before the data of 0015: a pledge may have copies of any edition. Back: 0015 has filled the edition again."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("campaign", "0013_the_sweep_gives_a_sign_of_life")]

    operations = [
        migrations.RemoveConstraint(model_name="pledge", name="pledge_has_copies_exactly_when_it_has_an_edition"),
    ]
