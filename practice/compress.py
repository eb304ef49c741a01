"""What a phone loads goes over the wire by Brotli, which its browser takes over HTTPS: a tenth less than by gzip."""

import re
from collections.abc import Callable
from functools import wraps

import brotli
from django.http import HttpResponse
from django.utils.cache import patch_vary_headers
from django.views.decorators.gzip import gzip_page

QUALITY = 5
"""The highest takes fifty times as long for a twentieth less."""


def compressed(view: Callable) -> Callable:
    """Compress what a view answers: by Brotli, by gzip where the browser knows no better, or not at all.

    Only for answers that repeat nothing of the request beside a secret: whoever could send requests with words of their
    own would read the secret from the length. The CSRF token is masked anew each time, and so tells nothing.
    """

    @wraps(view)
    def answer(request, *args, **kwargs) -> HttpResponse:
        response = view(request, *args, **kwargs)
        if re.search(r"\bbr\b", request.headers.get("Accept-Encoding", "")):
            patch_vary_headers(response, ("Accept-Encoding",))
            response.content = brotli.compress(response.content, quality=QUALITY)
            response.headers["Content-Encoding"] = "br"
            response.headers["Content-Length"] = str(len(response.content))
        return response

    return gzip_page(answer)
