"""The door for web servers."""

import gc
import os

from django.core.wsgi import get_wsgi_application

from labsite.whole_bodies import whole_bodies

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "labsite.settings")

application = whole_bodies(get_wsgi_application())

# What is loaded now stays: the collector need not look through it at every request.
gc.collect()
gc.freeze()
