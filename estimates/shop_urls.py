"""Pages about the jobs as a whole, under Shop."""

from django.urls import path

from estimates.views.history import labour_history

urlpatterns = [path("", labour_history, name="labour-history")]
