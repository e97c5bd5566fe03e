"""The acts: what a person can do to the record. Every function runs inside one act, which is one transaction:

with store.act(by, Deed.ENTRY_MADE(names="back-heel")) as act:
    entry = acts.entries.save(act, entry)
"""
