"""TBX (ISO 30042:2019): `writer.write_tbx` writes a termbase and reports what it kept and lost;
`reader.read_tbx` opens a file to import it. README.md shows where each field goes."""
