"""Pictures lose what their files say of place and camera. Every pixel stays, and each picture keeps its id.

A picture that cannot be read stays as it is: nobody can look at it either.

Revision ID: 0005
Revises: 0004
"""

import io

import sqlalchemy as sa
from alembic import op

from termbase.loading import lazy_module
from termbase.record.people import Image

# every command that makes tables reads this module, and few of them have pictures to write again
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
    f"image.{field}": "place and camera are removed from pictures; every pixel stays, upright"
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
    """Write each picture again without metadata, after its pixels have been compared."""
    connection = op.get_bind()
    for image_id in connection.scalars(sa.select(IMAGE.c.id).order_by(IMAGE.c.id)).all():
        row = connection.execute(sa.select(IMAGE).where(IMAGE.c.id == image_id)).one()
        before = Image(row.id, row.media_type, row.width, row.height, bytes(row.data))
        after = pictures.stripped(before)
        if after == before:
            continue
        try:
            seen = pixels(before.data)
        except Exception:  # damaged files make the library raise nearly anything
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
    """Metadata that was removed does not come back."""


def pixels(data: bytes) -> tuple[str, tuple[int, int], bytes]:
    """What is seen of a picture: mode, size and pixels, upright."""
    with Pictures.open(io.BytesIO(data)) as opened:
        upright = ImageOps.exif_transpose(opened)
        return upright.mode, upright.size, upright.tobytes()
