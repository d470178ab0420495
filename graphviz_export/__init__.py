"""Trees and jobs on paper: charts as DOT, SVG, PDF, PNG, Mermaid and lists. Importing it loads nothing heavy."""

from graphviz_export.chart import FORMATS, Wish, write_book, write_chart

__all__ = ["FORMATS", "Wish", "write_book", "write_chart"]
