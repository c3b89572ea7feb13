"""A room as a page: its template, numbers and pictures in the words of the page."""
