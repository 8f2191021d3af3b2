"""The ASGI application, for a server of the reader's choice."""

import os

from django.core.asgi import get_asgi_application

from guiding.places import make_places

# Here each request has a thread of its own: a connection that is kept would never be used again.
os.environ.setdefault("DATABASE_KEEP_S", "0")
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "guiding.settings")
make_places()
application = get_asgi_application()
