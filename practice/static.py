"""Static files: our own from static/, third-party scripts out of the installed packages, and what is made of them."""

from importlib.util import find_spec
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.contrib.staticfiles.finders import BaseFinder, FileSystemFinder
from django.contrib.staticfiles.storage import ManifestStaticFilesStorage
from django.contrib.staticfiles.utils import matches_patterns
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage
from rcssmin import cssmin
from rjsmin import jsmin
from whitenoise.storage import CompressedManifestStaticFilesStorage

from practice.join import joined
from practice.plotly_css import plotly_stylesheet


class LedgerStaticFiles(CompressedManifestStaticFilesStorage):
    """Hashed names, so that a browser may keep a file for good, also where one of our files names another."""

    patterns = (
        *ManifestStaticFilesStorage.patterns,
        ("*.webmanifest", ((r'(?P<matched>"src": "(?P<url>[^"]+)")', '"src": "%(url)s"'),)),
        ("play/more.js", ((r'(?P<matched>from"(?P<url>\./play\.js)")', 'from"%(url)s"'),)),
    )

    def compress_files(self, paths):
        """Compress what is new: under a hashed name the contents never change, and plotly's script takes seconds."""
        return super().compress_files([path for path in paths if not self.exists(f"{path}.br")])


class OwnFinder(FileSystemFinder):
    """Finds what lies in static/, but for the phone page's sources: those are served joined."""

    sources = ["play/*.js", "play/*.css"]

    def list(self, ignore_patterns):
        return super().list([*ignore_patterns, *self.sources])


class PackageFinder(BaseFinder):
    """Finds the few scripts of installed packages that our pages load, and none of the others.

    Collecting whole packages would fail: some of their scripts name imports that only a bundler resolves.
    """

    scripts = {
        "django_htmx/htmx-2.min.js": ("django_htmx", "static/django_htmx"),
        "plotly/plotly.min.js": ("plotly", "package_data"),
    }

    def __init__(self, app_names=None, *args, **kwargs):
        self.storages = {}
        for path, (package, folder) in self.scripts.items():
            # find_spec reads the place without importing the package: most processes never need plotly.
            storage = FileSystemStorage(location=Path(find_spec(package).origin).parent / folder)
            storage.prefix, _, name = path.partition("/")
            self.storages[path] = name, storage

    def find(self, path, find_all=False, **kwargs):
        """Return the file's place, or a list of it where all are asked for."""
        name, storage = self.storages.get(path, ("", None))
        found = storage.path(name) if storage else None
        return ([found] if found else []) if find_all else found

    def list(self, ignore_patterns):
        """Yield each script's name and its storage."""
        for path, (name, storage) in self.storages.items():
            if not matches_patterns(path, ignore_patterns):
                yield name, storage


def phone_scripts() -> tuple[str, str]:
    """Return the modules of the phone page as two: what logging needs, and the other pages."""
    modules = {path.name: path.read_text(encoding="utf-8") for path in (settings.ROOT / "static/play").glob("*.js")}
    return joined(modules, "app.js", "more.js")


def phone_styles() -> str:
    return cssmin((settings.ROOT / "static/play/play.css").read_text(encoding="utf-8"))


def plotly_styles() -> str:
    return plotly_stylesheet(Path(finders.find("plotly/plotly.min.js")).read_text(encoding="utf-8"))


class MadeFinder(BaseFinder):
    """Finds files that are made when they are asked for."""

    made = {
        "play/play.css": phone_styles,
        "play/early.js": lambda: jsmin((settings.ROOT / "static/play/early.js").read_text(encoding="utf-8")),
        "play/play.js": lambda: jsmin(phone_scripts()[0]),
        "play/more.js": lambda: jsmin(phone_scripts()[1]),
        "plotly/plotly.css": plotly_styles,
    }

    def __init__(self, app_names=None, *args, **kwargs):
        self.storage = FileSystemStorage(location=settings.VAR / "made", allow_overwrite=True)

    def _make(self, path: str) -> str:
        """Write the file and return its name."""
        return self.storage.save(path, ContentFile(self.made[path]()))

    def find(self, path, find_all=False, **kwargs):
        """Return the file's place, or a list of it where all are asked for."""
        found = self.storage.path(self._make(path)) if path in self.made else None
        return ([found] if found else []) if find_all else found

    def list(self, ignore_patterns):
        """Yield each file's name and the storage."""
        for path in self.made:
            if not matches_patterns(path, ignore_patterns):
                yield self._make(path), self.storage
