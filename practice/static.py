"""Static files: our own from static/, third-party scripts out of the installed packages."""

from importlib.util import find_spec
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.contrib.staticfiles.finders import BaseFinder
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage
from whitenoise.storage import CompressedManifestStaticFilesStorage

from practice.plotly_css import plotly_stylesheet


class LedgerStaticFiles(CompressedManifestStaticFilesStorage):
    """Hashed names, so that a browser may keep a file for good; imports between ES modules are rewritten too."""

    support_js_module_import_aggregation = True

    def compress_files(self, paths):
        """Compress what is new: under a hashed name the contents never change, and plotly's script takes seconds."""
        return super().compress_files([path for path in paths if not self.exists(f"{path}.br")])


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
        yield from self.storages.values()


class PlotlyStylesFinder(BaseFinder):
    """Finds plotly/plotly.css, made from the installed script when it is asked for."""

    path, prefix = "plotly/plotly.css", "plotly"

    def __init__(self, app_names=None, *args, **kwargs):
        self.storage = FileSystemStorage(location=settings.VAR / "made" / self.prefix, allow_overwrite=True)
        self.storage.prefix = self.prefix

    def _make(self) -> str:
        """Write the stylesheet and return its name."""
        script = Path(finders.find("plotly/plotly.min.js")).read_text(encoding="utf-8")
        return self.storage.save("plotly.css", ContentFile(plotly_stylesheet(script)))

    def find(self, path, find_all=False, **kwargs):
        """Return the file's place, or a list of it where all are asked for."""
        found = self.storage.path(self._make()) if path == self.path else None
        return ([found] if found else []) if find_all else found

    def list(self, ignore_patterns):
        """Yield the one file."""
        yield self._make(), self.storage
