"""Trees and jobs on paper: charts as DOT, SVG, PDF, PNG, Mermaid and lists. Importing it loads nothing heavy."""

from graphviz_export.chart import FORMATS, write_chart

__all__ = ["FORMATS", "write_chart"]
