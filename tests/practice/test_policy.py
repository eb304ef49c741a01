"""What the check of the content policy finds, and the answers that no view gives. Those of views: test_views.py."""

import pytest
from django.http import HttpResponse
from django.test import Client

from tests.practice.policy import Refused, policy_faults

STRICT = "default-src 'none'; script-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"


@pytest.mark.parametrize(
    ("page", "found"),
    [
        ("<p style='color: red'>", ["p style"]),
        ("<style>p { color: red }</style>", ["style"]),
        ("<script>alert(1)</script>", ["script"]),
        ("<script type=module>alert(1)</script>", ["script"]),
        ("<button onclick='go()'>", ["button onclick"]),
        ("<p hx-on:click='go()'>", ["p hx-on:click"]),
        ("<a href='javascript:go()'>", ["a href"]),
        ("<script src='https://cdn.example/x.js'></script>", ["script from elsewhere"]),
        ("<script src='/static/x.js'></script><script type='application/json'>{}</script>", []),
    ],
)
def test_what_the_policy_refuses_is_found(page, found):
    assert Refused(page).found == found


@pytest.mark.parametrize(
    ("policy", "faults"),
    [
        (STRICT, []),
        (STRICT.replace("default-src 'none'", "default-src 'self'"), ["default-src"]),
        (STRICT.replace("script-src 'self'", "script-src 'self' 'unsafe-eval'"), ["script-src"]),
        (STRICT.replace("script-src 'self'", "style-src 'unsafe-inline'"), ["style-src"]),
        (STRICT.replace("script-src 'self'", "img-src 'self' data:"), ["img-src"]),
        (STRICT.replace("base-uri 'none'; ", ""), ["base-uri"]),
    ],
)
def test_a_policy_that_is_not_strict_is_found(policy, faults):
    assert policy_faults(HttpResponse("<p>Hello", headers={"Content-Security-Policy": policy})) == faults


@pytest.mark.django_db
@pytest.mark.parametrize("accept", ["text/html", "application/json"])
def test_an_address_of_nothing_and_a_stale_form_have_the_policy_too(accept):
    client = Client(enforce_csrf_checks=True, headers={"Accept": accept})
    for response in (client.get("/nothing-here/"), client.post("/sign-in/", {})):
        assert response.status_code in (403, 404)
        assert policy_faults(response) == []
