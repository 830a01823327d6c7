"""The entry point for a WSGI server."""

import os

from django.core.wsgi import get_wsgi_application

from config.door import open_door_if_asked
from config.keeper import start_keeper_if_asked

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
application = get_wsgi_application()
open_door_if_asked()
keeper = start_keeper_if_asked()
