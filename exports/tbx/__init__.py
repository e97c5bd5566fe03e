"""TBX (ISO 30042:2019): `writer.write_tbx` writes a termbase and tells what it kept and lost,
`reader.read_tbx` opens one to be taken in. README.md says where every field stands."""
