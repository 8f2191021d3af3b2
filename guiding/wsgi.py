"""The WSGI application, for a server of the reader's choice."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "guiding.settings")
application = get_wsgi_application()
