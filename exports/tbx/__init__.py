"""TBX (ISO 30042:2019): `write_tbx` writes a termbase and tells what it kept and lost, `read_tbx` opens one
to be taken in. README.md says where every field stands."""

from exports.tbx.loss import FieldLoss, LossReport
from exports.tbx.markup import DIALECTS, Dialect, DialectName
from exports.tbx.reading.file import TbxFile, read_tbx
from exports.tbx.reading.report import ReadReport
from exports.tbx.validating import NotValid, check_file
from exports.tbx.writer import write_tbx

__all__ = [
    "DIALECTS",
    "Dialect",
    "DialectName",
    "FieldLoss",
    "LossReport",
    "NotValid",
    "ReadReport",
    "TbxFile",
    "check_file",
    "read_tbx",
    "write_tbx",
]
