"""Pages and drawings written to PDF, SVG, DXF, XLSX and CSV."""
