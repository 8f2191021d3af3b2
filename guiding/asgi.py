"""The ASGI application, for a server of the reader's choice."""

import os

from django.core.asgi import get_asgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "guiding.settings")
application = get_asgi_application()
