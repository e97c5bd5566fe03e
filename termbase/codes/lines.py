"""Why a word-list line could not be parsed, and why it was set aside."""

from enum import unique

from termbase.fields.notes import Code

__all__ = ["Aside", "Expected", "LinePart", "Problem", "Through", "VerdictName"]


@unique
class LinePart(Code):
    """A part of a line; members have the names used in the layouts of a line pattern."""

    HEADWORD = "line.part.headword", "headword"
    VARIANTS = "line.part.variants", "other spellings"
    POS = "line.part.part-of-speech", "part of speech"
    GENDER = "line.part.gender", "gender"
    NUMBER = "line.part.number", "number"
    LABELS = "line.part.labels", "part of speech, gender or number"
    SOUND = "line.part.pronunciation", "pronunciation"
    STYLE = "line.part.style", "style label"
    FORMS = "line.part.forms", "inflected forms"
    GLOSS = "line.part.gloss", "explanation"
    SENSES = "line.part.senses", "senses"
    EQUIVALENTS = "line.part.equivalents", "equivalents"
    TEXT = "line.part.equivalent", "equivalent"
    PHRASE = "line.part.phrase", "phrase"
    SEE = "line.part.see", "cross-reference"
    NOTE = "line.part.note", "note"


@unique
class Expected(Code):
    """What was expected where parsing a line stopped."""

    END = "line.expected.end", "the end of the line"
    NEW_LINE = "line.expected.new-line", "a new line"
    SPACE = "line.expected.space", "a space"
    GAP = "line.expected.gap", "a wide gap"
    RECORD = "line.expected.record", "a record"
    SIGN = "line.expected.sign", "“%(sign)s”"
    SIGN_AND_PART = "line.expected.sign.and-part", "“%(sign)s” and then the %(part)s"
    PART = "line.expected.part", "the %(part)s"


@unique
class Problem(Code):
    """Why a line, or part of it, could not be parsed."""

    EXPECTED = "line.problem.expected", "There should be %(part)s here."
    EXPECTED_BUT = (
        "line.problem.expected.but", "There should be %(part)s here, but it says “%(words)s”.",
    )  # fmt: skip
    EXPECTED_BUT_ENDS = (
        "line.problem.expected.but-ends", "There should be %(part)s here, but the line ends.",
    )  # fmt: skip
    NOTHING_BETWEEN = "line.problem.nothing-between", "There is nothing between two marks here."
    ABBREVIATION = (
        "line.problem.abbreviation", "“%(word)s” looks like an abbreviation, but it is not in the tables.",
    )  # fmt: skip
    LABEL_TWICE = "line.problem.label.twice", "“%(word)s” is given twice."
    LABEL_UNKNOWN = "line.problem.label.unknown", "“%(word)s” is not in the tables of abbreviations."
    NOTHING_FOR_SENSE = "line.problem.sense.empty", "This sense has no content."
    SENSE_AFTER = "line.problem.sense.after", "Sense %(number)s comes after sense %(before)s."
    SENSES_BEGIN = "line.problem.senses.begin", "The senses begin with number %(number)s."
    BRACKET = "line.problem.bracket", "The bracket “%(sign)s” has no matching bracket."
    NO_PART_OF_SPEECH = (
        "line.problem.unlisted.part-of-speech", "“%(word)s” is not in the list of parts of speech.",
    )  # fmt: skip
    NO_GENDER = "line.problem.unlisted.gender", "“%(word)s” is not in the list of genders."
    NO_NUMBER = "line.problem.unlisted.number", "“%(word)s” is not in the list of numbers."
    FURNITURE = "line.problem.furniture", "This is page furniture, not a record."
    BLANK = "line.problem.blank", "This is a blank line, not a record."
    TOO_LONG = (
        "line.problem.too-long",
        "This record has %(n)s characters: the page is probably divided wrongly.",
    )
    GOES_ON = (
        "line.problem.goes-on",
        "This continues an earlier record: no record starts at the margin above it.",
    )
    DITTO_PART_OF_SPEECH = (
        "line.problem.ditto.part-of-speech", "A ditto mark has no part of speech above it to repeat.",
    )  # fmt: skip
    DITTO_STYLE = "line.problem.ditto.style", "A ditto mark has no style label above it to repeat."
    DITTO_NOTHING = "line.problem.ditto.nothing", "A ditto mark has nothing above it to repeat."


@unique
class VerdictName(Code):
    """A verdict as named in a reason."""

    FITS = "verdict.fits", "fits"
    FITS_CHANGED = "verdict.fits.changed-grip", "fits with a changed grip"
    BREAKS = "verdict.breaks", "breaks the rules"
    OPEN = "verdict.open", "open"
    SEVERAL = "verdict.several", "%(first)s / %(others)s"


@unique
class Through(Code):
    """Which entries a line's verdict comes from."""

    MADE = "line.through.made", "created %(entries)s"
    ATTACHED = "line.through.attached", "attached to %(entries)s"
    RESEMBLES = "line.through.resembles", "judged as %(entries)s: %(why)s"


@unique
class Aside(Code):
    """Built-in reasons for setting a line aside."""

    OTHER_SPORT = "line.aside.other-sport", "another sport"
    ILLEGIBLE = "line.aside.illegible", "illegible"
    REPEATED = "line.aside.repeated", "repeated"
    TOO_GENERAL = "line.aside.too-general", "too general"
    NO_NAME = "line.aside.no-name", "not the name of a thing"
    NAMED_SPORT = "line.aside.other-sport.named", "another sport: %(sport)s"
    OTHER_STYLE = "line.aside.other-style", "another style, according to its label “%(label)s”"
    OTHER_STYLE_BUT = (
        "line.aside.other-style.but",
        "another style, according to its label “%(label)s”; the verdict under %(code)s is "
        "“%(verdict)s” (%(through)s)",
    )
    BREAKS = "line.aside.breaks", "breaks the rules under %(code)s: %(why)s"
    BREAKS_THROUGH = (
        "line.aside.breaks.through", "breaks the rules under %(code)s, %(through)s: %(why)s",
    )  # fmt: skip
    OF_SENSE = "line.aside.of-sense", "%(number)s: %(why)s"
    SEVERAL = "line.aside.several", "%(first)s; %(others)s"
