"""Concept entries: what holds of the concept as a whole, then its language sections."""

from exports.tbx.categories import Level
from exports.tbx.context import WORDS_LANGUAGE, Context, is_english
from exports.tbx.foreignnotes import NoteWriter
from exports.tbx.tags import OPEN, noted_fields
from exports.tbx.termsec import TermSections
from exports.tbx.wording import Wording
from exports.tbx.xmltext import UNDETERMINED, language_attribute, safe_tag, web_address, xml_id
from termbase import dates
from termbase.articles import Article, Related
from termbase.codes import written_out
from termbase.entries import Analogue, Definition, Figure, Ruling, Signature, Term
from termbase.fields import Nested
from termbase.trials import Trial

__all__ = ["ConceptEntries"]


_PLAIN_NOTES = tuple(field for field in noted_fields("entry") if not isinstance(field.is_a, Nested))
"""Fields of an entry that stand in a note as they are."""


class ConceptEntries:
    """Writes articles as concept entries."""

    def __init__(self, context: Context) -> None:
        self.context = context
        self.term_sections = TermSections(context)
        self.wording = Wording(context.library)
        self._note_writer = NoteWriter(context)
        self._notes = context.notes_in(context.working_language)
        self._order = {tag: rank for rank, tag in enumerate(context.library.termbase.languages)}
        # Topics, kinds of relation and verdicts are English words in a section of the working language.
        self._spoken = "" if is_english(context.working_language) else WORDS_LANGUAGE

    def render(self, article: Article) -> str:
        """The concept entry as text; empty, and counted as left out, where it has no term to stand under."""
        entry, tally = article.entry, self.context.tally
        sections = self._sections(article)
        if not sections:
            tally.left_out["entry.terms"] += 1
            return ""
        out = [f'<conceptEntry id="{xml_id("entry", entry.id)}">\n']
        if entry.topic:
            self._category(out, "subjectField", entry.topic)
            tally.carried["entry.topic"] += 1
        self._verdicts(out, article)
        self._relations(out, article)
        for figure in entry.figures:
            self._figure(out, figure)
        spoken = set(sections)
        for definition in entry.definitions:
            if safe_tag(definition.language) not in spoken:
                self._definition_apart(out, definition)
        self._concept_notes(out, article)
        for note in entry.foreign_notes:
            if safe_tag(note.language) not in sections:
                self._note_writer.write(out, note, Level.CONCEPT, self.context.working_language)
        self._transactions(out, article)
        for tag, terms in sections.items():
            self._language(out, article, tag, terms)
        out.append("</conceptEntry>\n")
        tally.entries += 1
        tally.carried["entry.id"] += 1
        tally.left_out["entry.version"] += 1
        if entry.editor_note:
            tally.left_out["entry.editor_note"] += 1
        return "".join(out)

    def _sections(self, article: Article) -> dict[str, list[tuple[Term, bool]]]:
        """Terms by the tag of their section, in the order of the termbase's languages; True: as printed.

        A form as printed stands under its own tag too, unless a term there has the same text.
        """
        found: dict[str, list[tuple[Term, bool]]] = {}
        terms = []
        for term in article.entry.terms:
            if term.text and not term.text.isspace():
                terms.append(term)
                found.setdefault(safe_tag(term.language), []).append((term, False))
            else:
                self._leave_out(article, term)
        for term in terms:
            tag = term.printed_language
            if not (term.printed and tag) or tag == term.language or safe_tag(tag) == UNDETERMINED:
                continue
            section = found.setdefault(tag, [])
            if all((t.printed if printed else t.text) != term.printed for t, printed in section):
                section.append((term, True))
        order, last = self._order, len(self._order)
        return dict(sorted(found.items(), key=lambda item: order.get(item[0], last)))

    def _leave_out(self, article: Article, term: Term) -> None:
        self.context.tally.left_out["term.text"] += 1
        lost = len(article.slips.get(term.id, ()))
        if lost:
            self.context.tally.left_out["slip.text"] += lost

    def _category(self, out: list[str], category: str, value: str, *, target: str = "") -> None:
        dialect = self.context.dialect
        start = dialect.start(category, target=target, language=self._spoken)
        out += (start, self.context.escaper.text(value), dialect.end(category), "\n")

    def _verdicts(self, out: list[str], article: Article) -> None:
        context = self.context
        rulings = {r.code_id: r for r in article.entry.rulings}
        for judged in article.judged:
            out.append("<adminGrp>\n")
            self._category(out, "projectSubset", f"{judged.code.id}:{judged.verdict.word}")
            context.tally.carried["verdict.word"] += 1
            context.note(out, self._notes, "verdict.reasons", self.wording.verdict(judged))
            ruling = rulings.pop(judged.code.id, None)
            if ruling:
                self._ruling(out, ruling)
            out.append("</adminGrp>\n")
        for ruling in rulings.values():
            self._ruling(out, ruling)

    def _ruling(self, out: list[str], ruling: Ruling) -> None:
        self.context.note(out, self._notes, "ruling.code_id", self.wording.ruling(ruling))
        self.context.count_noted(
            ruling__verdict=ruling.verdict,
            ruling__by=ruling.by,
            ruling__on=ruling.on,
            ruling__reason=ruling.reason,
        )

    def _relations(self, out: list[str], article: Article) -> None:
        """The entry's own relations, which come first; what others say of it stands with them."""
        tally = self.context.tally
        for related in article.related[: len(article.entry.relations)]:
            words = f"{related.kind}: {self._name(related)}"
            if self._is_written(related):
                self._category(out, "crossReference", words, target=xml_id("entry", related.entry_id))
                tally.carried["relation.kind"] += 1
                tally.carried["relation.target_id"] += 1
            else:
                self.context.note(
                    out, self._notes, "relation.target_id", f"{words} ({related.entry_id}, not in this file)"
                )
                tally.noted["relation.kind"] += 1

    def _is_written(self, related: Related) -> bool:
        selected = self.context.selected
        if selected is not None and related.entry_id not in selected:
            return False
        return any(t.text and not t.text.isspace() for t in related.heads)

    def _name(self, related: Related) -> str:
        last = len(self._order)
        first = min(related.heads, key=lambda t: self._order.get(t.language, last), default=None)
        return first.text if first else related.entry_id

    def _figure(self, out: list[str], figure: Figure) -> None:
        context = self.context
        address = web_address(figure.image_id)
        if address:
            self._category(out, "xGraphic", figure.caption, target=address.replace("&", "&amp;"))
            context.tally.carried["figure.image_id"] += 1
        else:
            context.tally.left_out["figure.image_id"] += 1
        source = context.label_of(figure.source_id)
        context.note(out, self._notes, "figure.caption", self.wording.figure(figure, source))
        context.count_noted(
            figure__maker=figure.maker, figure__rights=figure.rights, figure__source_id=source
        )

    def _concept_notes(self, out: list[str], article: Article) -> None:
        context, notes, entry = self.context, self._notes, article.entry
        context.note(out, notes, "entry.technique", self.wording.technique(entry.technique))
        if entry.technique or entry.figures:
            context.note(out, notes, "evidence.mechanic", self.wording.evidence(article.mechanic))
        if entry.technique or article.trials:
            context.note(out, notes, "evidence.practice", self.wording.evidence(article.practice))
        for trial in article.trials:
            self._trial(out, trial)
        for analogue in entry.analogues:
            self._analogue(out, analogue)
        for line in article.lines:
            context.note(out, notes, "line.text", line.text)
            context.tally.left_out["line.id"] += 1
        for field in _PLAIN_NOTES:
            if value := getattr(entry, field.name):
                context.note(out, notes, f"entry.{field.name}", "yes" if value is True else str(value))
        context.note(out, notes, "entry.language_reading", _reading(entry.language_reading))
        context.note(out, notes, "entry.practice_reading", _reading(entry.practice_reading))

    def _trial(self, out: list[str], trial: Trial) -> None:
        context, tally = self.context, self.context.tally
        context.note(out, self._notes, "trial.date", self.wording.trial(trial))
        context.count_noted(
            trial__outcome=trial.outcome, trial__place=trial.place, trial__code_id=trial.code_id,
            trial__holds=trial.holds, trial__done=trial.done, trial__change=trial.change,
            trial__safety=trial.safety, trial__injuries=trial.injuries,
        )  # fmt: skip
        tally.left_out["trial.id"] += 1
        tally.left_out["trial.version"] += 1
        if trial.people:
            tally.left_out["trial.people"] += 1
        if trial.image_ids:
            tally.left_out["trial.image_ids"] += len(trial.image_ids)

    def _analogue(self, out: list[str], analogue: Analogue) -> None:
        context = self.context
        source = context.label_of(analogue.source_id)
        context.note(out, self._notes, "analogue.name", self.wording.analogue(analogue, source))
        context.count_noted(
            analogue__language=analogue.language, analogue__style=analogue.style, analogue__source_id=source
        )

    def _transactions(self, out: list[str], article: Article) -> None:
        entry = article.entry
        for kind, field, by, on in (
            ("origination", "created", entry.created_by, entry.created_on),
            ("modification", "changed", entry.changed_by, entry.changed_on),
        ):
            if by or on:
                self._transaction(out, kind, field, (by, on))

    def _transaction(self, out: list[str], kind: str, field: str, made: tuple[str, str]) -> None:
        by, on = made
        dialect, tally = self.context.dialect, self.context.tally
        out += (
            "<transacGrp>\n",
            dialect.start("transactionType"),
            kind,
            dialect.end("transactionType"),
            "\n",
        )
        if dates.is_iso_date(on) and not on.startswith("0000"):
            out.append(f"<date>{on}</date>\n")
            tally.carried[f"entry.{field}_on"] += 1
        else:
            self.context.note(out, self._notes, f"entry.{field}_on", on)
        if by:
            out.append(self.context.responsible(by))
            tally.carried[f"entry.{field}_by"] += 1
        out.append("</transacGrp>\n")

    def _definition_apart(self, out: list[str], definition: Definition) -> None:
        """A definition in a language without terms stands with the concept, since no section can hold it."""
        tag = safe_tag(definition.language)
        out.append("<descripGrp>\n")
        self._definition(out, definition, tag)
        if tag != definition.language or self.context.dialect.style == "dct":
            self.context.note(out, self._notes, "definition.language", definition.language)
        else:
            self.context.tally.carried["definition.language"] += 1
        out.append("</descripGrp>\n")

    def _definition(self, out: list[str], definition: Definition, language: str) -> None:
        dialect, escape, tally = self.context.dialect, self.context.escaper.text, self.context.tally
        start, end = dialect.start("definition", language=language), dialect.end("definition")
        out += (start, escape(definition.text), end, "\n")
        tally.carried["definition.text"] += 1
        if definition.source_id:
            cited = self.context.cite(definition.source_id)
            out += (cited.start, cited.label, dialect.end("source"), "\n")
            tally.carried["definition.source_id"] += 1

    def _language(self, out: list[str], article: Article, tag: str, terms: list[tuple[Term, bool]]) -> None:
        out.append(f"<langSec{language_attribute(tag)}>\n")
        for definition in article.entry.definitions:
            if safe_tag(definition.language) == tag:
                out.append("<descripGrp>\n")
                self._definition(out, definition, "")
                out.append("</descripGrp>\n")
                if tag == definition.language:
                    self.context.tally.carried["definition.language"] += 1
        for note in article.entry.foreign_notes:
            if note.language and safe_tag(note.language) == tag:
                self._note_writer.write(out, note, Level.LANGUAGE, tag)
        write = self.term_sections.write
        slips, names = article.slips, article.names
        for term, printed in terms:
            if printed:
                self.term_sections.write_printed(out, term)
            else:
                write(out, term, tag, slips.get(term.id, ()), names.get(term.id))
        out.append("</langSec>\n")


def _reading(signature: Signature) -> str:
    if signature.signed:
        return f"{signature.by}, {signature.on}"
    return f"{OPEN}; {written_out(signature.reopened)}" if signature.reopened else OPEN
