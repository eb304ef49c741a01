"""The WSGI application: gunicorn practice.wsgi"""

import gc
import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "practice.settings")
application = get_wsgi_application()

# A request makes thousands of objects and hardly a cycle, and what was loaded until here stays: Python would look
# through them several times a request, which takes a fiftieth of logging a ball.
gc.freeze()
gc.set_threshold(50_000)
