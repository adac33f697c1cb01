"""The WSGI application that gunicorn serves."""

import gc
import os
from importlib import import_module

from django.conf import settings
from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
application = get_wsgi_application()

# All that the first request would load; and then none of it is looked through again for what to throw away:
# looking takes a tenth of a second, and comes in the middle of somebody's answer.
import_module(settings.ROOT_URLCONF)
gc.collect()
gc.freeze()
