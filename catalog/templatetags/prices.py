"""{% price_chart history today %}: the picture of one supplier's prices of a part."""

from django import template

from catalog.offers.chart import price_chart

register = template.Library()
register.simple_tag(price_chart)
