"""What a person can do to the record. Every function works inside one act, which is one transaction:

with store.act(by, "made an entry") as act:
    entry = acts.entries.save(act, entry)
"""
