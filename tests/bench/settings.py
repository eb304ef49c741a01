"""The settings of real use but for static files: collecting and compressing them takes longer than the measuring."""

from practice.settings import *  # noqa: F403
from practice.settings import STORAGES, VAR

STORAGES = STORAGES | {"staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
# WhiteNoise warns of a folder that is not there.
(VAR / "static").mkdir(exist_ok=True)
