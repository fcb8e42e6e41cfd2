"""Read every current certificate off its own pages and name what the law misses there."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from warranties.certificate.reading import paper_faults
from warranties.models import Certificate


class Command(BaseCommand):
    help = "Name what is missing on the current certificates, by 16 CFR 701.3 and 15 USC 2303."

    def handle(self, *_args: Any, **_options: Any) -> None:
        printed = Certificate.objects.current().exclude(sha256="").order_by("pk")
        lacking = many = 0
        for certificate in printed.select_related("promise__job").iterator(chunk_size=100):
            with certificate.file.open() as file:
                found = paper_faults(certificate, file.read())
            many, lacking = many + 1, lacking + bool(found)
            for fault in found:
                self.stdout.write(f"{certificate}: {fault.rule}: {fault.says}")
        if lacking:
            raise CommandError(f"{lacking} of {many} certificates lack something.")
        self.stdout.write(f"{many} certificates read; nothing is missing.")
