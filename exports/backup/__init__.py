"""Backup and restore: everything in one zip. Restored records and history are equal field for field.

The zip can be read without this program: records and history are JSON lines, pictures are files, sources are
also included as CSL-JSON, and the manifest lists every member with its size and SHA-256.
"""
