"""Which static files there are, and what is made of their sources."""

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders

from practice.static import LedgerStaticFiles


def collected(*ignored: str) -> list[str]:
    """Return the names that collecting finds, as often as they are found."""
    found = [item for finder in finders.get_finders() for item in finder.list([*ignored])]
    return ["/".join(filter(None, (getattr(storage, "prefix", ""), name))) for name, storage in found]


def test_a_file_is_compressed_once_under_its_hashed_name(tmp_path):
    (tmp_path / "card.0123456789ab.css").write_text("td { color: black }\n" * 200)
    storage = LedgerStaticFiles(location=tmp_path)
    made = {compressed for _, compressed in storage.compress_files(["card.0123456789ab.css"])}
    assert made == {"card.0123456789ab.css.br", "card.0123456789ab.css.gz"}
    assert list(storage.compress_files(["card.0123456789ab.css"])) == []


def test_the_phone_page_is_two_scripts_a_tiny_one_and_one_stylesheet():
    names = collected("plotly*")
    of_the_page = {name for name in names if re.fullmatch(r"play/.*\.(js|css)", name)}
    assert of_the_page == {"play/early.js", "play/more.js", "play/play.css", "play/play.js"}
    assert Path(finders.find("play/early.js")).stat().st_size < 600
    assert len(names) == len(set(names))


@pytest.mark.parametrize("name", ["play/play.js", "play/play.css"])
def test_what_the_phone_page_loads_is_made_of_its_sources_and_smaller(name):
    sources = sum(path.stat().st_size for path in (settings.ROOT / "static/play").glob(f"*.{name.rpartition('.')[2]}"))
    text = Path(finders.find(name)).read_text()
    assert 0 < len(text) < 0.9 * sources
    assert "/*" not in text


def test_what_is_to_be_ignored_is_neither_copied_nor_made():
    assert not any(name.startswith(("plotly/", "django_htmx/")) for name in collected("plotly*", "django_htmx*"))
    assert {"plotly/plotly.min.js", "django_htmx/htmx-2.min.js"} < set(collected())
