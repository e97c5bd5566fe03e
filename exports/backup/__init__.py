"""Everything in one zip, and back: `write_backup`, `restore`; equal field for field, and so is the history.

Nothing in it needs this program to be read: records and history are JSON lines, pictures are files, sources
are there as CSL-JSON too, and the manifest names every member with its size and SHA-256.
"""

from exports.backup.manifest import BackupReport
from exports.backup.reading import restore
from exports.backup.writing import write_backup

__all__ = ["BackupReport", "restore", "write_backup"]
