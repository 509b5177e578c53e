"""A session on paper: a page, a table, a JSON document, a workbook, and the terminal's view."""

from assistant.report.contents import Report, report_of
from assistant.report.write import FORMATS, Exported, export, write_report

__all__ = ["FORMATS", "Exported", "Report", "export", "report_of", "write_report"]
