"""Static files: our own from static/, third-party scripts out of the installed packages."""

from importlib.util import find_spec
from pathlib import Path

from django.contrib.staticfiles.finders import BaseFinder
from django.core.files.storage import FileSystemStorage
from whitenoise.storage import CompressedManifestStaticFilesStorage


class LedgerStaticFiles(CompressedManifestStaticFilesStorage):
    """Hashed names, so that a browser may keep a file for good; imports between ES modules are rewritten too."""

    support_js_module_import_aggregation = True


class PlotlyFinder(BaseFinder):
    """Finds the one script of the installed plotly package that the coach's dashboard loads."""

    prefix, name = "plotly", "plotly.min.js"

    def __init__(self, app_names=None, *args, **kwargs):
        # find_spec reads the path without importing plotly: most processes never need it.
        folder = Path(find_spec("plotly").origin).parent / "package_data"
        self.storage = FileSystemStorage(location=folder)
        self.storage.prefix = self.prefix

    def find(self, path, find_all=False, **kwargs):
        """Return the file's place, or a list of it where all are asked for."""
        found = self.storage.path(self.name) if path == f"{self.prefix}/{self.name}" else None
        return ([found] if found else []) if find_all else found

    def list(self, ignore_patterns):
        """Yield the one file."""
        yield self.name, self.storage
