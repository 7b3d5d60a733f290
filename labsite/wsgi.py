"""The door for web servers."""

import gc
import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "labsite.settings")

application = get_wsgi_application()

# What is loaded now stays: the collector need not look through it at every request.
gc.collect()
gc.freeze()
