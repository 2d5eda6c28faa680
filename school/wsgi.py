"""The WSGI application a server runs."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "school.settings")

application = get_wsgi_application()

# Models can be imported only now.
from school.first_start import announce  # noqa: E402

announce()
