"""Labels as PDF: pure drawing, of what is handed over as plain text and numbers. Knows no database."""
