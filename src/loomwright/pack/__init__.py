"""The papers of a job as tables, before any page is drawn."""
