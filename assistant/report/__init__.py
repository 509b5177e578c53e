"""A session on paper: one HTML page, one CSV table, one JSON document, and the terminal's view."""

from assistant.report.contents import Report, report_of
from assistant.report.write import FORMATS, write_report

__all__ = ["FORMATS", "Report", "report_of", "write_report"]
