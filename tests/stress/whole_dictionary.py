"""The whole of FreeDict English-Welsh imported; not part of the suite, which uses its beginning.

python -m pytest tests/stress/whole_dictionary.py
"""

from pathlib import Path

from tests.outside.dictionaries import freedict_text
from tests.outside.test_freedict_whole import check_tbx_of, import_whole


def test_every_article_becomes_a_line_and_none_is_lost(tmp_path: Path) -> None:
    db = tmp_path / "freedict.sqlite"
    text = freedict_text("eng-cym")
    import_whole(text, db, "two lines, labels in angle brackets", ("en", "cy"), 12_630)
    check_tbx_of(db)
