"""Admin pages of customers and units; jobs and issued estimates can be looked at."""

from estimates.admin import decisions, issued, jobs

__all__ = ["decisions", "issued", "jobs"]
