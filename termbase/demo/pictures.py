"""Drawing the demo's pictures: three aged word-list pages and a drawn "photograph".

Not needed at run time, since the pictures are stored next to the texts; run it after changing a text:

    python -m termbase.demo.pictures

It needs the EB Garamond fonts under /usr/share/fonts/opentype/ebgaramond.
"""

import math
import random
import re
from collections.abc import Callable
from pathlib import Path

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

# The drawn "photograph" shows two wrestlers in the strap hold, in the style of an engraving, clearly a
# drawing. Seen from the side, the left man's right arm and the right man's left arm are nearer. Coordinates
# refer to the final picture; it is drawn at twice the size and scaled down.

Point = tuple[float, float]
SCALE = 2
PAPER_WIDTH, PAPER_HEIGHT = 1000, 760
FRAME = (34, 34, 966, 686)
LINE_INK = 34
LEFT_MAN, RIGHT_MAN = 372, 628


FONTS = Path("/usr/share/fonts/opentype/ebgaramond")
PAGES = Path(__file__).parent / "pages"
WIDTH, HEIGHT = 1240, 1800
MARGIN, TOP, GAP = 118, 128, 44
SIZE = 33
INK = 10
ITALIC = re.compile(r"(\[[^\]]*\]?|\b(?:s|v|m|f|pl)\.|\bSee\b)")


def draw_wrestlers(chance: random.Random, face: ImageFont.FreeTypeFont) -> Image.Image:
    """Draw the whole picture, with its title in the given font."""
    pen = _Pen(chance)
    _sky_and_hills(pen)
    _field(pen)
    _limb(pen, [(RIGHT_MAN - 20, 270), (520, 246), (LEFT_MAN + 60, 252)], 17)
    _limb(pen, [(LEFT_MAN + 30, 286), (480, 372), (RIGHT_MAN - 46, 394)], 17)
    _man(pen, LEFT_MAN, 1)
    _man(pen, RIGHT_MAN, -1)
    _limb(pen, [(RIGHT_MAN - 2, 280), (560, 372), (500, 396), (LEFT_MAN + 42, 390)], 19)
    _fist(pen, (LEFT_MAN + 36, 390))
    _limb(pen, [(LEFT_MAN + 2, 276), (452, 318), (520, 300), (RIGHT_MAN - 42, 268)], 19)
    _fist(pen, (RIGHT_MAN - 36, 266))
    return _mounted(pen.picture, face)


def _mounted(picture: Image.Image, face: ImageFont.FreeTypeFont) -> Image.Image:
    mount = Image.new("L", picture.size, 238)
    left, top, right, bottom = (edge * SCALE for edge in FRAME)
    box = (left, top, right, bottom)
    mount.paste(picture.crop(box), (left, top))
    draw = ImageDraw.Draw(mount)
    draw.rectangle(box, outline=LINE_INK, width=3 * SCALE)
    draw.text((PAPER_WIDTH * SCALE / 2, 700 * SCALE), "“The Hold.” Glanmorwen Fair.", 40, face, anchor="ma")
    small = mount.resize((PAPER_WIDTH, PAPER_HEIGHT), Image.Resampling.LANCZOS)
    return Image.merge(
        "RGB", [small.point([int(v * tint) for v in range(256)]) for tint in (1.0, 0.96, 0.86)]
    )


class _Pen:
    """Draws outlines and hatching on one large picture."""

    def __init__(self, chance: random.Random) -> None:
        self.picture = Image.new("L", (PAPER_WIDTH * SCALE, PAPER_HEIGHT * SCALE), 240)
        self.draw = ImageDraw.Draw(self.picture)
        self.chance = chance

    def stroke(self, points: list[Point], width: float = 2.4, ink: int = LINE_INK) -> None:
        """Draw a curved line through the points."""
        self.draw.line(_large(_curve(points)), ink, round(width * SCALE), joint="curve")

    def shape(self, points: list[Point], fill: int, *, smooth: bool = True) -> None:
        """Draw a filled outline."""
        closed = [*points, points[0]]
        outline = _large(_curve(closed) if smooth else closed)
        self.draw.polygon(outline, fill)
        self.draw.line(outline, LINE_INK, round(2.2 * SCALE), joint="curve")

    def hatch(self, points: list[Point], step: float, slope: float, ink: int = 90) -> None:
        """Draw parallel lines inside a curved outline; `slope` is their drop over the whole width."""
        mask = Image.new("L", self.picture.size, 0)
        ImageDraw.Draw(mask).polygon(_large(_curve([*points, points[0]])), 255)
        lines = Image.new("L", self.picture.size, 0)
        pen = ImageDraw.Draw(lines)
        y = -abs(slope)
        while y < PAPER_HEIGHT + abs(slope):
            wobble = self.chance.uniform(-0.6, 0.6)
            pen.line(_large([(0, y + wobble), (PAPER_WIDTH, y + slope + wobble)]), 255, SCALE)
            y += step
        self.picture.paste(ink, mask=ImageChops.multiply(mask, lines))


def _sky_and_hills(pen: _Pen) -> None:
    pen.hatch([(0, 0), (PAPER_WIDTH, 0), (PAPER_WIDTH, 420), (0, 420)], 9, 60, 205)
    hills: list[Point] = [(-60, 420), (150, 300), (320, 350), (480, 268), (650, 350), (800, 306), (1060, 410)]
    pen.shape([*hills, (1060, 500), (-60, 500)], 216)
    pen.hatch([(480, 272), (650, 352), (800, 310), (1060, 412), (1060, 490), (430, 490)], 6, -140, 150)
    for step in range(6):
        x, y = 690 + step * 30, 340 + step * 14
        pen.draw.line(_large([(x, y), (x + 26, y + 2), (x + 28, y + 15)]), 80, 2 * SCALE)


def _field(pen: _Pen) -> None:
    pen.shape([(-20, 474), (1020, 474), (1020, 760), (-20, 760)], 226, smooth=False)
    for _ in range(520):
        x, y = pen.chance.uniform(30, 970), pen.chance.uniform(492, 690)
        pen.stroke([(x, y), (x + pen.chance.uniform(-4, 4), y - pen.chance.uniform(4, 10))], 0.9, 110)
    pen.stroke([(0, 500), (118, 470), (300, 494), (500, 500), (700, 494), (882, 470), (1000, 500)], 2, 80)
    for x in (118, 882):
        pen.shape([(x - 6, 452), (x + 6, 452), (x + 6, 540), (x - 6, 540)], 150, smooth=False)
    pen.hatch([(230, 628), (500, 616), (770, 628), (760, 648), (500, 640), (240, 648)], 4, 0, 100)


def _man(pen: _Pen, x: float, way: int) -> None:
    """Draw one man, facing right (way 1) or left (-1): legs, smock, belt, strap, head."""

    def at(*points: Point) -> list[Point]:
        return [(x + way * dx, y) for dx, y in points]

    pen.shape(at((-40, 440), (-92, 534), (-128, 612), (-98, 616), (-50, 540), (10, 450)), 172)
    pen.shape(at((-132, 610), (-98, 610), (-72, 628), (-80, 638), (-134, 638)), 84)
    pen.shape(at((-10, 440), (26, 530), (14, 614), (44, 614), (66, 526), (46, 440)), 172)
    pen.hatch(at((-10, 480), (26, 530), (14, 612), (28, 612), (42, 528), (20, 480)), 5, 40, 100)
    pen.shape(at((8, 610), (46, 608), (72, 626), (66, 637), (6, 637)), 84)
    smock = at((-40, 270), (-2, 232), (44, 234), (74, 272), (66, 340), (54, 392), (66, 478), (16, 494))
    pen.shape([*smock, *at((-66, 486), (-62, 392), (-62, 330))], 246)
    pen.hatch(at((-46, 290), (-14, 252), (-24, 390), (-18, 484), (-54, 478), (-50, 392)), 5, 90, 120)
    for fold in (-40, -16, 10, 36):
        pen.stroke(at((fold, 412), (fold - 5, 446), (fold - 2, 482)), 1.3, 90)
    pen.shape(at((-64, 380), (57, 382), (56, 402), (-63, 400)), 64, smooth=False)
    pen.stroke(at((30, 236), (40, 290), (34, 378)), 7, 70)
    _head(pen, at)


def _head(pen: _Pen, at: Callable[..., list[Point]]) -> None:
    pen.shape(at((12, 234), (22, 204), (52, 208), (48, 238)), 208)
    pen.shape(at((22, 172), (32, 140), (62, 136), (82, 158), (84, 182), (72, 208), (46, 214), (26, 198)), 218)
    pen.shape(at((16, 184), (14, 146), (44, 122), (78, 134), (84, 154), (62, 146), (44, 154), (38, 178)), 66)
    pen.shape(at((32, 176), (40, 172), (42, 186), (34, 190)), 205)
    pen.stroke(at((83, 168), (92, 184), (83, 188)), 2.2)
    pen.stroke(at((66, 166), (74, 163), (79, 166)), 2.4)
    pen.draw.ellipse(_box(at((73, 172))[0], 2.6), LINE_INK)
    pen.stroke(at((66, 198), (78, 196)), 2.2)
    pen.hatch(at((58, 204), (82, 188), (72, 210), (48, 214)), 3, 50, 120)


def _limb(pen: _Pen, points: list[Point], width: float) -> None:
    """Draw an arm in its sleeve along its joints."""
    path = _curve(points, 30)
    for radius, ink in ((width + 2.2, LINE_INK), (width, 246)):
        for place, point in enumerate(path):
            taper = 1 - 0.3 * place / len(path)
            pen.draw.ellipse(_box(point, radius * taper), ink)
    for n in range(8, len(path) - 8, 3):
        x, y = path[n]
        pen.stroke([(x - 2, y + width * 0.15), (x + 2, y + width * 0.62)], 1, 130)


def _fist(pen: _Pen, place: Point) -> None:
    x, y = place
    pen.shape([(x - 16, y - 12), (x + 10, y - 15), (x + 17, y), (x + 11, y + 15), (x - 14, y + 13)], 212)
    for k in (-7, 0, 7):
        pen.stroke([(x - 10, y + k), (x + 11, y + k)], 1.4, 70)


def _box(point: Point, radius: float) -> tuple[float, float, float, float]:
    x, y = point[0] * SCALE, point[1] * SCALE
    return (x - radius * SCALE, y - radius * SCALE, x + radius * SCALE, y + radius * SCALE)


def _large(points: list[Point]) -> list[Point]:
    return [(x * SCALE, y * SCALE) for x, y in points]


def _curve(points: list[Point], steps: int = 10) -> list[Point]:
    """Return points along a Catmull-Rom spline through the given ones."""
    padded = [points[0], *points, points[-1]]
    result: list[Point] = []
    for four in zip(padded, padded[1:], padded[2:], padded[3:], strict=False):
        xs, ys = zip(*four, strict=True)
        result.extend((_blend(xs, n / steps), _blend(ys, n / steps)) for n in range(steps))
    return [*result, points[-1]]


def _blend(values: tuple[float, ...], t: float) -> float:
    a, b, c, d = values
    cubic = (3 * b - a - 3 * c + d) * math.pow(t, 3)
    return (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + cubic) / 2


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
