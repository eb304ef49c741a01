"""The same WSGI application in a process that has also imported all that the analysis and the charts need."""

import pandas  # noqa: F401
import plotly.graph_objects  # noqa: F401
import scipy.stats  # noqa: F401

from practice.wsgi import application  # noqa: F401
