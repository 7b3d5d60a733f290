"""Tables that leave Benchwide."""

from results.exports.answers import ANSWER_COLUMNS, answer_rows

__all__ = ["ANSWER_COLUMNS", "answer_rows"]
