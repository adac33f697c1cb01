"""What every page shows of the workshop: the four doors and the notice over demonstration data."""

from typing import Any

from django import template
from django.urls import reverse
from django.utils.html import format_html

from shop.models import Workshop

register = template.Library()

DOORS = (("jobs", "Jobs"), ("counter", "Counter"), ("spec-tables", "Spec tables"), ("shop", "Shop"))


@register.simple_tag(takes_context=True)
def doors(context: template.Context) -> str:
    """Sets `doors` in the context: name, url and whether it is the page (or a page behind it) being read."""
    request = context.get("request")
    path = request.path if request else ""
    listed: list[dict[str, Any]] = []
    for name, label in DOORS:
        url = reverse(name)
        current = "page" if path == url else "true" if path.startswith(url) else ""
        listed.append({"name": label, "url": url, "current": current})
    context["doors"] = listed
    return ""


@register.simple_tag
def demonstration_notice() -> str:
    """The line over every page while the workshop holds demonstration data."""
    if not Workshop.objects.filter(demonstration=True).exists():
        return ""
    return format_html('<p class="demonstration">{}</p>', "Demonstration data: invented, not for real work.")
