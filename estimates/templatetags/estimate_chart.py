"""{% reading_chart reading %}: the picture of one entry of a document's readings, for page and PDF."""

from django import template

from estimates.documents.chart import reading_chart

register = template.Library()
register.simple_tag(reading_chart)
