"""The bench sheet: one content model of a plan, set as HTML and as PDF."""
