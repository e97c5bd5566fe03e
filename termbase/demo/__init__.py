"""The invented demo: a termbase of a wrestling tradition that never existed, as data files next to this
module.

`load` reads the folder and returns records ready for storing. Nothing here writes to a store, and nothing in
the folder is evidence of anything: valley, people, papers, rules and names are made up.

The files: termbase.toml, people.toml, sources.toml (with wordlist-pattern.toml), rulecodes.toml,
techniques.toml, trials.toml; entries/*.toml by topic; slips/*.toml; reports/*.txt, the papers' texts; and for
each page of the word-list its text, its picture and the decisions on its lines, in pages/.
Deliberate flaws, for the proof to find, are marked there with a comment `FLAW`.
"""
