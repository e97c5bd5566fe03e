"""TBX (ISO 30042:2019): `write_tbx` writes a termbase as TBX-Basic and tells what it kept and lost."""

from exports.tbx.loss import FieldLoss, LossReport
from exports.tbx.markup import DIALECTS, Dialect, DialectName
from exports.tbx.validating import NotValid, check_file
from exports.tbx.writer import write_tbx

__all__ = [
    "DIALECTS",
    "Dialect",
    "DialectName",
    "FieldLoss",
    "LossReport",
    "NotValid",
    "check_file",
    "write_tbx",
]
