"""What goes out: HTML, XLSX, CSV, labels."""
