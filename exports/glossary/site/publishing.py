"""Publishes the record as a folder of pages.

The folder is filled only with a complete site, and files of other programs are never replaced.
"""

import base64
import json
import shutil
import uuid
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from exports.glossary.book.book import Selection
from exports.glossary.book.coverage import PRINT_FONTS
from exports.glossary.book.pictures import picture_files
from exports.glossary.book.wording import entries_counted
from exports.glossary.site.outline import Outline, outline_of
from exports.glossary.site.pages import Pages
from exports.glossary.site.search import find_data, language_data, script_of
from termbase.errors import BadInput
from termbase.messages import joined, message
from termbase.overviews.articles import Library
from termbase.overviews.removals import deleted_entries
from termbase.voice import Voice

__all__ = [
    "MARKER",
    "ForeignFiles",
    "SiteReport",
    "entries_published",
    "publish_site",
    "replaced_folder",
    "zip_folder",
]

MARKER = "wordhold-site.json"
"""The file that identifies a folder as one of ours; it lists what was written."""
_SHOWN = 5
HERE = Path(__file__).parent
PICTURES = "assets/pictures"
FONTS = {
    "WordholdSerif-Regular.otf": ("Wordhold Serif", "normal", 400),
    "WordholdSerif-Italic.otf": ("Wordhold Serif", "italic", 400),
    "WordholdSerif-Semibold.otf": ("Wordhold Serif", "normal", 600),
    "WordholdSans-Regular.otf": ("Wordhold Sans", "normal", 400),
    "WordholdSans-Semibold.otf": ("Wordhold Sans", "normal", 600),
}
OLD_PRINT = "WordholdOldPrint-Regular.otf"
_ZIP_DATE = (1980, 1, 1, 0, 0, 0)


class ForeignFiles(BadInput):
    """The folder contains files that this program did not write; nothing was changed."""


@contextmanager
def replaced_folder(folder: Path) -> Iterator[Path]:
    """Yield a new folder beside `folder` to fill.

    At the end it replaces `folder`; if anything fails it is deleted.

    Raises:
        ForeignFiles: `folder` is a file, or contains files that this program did not write.
        OSError: the folder cannot be written.
    """
    folder = folder.resolve()
    _check(folder)
    folder.parent.mkdir(parents=True, exist_ok=True)
    new = folder.parent / f".{folder.name}.{uuid.uuid4().hex}"
    new.mkdir()
    try:
        yield new
        written = sorted(p.relative_to(new).as_posix() for p in new.rglob("*") if p.is_file())
        (new / MARKER).write_text(
            json.dumps({"files": written}, ensure_ascii=False, indent=0) + "\n", "utf-8"
        )
        _check(folder)
        _put(new, folder)
    finally:
        shutil.rmtree(new, ignore_errors=True)


def entries_published(folder: Path) -> tuple[str, ...]:
    """Return the ids of the entries with a page in a site folder; empty if there is no site of ours."""
    paths = (PurePosixPath(path) for path in sorted(_known(folder)))
    return tuple(p.stem for p in paths if p.parent == PurePosixPath("entries") and p.suffix == ".html")


def _check(folder: Path) -> None:
    if not folder.exists():
        return
    if not folder.is_dir():
        raise ForeignFiles(
            message("This is a file, not a folder."), where=str(folder), fix=message("Give a new folder.")
        )
    known = _known(folder)
    foreign = [p for p in _files(folder) if p not in known]
    if foreign:
        shown = [*foreign[:_SHOWN], *(["…"] if len(foreign) > _SHOWN else [])]
        raise ForeignFiles(
            message(
                "The folder contains files that do not belong to a published site: %(files)s.",
                files=", ".join(shown),
            ),
            where=str(folder),
            fix=message("Give a new folder, or move these files away first."),
        )


def _known(folder: Path) -> frozenset[str]:
    try:
        listed = json.loads((folder / MARKER).read_text("utf-8"))["files"]
        return frozenset({MARKER, *map(str, listed)})
    except (OSError, ValueError, KeyError, TypeError):
        return frozenset()


def _files(folder: Path) -> list[str]:
    return sorted(
        p.relative_to(folder).as_posix() for p in folder.rglob("*") if not p.is_dir() or p.is_symlink()
    )


def _put(new: Path, folder: Path) -> None:
    if not folder.exists():
        new.rename(folder)
        return
    old = folder.parent / f".{folder.name}.{uuid.uuid4().hex}"
    folder.rename(old)
    try:
        new.rename(folder)
    except OSError:
        old.rename(folder)
        raise
    shutil.rmtree(old, ignore_errors=True)


@dataclass(frozen=True)
class SiteReport:
    """What was published.

    Attributes:
        entries: pages of entries.
        drafts: how many of them are marked as drafts.
        names: names in the lists.
        files: files in the folder.
        size: their bytes.
        notices: pages at the addresses of removed entries.
    """

    entries: int
    drafts: int
    names: int
    files: int
    size: int
    notices: int = 0

    def readable(self) -> tuple[str, ...]:
        """Return how much was published."""
        return (joined((entries_counted(self.entries, self.drafts), "."), ""),)


def publish_site(
    library: Library,
    folder: Path,
    *,
    as_of: str,
    selection: Selection = Selection(),  # noqa: B008 - frozen
    on_progress: Callable[[int, int], None] | None = None,
) -> SiteReport:
    """Write the glossary as a web site. The same record and date give the same files.

    Articles are read and written one after another, so memory stays flat except for the list of names. An
    entry that was removed or merged leaves a notice at its address; no list and no search leads there.

    Args:
        library: the record.
        folder: where to put the site; an older site there is replaced once the new one is complete.
        as_of: ISO date of the edition.
        selection: what goes in.
        on_progress: called after each page written.

    Raises:
        ForeignFiles: the folder contains files that do not belong to a published site.
        BadInput: `as_of` is not a date, or a picture cannot be read.
        OSError: the folder cannot be written.
    """
    outline = outline_of(library, selection)
    departed = deleted_entries(library.reader, outline.entries, entries_published(Path(folder)))
    with replaced_folder(Path(folder)) as site:
        pages = Pages(library, selection, outline, as_of)
        _write_assets(site / "assets", outline, selection.voice)
        for name, text in pages.general():
            _write(site / name, text)
        (site / "entries").mkdir()
        total = len(outline.entries)
        for done, (name, text, pictures) in enumerate(pages.entries(), start=1):
            (site / name).write_text(text, encoding="utf-8", newline="\n")
            new = [p for p in pictures if not (site / PICTURES / p.file).exists()]
            for file, data in picture_files(new, library.reader):
                (site / PICTURES).mkdir(exist_ok=True)
                (site / PICTURES / file).write_bytes(data)
            if on_progress:
                on_progress(done, total)
        for name, text in pages.notices(departed):
            _write(site / name, text)
        sizes = [p.stat().st_size for p in site.rglob("*") if p.is_file()]
    names = sum(len(s.names) for sections in outline.sections.values() for s in sections)
    return SiteReport(len(outline.entries), outline.drafts, names, len(sizes) + 1, sum(sizes), len(departed))


def _write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8", newline="\n")


def _write_assets(folder: Path, outline: Outline, voice: Voice) -> None:
    (folder / "fonts").mkdir(parents=True)
    for name in (*FONTS, "OFL.txt"):
        shutil.copyfile(PRINT_FONTS / name, folder / "fonts" / name)
    shutil.copyfile(HERE / "search.js", folder / "search.js")
    _write(folder / "site.css", "".join(_font_rules()) + (HERE / "site.css").read_text("utf-8"))
    (folder / "names.js").write_bytes(script_of("NAMES", find_data(outline, voice)))
    (folder / "languages.js").write_bytes(script_of("LANGUAGES", language_data(outline.languages, voice)))


def _font_rules() -> Iterator[str]:
    """Yield the font rules of the style sheet.

    The tiny font with insular letters is embedded: some browsers do not let a page on a memory stick load a
    font, and no system font has these letters.
    """
    for name, (family, style, weight) in FONTS.items():
        yield _font_rule(f"fonts/{name}", family, style, weight)
    letters = base64.b64encode((PRINT_FONTS / OLD_PRINT).read_bytes()).decode()
    yield _font_rule(f"data:font/otf;base64,{letters}", "Wordhold Old Print", "normal", 400)


def _font_rule(address: str, family: str, style: str, weight: int) -> str:
    return (
        f'@font-face {{ font-family: "{family}"; src: url("{address}") format("opentype"); '
        f"font-style: {style}; font-weight: {weight}; font-display: swap; }}\n"
    )


def zip_folder(folder: Path, path: Path) -> None:
    """Write a zip of a folder, with its name at the root; the same files give the same bytes.

    Raises:
        OSError: it cannot be written.
    """
    with zipfile.ZipFile(path, "w") as archive:
        for file in sorted(p for p in folder.rglob("*") if p.is_file()):
            entry = zipfile.ZipInfo(f"{folder.name}/{file.relative_to(folder).as_posix()}", _ZIP_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            entry.create_system = 3
            archive.writestr(entry, file.read_bytes())
