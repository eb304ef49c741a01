"""The figures themselves: numpy columns and plain values in, frozen dataclasses out.

Nothing here knows Django, plotly or the time of day. Of scipy only `scipy.special` is imported: the far
heavier `scipy.stats` stays out of the web process.
"""
