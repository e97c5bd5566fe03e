"""Update the catalogues from the code: `python -m app.web.translations`.

New messages are added untranslated, unused ones are removed. Every missing translation is listed;
the exit status is 1 if there are any.
"""

import sys

from app.web.translations import LANGUAGES
from app.web.translations.extracting import catalogue, messages, untranslated, write


def main() -> int:
    """Update every catalogue and list its missing translations."""
    wanted = messages()
    waiting = 0
    for tag in LANGUAGES:
        if tag == "en":
            continue
        stored = catalogue(tag)
        stored.update(wanted, no_fuzzy_matching=True)
        write(stored, tag)
        for message in untranslated(stored):
            waiting += 1
            first = message.id if isinstance(message.id, str) else message.id[0]
            at = message.locations[0][0] if message.locations else "the record's words"
            sys.stdout.write(f"{tag}: {at}: {first!r}\n")
    sys.stdout.write(f"{len(wanted)} messages, {waiting} translations wait.\n")
    return 1 if waiting else 0


if __name__ == "__main__":
    sys.exit(main())
