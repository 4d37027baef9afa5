"""Certificates that a job makes as papers: of which edition and which numbers."""

from django.db import models

from campaign.models import Edition, Job


class CertificateBatch(models.Model):
    """
    What a job of certificates was asked for. The numbers stand; whether a number has a certificate that holds is asked
    when its page is made, so that nothing void is printed.
    """

    job = models.OneToOneField(Job, models.CASCADE, related_name="certificate_batch")
    edition = models.ForeignKey(Edition, models.PROTECT, related_name="certificate_batches")
    numbers = models.JSONField(default=list)

    def __str__(self) -> str:
        return f"certificates of {len(self.numbers)} copies of {self.edition_id}"
