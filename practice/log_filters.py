"""What a log must not tell."""

import logging
import re

SECRET = re.compile(r"(?<![\w-])(/(?:calendar|enter)/)[\w-]+")
"""The addresses that let somebody in: of a calendar feed and of a sign-in link."""


class HideSecrets(logging.Filter):
    """Leaves the secrets out of the addresses that a line names: who reads the log must not be let in by it."""

    def filter(self, record: logging.LogRecord) -> bool:
        told = record.getMessage()
        if SECRET.search(told):
            record.msg, record.args = SECRET.sub(r"\1…", told), ()
        return True
