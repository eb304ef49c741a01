"""Strict readers of environment variables: a value that is not understood stops the start and names the variable."""

import os
import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured


def text(name: str, default: str = "") -> str:
    """Return the variable, or the default where it is unset or empty."""
    return os.environ.get(name, "").strip() or default


def choice(name: str, allowed: tuple[str, ...]) -> str:
    """Return one of the allowed words; the first is the default."""
    value = text(name, allowed[0])
    if value not in allowed:
        raise ImproperlyConfigured(f"{name} is {value!r}; set it to one of: {', '.join(allowed)}.")
    return value


def words(name: str) -> list[str]:
    """Return a comma-separated list without blanks."""
    return [word.strip() for word in text(name).split(",") if word.strip()]


def kept_secret(path: Path) -> str:
    """Return the secret kept in a file that only its owner can read, made at the first start."""
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        # Written under another name and linked: of two first starts at once, both then use the one that won.
        draft = path.with_name(f"{path.name}.{os.getpid()}")
        draft.touch(mode=0o600)
        draft.write_text(secrets.token_urlsafe(50))
        try:
            os.link(draft, path)
        except FileExistsError:
            pass
        finally:
            draft.unlink()
    return path.read_text().strip()
