"""Drawing the demo's pictures: three aged word-list pages and a drawn "photograph".

Not needed at run time, since the pictures are stored next to the texts; run it after changing a text:

    python -m termbase.demo.pictures

It needs the EB Garamond fonts under /usr/share/fonts/opentype/ebgaramond.
"""

import random
import re
from pathlib import Path

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

from termbase.demo.engraving import Point, draw_wrestlers

FONTS = Path("/usr/share/fonts/opentype/ebgaramond")
PAGES = Path(__file__).parent / "pages"
WIDTH, HEIGHT = 1240, 1800
MARGIN, TOP, GAP = 118, 128, 44
SIZE = 33
INK = 10
ITALIC = re.compile(r"(\[[^\]]*\]?|\b(?:s|v|m|f|pl)\.|\bSee\b)")


def font(face: str, size: int) -> ImageFont.FreeTypeFont:
    """Return an EB Garamond font (`12-Regular`, `12-Italic`, `12-Bold`) in a size in pixels."""
    return ImageFont.truetype(str(FONTS / f"EBGaramond{face}.otf"), size)


def main() -> None:
    """Draw everything again; the same texts give the same pictures."""
    for number, columns, skew in ((41, 2, 0.7), (42, 1, -0.9), (43, 2, 0.5)):
        chance = random.Random(number)
        sheet = set_page((PAGES / f"page-{number}.txt").read_text(encoding="utf-8"), columns, chance)
        age(sheet, skew, chance).save(PAGES / f"page-{number}.webp", quality=88, method=6)
    draw_wrestlers(random.Random(1893), font("12-Italic", 64)).save(
        PAGES / "wrestlers.webp", quality=88, method=6
    )


def set_page(text: str, columns: int, chance: random.Random) -> Image.Image:
    """Typeset a page, black on white, in one or two columns."""
    sheet = Image.new("L", (WIDTH, HEIGHT), 255)
    draw = ImageDraw.Draw(sheet)
    lines = text.rstrip("\n").split("\n")
    number, _, head = lines[0].partition(" ")
    draw.text((MARGIN, TOP - 52), number, INK, font("12-Regular", 30))
    draw.text((WIDTH / 2, TOP - 52), spaced(head.strip()), INK, font("12-Regular", 26), anchor="ma")
    draw.line((MARGIN, TOP - 8, WIDTH - MARGIN, TOP - 8), INK, 2)
    body = lines[1:]
    y = float(TOP + 14)
    while body and not body[0].strip():
        body.pop(0)
    if body[0].isupper():
        draw.text((WIDTH / 2, y + 6), spaced(body.pop(0)), INK, font("12-Regular", 30), anchor="ma")
        y += 74
        while not body[0].strip():
            body.pop(0)
    depth = HEIGHT - 100 - y
    if columns == 1:
        set_column(draw, body, (MARGIN + 130, y), depth / len(body), chance)
        return sheet
    half = (len(body) + 1) // 2
    while body[half].startswith(" "):
        half += 1
    width = (WIDTH - 2 * MARGIN - GAP) / 2
    leading = min(50.0, depth / half)
    for column, part in enumerate((body[:half], body[half:])):
        set_column(draw, part, (MARGIN + column * (width + GAP), y), leading, chance)
    draw.line((WIDTH / 2, y, WIDTH / 2, y + half * leading), INK, 1)
    return sheet


def set_column(
    draw: ImageDraw.ImageDraw, lines: list[str], corner: Point, leading: float, chance: random.Random
) -> None:
    """Typeset lines below each other, with letters slightly out of line here and there."""
    x, y = corner
    for line in lines:
        indent = 40 if line.startswith(" ") else 0
        across = x + indent
        for word, face in words(line.strip(), first=not indent):
            size = font(face, SIZE)
            draw.text((across, y + chance.choice((0, 0, 0, 1))), word, INK + chance.randrange(30), size)
            across += size.getlength(word + " ")
        y += leading


def words(line: str, *, first: bool) -> list[tuple[str, str]]:
    """Return the words of a line with their fonts: headword bold, labels italic."""
    head = re.match(r'(?:" ?)?[^,.\[]*', line) if first else None
    end = head.end() if head else 0
    result = [(word, "12-Bold") for word in line[:end].split()]
    if result and end < len(line) and line[end] in ",.":
        result[-1] = (result[-1][0] + line[end], "12-Bold")
        end += 1
    for word in line[end:].split():
        result.append((word, "12-Italic" if ITALIC.match(word) else "12-Regular"))
    return result


def spaced(text: str) -> str:
    """Return capitals with hair spaces between them."""
    return "\u200a".join(text)


def age(sheet: Image.Image, skew: float, chance: random.Random) -> Image.Image:
    """Add paper, skew, uneven ink, specks and blur; the words stay legible."""
    ink = ImageChops.invert(sheet)
    patches = grain(chance, (31, 45), 40).resize(sheet.size, Image.Resampling.BICUBIC)
    ink = ImageChops.multiply(ink, patches.point(lambda v: min(255, 208 + v // 2)))
    draw = ImageDraw.Draw(ink)
    for _ in range(260):
        x, y, r = chance.randrange(WIDTH), chance.randrange(HEIGHT), chance.choice((1, 1, 1, 2, 2, 3))
        draw.ellipse((x, y, x + r, y + r), chance.randrange(60, 190))
    ink = ink.filter(ImageFilter.GaussianBlur(0.75))
    paper = paper_of(chance)
    paper.paste((46, 38, 30), mask=ink)
    turned = paper.rotate(skew, Image.Resampling.BICUBIC, fillcolor=(203, 189, 158))
    return turned.filter(ImageFilter.GaussianBlur(0.45))


def paper_of(chance: random.Random) -> Image.Image:
    """Return browned paper: clouds, darker edges, a stain, a fold."""
    clouds = grain(chance, (16, 24), 34).resize((WIDTH, HEIGHT), Image.Resampling.BICUBIC)
    fine = grain(chance, (WIDTH // 2, HEIGHT // 2), 9).resize((WIDTH, HEIGHT))
    shade = ImageChops.add(clouds, fine, 2)
    edge = Image.new("L", (WIDTH, HEIGHT), 0)
    ImageDraw.Draw(edge).rectangle((70, 70, WIDTH - 70, HEIGHT - 70), fill=255)
    edge = edge.filter(ImageFilter.GaussianBlur(60))
    shade = ImageChops.multiply(
        shade.point(lambda v: 205 + v // 5), edge.point(lambda v: 215 + v * 40 // 255)
    )
    draw = ImageDraw.Draw(shade)
    x, y = chance.randrange(200, WIDTH - 200), chance.randrange(HEIGHT // 2, HEIGHT - 200)
    for ring in range(4):
        draw.ellipse((x - 90 - ring, y - 84 - ring, x + 90 + ring, y + 84 + ring), outline=188)
    draw.line((0, HEIGHT * 0.52, WIDTH, HEIGHT * 0.515), 200, 3)
    shade = shade.filter(ImageFilter.GaussianBlur(2))
    return Image.merge("RGB", [shade.point(lambda v, f=f: int(v * f)) for f in (1.0, 0.955, 0.83)])


def grain(chance: random.Random, size: tuple[int, int], depth: int) -> Image.Image:
    """Return random greys around the middle."""
    values = bytes(128 + chance.randrange(-depth, depth + 1) for _ in range(size[0] * size[1]))
    return Image.frombytes("L", size, values)


if __name__ == "__main__":
    main()
