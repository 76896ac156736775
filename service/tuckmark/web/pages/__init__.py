"""Pages for people: the form at ``/`` and what a browser is shown of listings."""
