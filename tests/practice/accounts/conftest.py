import pytest


@pytest.fixture(autouse=True)
def _quick_passwords(settings):
    """Hash passwords quickly: the slow way costs half a second a sign-in, and is Django's to test."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
