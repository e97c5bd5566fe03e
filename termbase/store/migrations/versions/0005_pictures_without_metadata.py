"""Remove place and camera metadata from pictures. Every pixel is kept, and each picture keeps its id.

A picture that cannot be read is not changed; it cannot be displayed either.

Revision ID: 0005
Revises: 0004
"""

import io

import sqlalchemy as sa
from alembic import op

from termbase.loading import lazy_module
from termbase.record.people import Image

# every command that creates tables imports this module, and few of them rewrite pictures
Pictures, ImageOps, pictures = (
    lazy_module("PIL.Image"),
    lazy_module("PIL.ImageOps"),
    lazy_module("termbase.media.pictures"),
)

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

CHANGES = {
    f"image.{field}": "place and camera are removed from pictures; every pixel is kept, upright"
    for field in ("data", "media_type", "width", "height")
}

IMAGE = sa.table(
    "image",
    sa.column("id", sa.String),
    sa.column("media_type", sa.Text),
    sa.column("width", sa.Integer),
    sa.column("height", sa.Integer),
    sa.column("data", sa.LargeBinary),
)


def upgrade() -> None:
    """Rewrite each picture without metadata, after comparing its pixels."""
    connection = op.get_bind()
    for image_id in connection.scalars(sa.select(IMAGE.c.id).order_by(IMAGE.c.id)).all():
        row = connection.execute(sa.select(IMAGE).where(IMAGE.c.id == image_id)).one()
        before = Image(row.id, row.media_type, row.width, row.height, bytes(row.data))
        after = pictures.stripped(before)
        if after == before:
            continue
        try:
            seen = pixels(before.data)
        except Exception:  # damaged files make the library raise almost any exception
            continue
        if pixels(after.data) != seen:
            raise RuntimeError(f"picture {image_id}: its pixels would change")
        values = {
            "media_type": after.media_type,
            "width": after.width,
            "height": after.height,
            "data": after.data,
        }
        connection.execute(sa.update(IMAGE).where(IMAGE.c.id == image_id).values(values))


def downgrade() -> None:
    """Do nothing: removed metadata cannot be restored."""


def pixels(data: bytes) -> tuple[str, tuple[int, int], bytes]:
    """Return mode, size and pixels of a picture, turned upright."""
    with Pictures.open(io.BytesIO(data)) as opened:
        upright = ImageOps.exif_transpose(opened)
        return upright.mode, upright.size, upright.tobytes()
