"""What every test stands on: a database file of its own, plain static files, and a count of what was skipped.

PRACTICE_LEDGER_DEMAND (browser, postgres, or both with a comma) names what must be there; any skip is then a
failure.
"""

import os
import shutil
from collections import Counter
from pathlib import Path

import pytest
from django.conf import settings
from django.test import override_settings

CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome")
DEMANDED = {word.strip() for word in os.environ.get("PRACTICE_LEDGER_DEMAND", "").split(",") if word.strip()}
DATABASE_FIXTURES = {"db", "transactional_db"}
CHEAP_HASHER = "django.contrib.auth.hashers.MD5PasswordHasher"
PLAIN_STATIC_FILES = {
    **settings.STORAGES,
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}


def find_chromium() -> str | None:
    """Return the path of the browser to drive: PRACTICE_LEDGER_CHROMIUM, else the system's, else None."""
    names = (os.environ.get("PRACTICE_LEDGER_CHROMIUM"), *CHROMIUM_NAMES)
    return next((found for name in names if name and (found := shutil.which(name))), None)


def engine() -> str:
    """Return the name of the database engine under test: sqlite3 or postgresql."""
    return settings.DATABASES["default"]["ENGINE"].rpartition(".")[2]


def absent() -> dict[str, str]:
    """Return the reason to skip for each marker whose tests cannot run here."""
    reasons = {}
    if find_chromium() is None:
        reasons["browser"] = "no Chromium found (install chromium or set PRACTICE_LEDGER_CHROMIUM)"
    if engine() != "postgresql":
        reasons["postgres"] = "DATABASE_URL names no PostgreSQL"
    if engine() != "sqlite3":
        reasons["sqlite"] = "DATABASE_URL names no SQLite"
    return reasons


def pytest_configure(config):
    for missing in DEMANDED & absent().keys():
        raise pytest.UsageError(f"PRACTICE_LEDGER_DEMAND asks for {missing}: {absent()[missing]}")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items):
    reasons = absent()
    for item in items:
        if item.path.is_relative_to(Path(__file__).parent / "browser"):
            item.add_marker("browser")
        if item.get_closest_marker("django_db") or not DATABASE_FIXTURES.isdisjoint(item.fixturenames):
            item.add_marker("database")
        for marker in reasons.keys() & item.keywords.keys():
            item.add_marker(pytest.mark.skip(reason=reasons[marker]))


def demand(report):
    """Turn a skip into a failure where everything is demanded."""
    if DEMANDED and report.skipped and not hasattr(report, "wasxfail"):
        report.longrepr = f"skipped although PRACTICE_LEDGER_DEMAND is set: {skip_reason(report)}"
        report.outcome = "failed"
    return report


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    return demand((yield))


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector):
    return demand((yield))


def skip_reason(report) -> str:
    """Return why a test was skipped."""
    reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
    return reason.removeprefix("Skipped: ")


@pytest.hookimpl(trylast=True)
def pytest_unconfigure(config):
    """Print as the very last line how many tests were skipped and why."""
    terminal = config.pluginmanager.get_plugin("terminalreporter")
    if terminal is None or config.option.collectonly:
        return
    reasons = Counter(skip_reason(report) for report in terminal.stats.get("skipped", []))
    told = "; ".join(f"{count} x {reason}" for reason, count in reasons.most_common())
    terminal.write_line(f"{reasons.total()} skipped" + (f": {told}" if told else ""))


@pytest.fixture(scope="session")
def django_db_modify_db_settings():
    """Name the SQLite test database, one file a worker: in memory, the threads of a live server lose rows."""
    database = settings.DATABASES["default"]
    worker = os.environ.get("PYTEST_XDIST_WORKER", "main")
    if engine() == "sqlite3":
        database["TEST"]["NAME"] = str(settings.VAR / f"test-{worker}.sqlite3")
    else:
        database["TEST"]["NAME"] = f"test_{database['NAME']}_{worker}"


@pytest.fixture(scope="session", autouse=True)
def _quick_settings():
    """Leave static names unhashed and passwords cheap: collecting takes seconds, and so does a slow hash each time.

    Browser tests serve the collected files; see tests/browser/conftest.py.
    """
    with override_settings(STORAGES=PLAIN_STATIC_FILES, PASSWORD_HASHERS=[CHEAP_HASHER]):
        yield
