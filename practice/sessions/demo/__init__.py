"""The demonstration: an invented academy and twelve weeks of its practice."""
