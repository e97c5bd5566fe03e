"""Pictures kept in the termbase."""

from flask import Response

from app.web import context
from app.web.entries.section import blueprint
from termbase.people import Image

__all__: list[str] = []

FOREVER = "private, max-age=31536000, immutable"  # a picture's id is the hash of its bytes


@blueprint.get("/image/<image_id>")
def image(image_id: str) -> Response:
    """A picture."""
    found = context.reader().get(Image, image_id)
    return Response(found.data, mimetype=found.media_type, headers={"Cache-Control": FOREVER})
