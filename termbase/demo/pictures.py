"""Drawing the pictures of the demonstration: three aged word-list pages and a drawn "photograph".

Not needed to run anything, since the pictures lie beside the texts; run it after a text was changed:

    python -m termbase.demo.pictures

It needs the EB Garamond fonts under /usr/share/fonts/opentype/ebgaramond.
"""

import math
import random
import re
from pathlib import Path

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

FONTS = Path("/usr/share/fonts/opentype/ebgaramond")
PAGES = Path(__file__).parent / "pages"
WIDTH, HEIGHT = 1240, 1800
MARGIN, TOP, GAP = 118, 128, 44
SIZE, LEADING = 31, 35.5
INK = 38
ITALIC = re.compile(r"(\[[^\]]*\]?|\b(?:s|v|m|f|pl)\.|\bSee\b)")


def font(face: str, size: int) -> ImageFont.FreeTypeFont:
    """A face of EB Garamond (`12-Regular`, `12-Italic`, `12-Bold`) in a size in pixels."""
    return ImageFont.truetype(str(FONTS / f"EBGaramond{face}.otf"), size)


def main() -> None:
    """Draw everything anew; the same texts give the same pictures."""
    for number, columns, skew in ((41, 2, 0.7), (42, 1, -0.9), (43, 2, 0.5)):
        chance = random.Random(number)
        sheet = set_page((PAGES / f"page-{number}.txt").read_text(encoding="utf-8"), columns, chance)
        age(sheet, skew, chance).save(PAGES / f"page-{number}.webp", quality=58, method=6)
    draw_photograph(random.Random(1893)).save(PAGES / "wrestlers.webp", quality=62, method=6)


def set_page(text: str, columns: int, chance: random.Random) -> Image.Image:
    """A page set in type, black on white, in one column or two."""
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
    if columns == 1:
        set_column(draw, body, MARGIN + 150, y, chance)
        return sheet
    half = (len(body) + 1) // 2
    while half < len(body) and body[half].startswith(" "):
        half += 1
    width = (WIDTH - 2 * MARGIN - GAP) / 2
    for column, part in enumerate((body[:half], body[half:])):
        set_column(draw, part, MARGIN + column * (width + GAP), y, chance, width)
    draw.line((WIDTH / 2, y, WIDTH / 2, y + 30 * LEADING * 1.55), INK, 1)
    return sheet


def set_column(
    draw: ImageDraw.ImageDraw, lines: list[str], x: float, y: float, chance: random.Random, width: float = 900
) -> None:
    """Lines one below another; a narrow column wraps a long one, hanging, as the compositor must."""
    for line in lines:
        indent = 40 if line.startswith(" ") else 0
        across = x + indent
        for word, face in words(line.strip(), first=not indent):
            size = font(face, SIZE)
            if across + size.getlength(word) > x + width:
                y += LEADING
                across = x + 40
            draw.text((across, y + chance.choice((0, 0, 0, 1))), word, INK + chance.randrange(30), size)
            across += size.getlength(word + " ")
        y += LEADING * (1.12 if width > 600 else 1.06)


def words(line: str, *, first: bool) -> list[tuple[str, str]]:
    """The words of a line with their faces: headword bold, labels italic."""
    head = re.match(r'(?:" ?)?[^,.\[]*', line) if first else None
    end = head.end() if head else 0
    found = [(word, "12-Bold") for word in line[:end].split()]
    if found and end < len(line) and line[end] in ",.":
        found[-1] = (found[-1][0] + line[end], "12-Bold")
        end += 1
    for word in line[end:].split():
        found.append((word, "12-Italic" if ITALIC.match(word) else "12-Regular"))
    return found


def spaced(text: str) -> str:
    """Capitals with hair spaces between them."""
    return "\u200a".join(text)


def age(sheet: Image.Image, skew: float, chance: random.Random) -> Image.Image:
    """Paper, skew, uneven ink, specks and blur; the words stay legible."""
    ink = ImageChops.invert(sheet)
    patches = grain(chance, (31, 45), 40).resize(sheet.size, Image.Resampling.BICUBIC)
    ink = ImageChops.multiply(ink, patches.point(lambda v: min(255, 190 + v // 2)))
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
    """Browned paper: clouds, darker edges, a stain, a fold."""
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
    """Random greys around the middle."""
    values = bytes(128 + chance.randrange(-depth, depth + 1) for _ in range(size[0] * size[1]))
    return Image.frombytes("L", size, values)


def draw_photograph(chance: random.Random) -> Image.Image:
    """Two wrestlers in the strap hold, in the manner of an engraving; plainly a drawing."""
    scale = 2
    picture = Image.new("L", (1000 * scale, 760 * scale), 236)
    pen = Engraver(picture, scale, chance)
    pen.hatch([(40, 40), (960, 40), (960, 470), (40, 470)], 11, 4, 196)
    pen.hills()
    pen.turf()
    pen.wrestler(360, 1)
    pen.wrestler(640, -1)
    pen.arms()
    frame = ImageDraw.Draw(picture)
    frame.rectangle((30 * scale, 30 * scale, 970 * scale, 690 * scale), outline=40, width=3 * scale)
    frame.text(
        (500 * scale, 704 * scale),
        "“The Hold.” Glanmorwen Fair.",
        40,
        font("12-Italic", 32 * scale),
        anchor="ma",
    )
    small = picture.resize((1000, 760), Image.Resampling.LANCZOS)
    return Image.merge("RGB", [small.point(lambda v, f=f: int(v * f)) for f in (1.0, 0.96, 0.86)])


Point = tuple[float, float]


class Engraver:
    """Draws outlines and hatching on one picture; coordinates are of the final size."""

    def __init__(self, picture: Image.Image, scale: int, chance: random.Random) -> None:
        self.picture = picture
        self.scale = scale
        self.chance = chance
        self.draw = ImageDraw.Draw(picture)

    def at(self, points: list[Point]) -> list[Point]:
        """Points in the pixels of the large picture."""
        return [(x * self.scale, y * self.scale) for x, y in points]

    def stroke(self, points: list[Point], width: float = 2.4, ink: int = 34) -> None:
        """A curved line through the points."""
        self.draw.line(self.at(curve(points)), ink, round(width * self.scale), joint="curve")

    def shape(self, points: list[Point], fill: int, *, smooth: bool = True) -> None:
        """A filled outline."""
        outline = curve([*points, points[0]]) if smooth else [*points, points[0]]
        self.draw.polygon(self.at(outline), fill)
        self.draw.line(self.at(outline), 34, round(2.4 * self.scale), joint="curve")

    def hatch(self, points: list[Point], step: float, slope: float, ink: int = 90) -> None:
        """Parallel lines within a polygon."""
        size = self.picture.size
        mask = Image.new("L", size, 0)
        ImageDraw.Draw(mask).polygon(self.at(points), 255)
        lines = Image.new("L", size, 0)
        pen = ImageDraw.Draw(lines)
        top = min(y for _, y in points)
        bottom = max(y for _, y in points)
        y = top - 200
        while y < bottom + 200:
            shift = self.chance.uniform(-0.7, 0.7)
            pen.line(self.at([(0, y + shift), (1000, y + slope * 25 + shift)]), 255, self.scale)
            y += step
        self.picture.paste(ink, mask=ImageChops.multiply(mask, lines))

    def hills(self) -> None:
        """Two hills and a quarry's steps behind."""
        self.shape(
            [
                (33, 400),
                (170, 290),
                (320, 345),
                (470, 260),
                (640, 350),
                (800, 300),
                (967, 390),
                (967, 480),
                (33, 480),
            ],
            214,
        )
        self.hatch([(470, 262), (640, 350), (800, 302), (966, 390), (966, 480), (420, 480)], 7, -6, 130)
        for step in range(5):
            self.stroke(
                [
                    (700 + step * 26, 330 + step * 16),
                    (724 + step * 26, 332 + step * 16),
                    (726 + step * 26, 346 + step * 16),
                ],
                1.6,
                90,
            )

    def turf(self) -> None:
        """The field, with tufts of grass and a rope round the ring."""
        self.shape([(33, 472), (967, 472), (967, 687), (33, 687)], 222, smooth=False)
        for _ in range(420):
            x, y = self.chance.uniform(45, 955), self.chance.uniform(490, 680)
            lean = self.chance.uniform(-4, 4)
            self.stroke([(x, y), (x + lean, y - self.chance.uniform(4, 10))], 1.0, 96)
        self.stroke([(33, 505), (260, 520), (500, 524), (740, 520), (967, 505)], 2.2, 70)
        for x in (120, 880):
            self.shape([(x - 5, 440), (x + 5, 440), (x + 5, 530), (x - 5, 530)], 150, smooth=False)

    def wrestler(self, x: float, way: int) -> None:
        """One man, facing right (way 1) or left (-1): legs, smock, belt, strap, head."""

        def p(dx: float, dy: float) -> Point:
            return (x + way * dx, dy)

        for foot, knee in ((-88, -62), (34, 40)):
            self.shape(
                [
                    p(-38 if foot < 0 else -12, 440),
                    p(knee - 20, 530),
                    p(foot - 12, 616),
                    p(foot + 16, 616),
                    p(knee + 22, 528),
                    p(12 if foot < 0 else 44, 440),
                ],
                168,
            )
            self.shape(
                [
                    p(foot - 16, 612),
                    p(foot + 20, 610),
                    p(foot + 46, 628),
                    p(foot + 40, 636),
                    p(foot - 18, 636),
                ],
                90,
            )
        smock = [
            p(-44, 262),
            p(-10, 226),
            p(40, 232),
            p(76, 268),
            p(70, 340),
            p(62, 392),
            p(70, 486),
            p(20, 500),
            p(-62, 486),
            p(-58, 392),
            p(-62, 330),
        ]
        self.shape(smock, 240)
        self.hatch([p(-60, 270), p(-8, 240), p(-14, 390), p(-10, 494), p(-60, 484), p(-56, 392)], 6, 10, 120)
        for fold in (-36, -8, 20, 46):
            self.stroke([p(fold, 412), p(fold - 4, 452), p(fold + 2, 490)], 1.3, 80)
        self.shape([p(-60, 378), p(64, 382), p(63, 402), p(-59, 398)], 70, smooth=False)
        self.stroke([p(24, 238), p(38, 300), p(34, 376)], 6, 60)
        self.shape([p(12, 226), p(16, 204), p(44, 206), p(46, 232)], 206)
        self.shape(
            [p(6, 178), p(14, 142), p(46, 132), p(72, 152), p(76, 182), p(62, 210), p(34, 214), p(14, 204)],
            214,
        )
        self.shape([p(2, 176), p(6, 138), p(42, 118), p(78, 142), p(58, 148), p(28, 158), p(20, 184)], 60)
        self.stroke([p(72, 176), p(83, 186), p(74, 190)], 2)
        self.stroke([p(58, 172), p(66, 171)], 2.4)
        self.stroke([p(60, 198), p(70, 197)], 2)

    def arms(self) -> None:
        """Each man's right hand to the other's shoulder strap, left to his belt."""
        self.limb([(352, 262), (450, 268), (520, 262), (596, 262)], 20)
        self.limb([(648, 268), (560, 300), (480, 296), (408, 288)], 20)
        self.limb([(352, 300), (410, 368), (500, 392), (578, 392)], 18)
        self.limb([(650, 306), (600, 372), (520, 410), (424, 394)], 18)

    def limb(self, points: list[Point], width: float) -> None:
        """An arm in its sleeve along a line of joints, ending in a fist."""
        path = curve(points)
        for thickness, ink in ((width * 2 + 5, 34), (width * 2, 238)):
            for x, y in path[:-3]:
                r = thickness / 2
                self.draw.ellipse(
                    self.at([(x - r, y - r), (x + r, y + r)])[0]
                    + self.at([(x - r, y - r), (x + r, y + r)])[1],
                    ink,
                )
        for n in range(6, len(path) - 6, 4):
            x, y = path[n]
            self.stroke([(x - 2, y + width * 0.2), (x + 3, y + width * 0.85)], 1.2, 110)
        x, y = path[-1]
        self.shape([(x - 17, y - 13), (x + 12, y - 15), (x + 19, y), (x + 12, y + 16), (x - 15, y + 14)], 208)
        for k in (-6, 0, 6):
            self.stroke([(x - 8, y + k), (x + 12, y + k)], 1.4, 70)


def curve(points: list[Point], steps: int = 10) -> list[Point]:
    """Points along a Catmull-Rom spline through the given ones."""
    padded = [points[0], *points, points[-1]]
    found: list[Point] = []
    for a, b, c, d in zip(padded, padded[1:], padded[2:], padded[3:], strict=False):
        for n in range(steps):
            t = n / steps
            found.append((_blend(a[0], b[0], c[0], d[0], t), _blend(a[1], b[1], c[1], d[1], t)))
    return [*found, points[-1]]


def _blend(a: float, b: float, c: float, d: float, t: float) -> float:
    value = (
        2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * math.pow(t, 3)
    )
    return value / 2


if __name__ == "__main__":
    main()
