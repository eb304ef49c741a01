"""The stylesheet made from the installed plotly.js."""

from pathlib import Path

import pytest
from django.contrib.staticfiles import finders

from practice.plotly_css import map_style_ids, plotly_stylesheet


def test_the_installed_script_gives_rules_for_both_of_its_scopes():
    css = Path(finders.find("plotly/plotly.css")).read_text(encoding="utf-8")
    assert ".js-plotly-plot .plotly .main-svg { position:absolute;top:0;left:0;pointer-events:none; }" in css
    assert ".js-plotly-plot .plotly,.js-plotly-plot .plotly div { direction:ltr;" in css
    assert "\n.plotly-notifier { " in css
    assert css.count("{") == css.count("}") == len(css.splitlines())


def test_a_script_that_keeps_its_rules_elsewhere_is_refused_by_name():
    with pytest.raises(ValueError, match="keeps its style rules elsewhere"):
        plotly_stylesheet("function () {}")


def test_the_installed_script_names_the_id_it_looks_for_before_it_adds_map_styles():
    script = Path(finders.find("plotly/plotly.min.js")).read_text(encoding="utf-8")
    [found] = map_style_ids(script)
    assert script.count(found) == 2
    assert map_style_ids("") == []
