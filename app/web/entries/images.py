"""Pictures kept in the termbase."""

from functools import lru_cache

from flask import Response, request

from app.web import context
from app.web.blueprints import entries as blueprint
from termbase.media.photographs import LIST, PAGE, scaled
from termbase.record.people import Image
from termbase.store.engine import Store

__all__: list[str] = []

MOST_REMEMBERED = 100

FOREVER = "private, max-age=31536000, immutable"  # the picture for an id never changes
SIZES = {"list": LIST, "page": PAGE}


@blueprint.get("/image/<image_id>")
def image(image_id: str) -> Response:
    """Return a picture as stored; with `size=list` or `size=page` no larger than needed there."""
    result = context.reader().get(Image, image_id)
    longest = SIZES.get(request.args.get("size", ""), 0)
    headers = {"Cache-Control": FOREVER}
    if not longest or max(result.width, result.height) <= longest:
        return Response(result.data, mimetype=result.media_type, headers=headers)
    return Response(_small(context.store(), image_id, longest), mimetype="image/jpeg", headers=headers)


@lru_cache(maxsize=MOST_REMEMBERED)
def _small(store: Store, image_id: str, longest: int) -> bytes:
    """A smaller picture, remembered: the picture for an id never changes."""
    with store.read() as reader:
        return scaled(reader.get(Image, image_id), longest)
