"""What the content policy of an answer must say, and what it would refuse in the page.

The directives are those of Content Security Policy Level 3 (W3C), sections 6.1 to 6.4.
"""

from html.parser import HTMLParser

RUN_BY_THE_BROWSER = ("", "module", "text/javascript")


def directives(response) -> dict[str, list[str]]:
    """Return the sources that each directive of the answer's policy names."""
    parts = [part.split() for part in response.headers["Content-Security-Policy"].split(";")]
    return {name: sources for name, *sources in parts}


class Refused(HTMLParser):
    """Collects what a policy without 'unsafe-inline' refuses: styles, scripts and handlers written into the page."""

    def __init__(self, page: str):
        super().__init__()
        self.found: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        self.found += [f"{tag} {name}" for name in given if name == "style" or name.startswith(("on", "hx-on"))]
        self.found += [
            f"{tag} {name}" for name, value in attrs if (value or "").lower().strip().startswith("javascript:")
        ]
        if tag == "style" or (
            tag == "script" and "src" not in given and (given.get("type") or "") in RUN_BY_THE_BROWSER
        ):
            self.found.append(tag)
        if tag in ("script", "link", "img") and "//" in (given.get("src") or given.get("href") or ""):
            self.found.append(f"{tag} from elsewhere")


def policy_faults(response) -> list[str]:
    """Return what is not strict about an answer: sources besides our own, and what its page has written into it."""
    policy = directives(response)
    default = policy.pop("default-src", None)
    faults = [] if default == ["'none'"] else ["default-src"]
    faults += [name for name, sources in policy.items() if not {*sources} <= {"'self'", "'none'"}]
    # these three do not fall back to default-src
    faults += [name for name in ("form-action", "base-uri", "frame-ancestors") if name not in policy]
    return faults + (Refused(response.content.decode()).found if is_page(response) else [])


def is_page(response) -> bool:
    return response["Content-Type"].startswith("text/html")
