"""After a write the browser is sent to the part of the page that it changed."""

from django.http import HttpResponseRedirect
from django.urls import reverse


def to_job(pk: int, section: str) -> HttpResponseRedirect:
    return HttpResponseRedirect(f"{reverse('job', args=[pk])}#{section}")
