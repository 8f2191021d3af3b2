"""The WSGI application, for a server of the reader's choice."""

import os

from django.core.wsgi import get_wsgi_application

from guiding.places import make_places

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "guiding.settings")
make_places()
application = get_wsgi_application()
