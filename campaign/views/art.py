"""The works' pictures: addressed by digest, so that they may be kept for ever."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import condition, require_safe

from campaign import access


def _etag(request: HttpRequest, sha256: str, is_small: bool = False) -> str:
    return f'"{sha256}{"-small" if is_small else ""}"'


@require_safe
@condition(etag_func=_etag)
def picture(request: HttpRequest, sha256: str, is_small: bool = False) -> HttpResponse:
    """A WEBP file; a browser that has it is told so without a look into the database."""
    file = access.get_picture_file(sha256, is_small=is_small)
    headers = {"Cache-Control": "public, max-age=31536000, immutable"}
    return HttpResponse(file, content_type="image/webp", headers=headers)
