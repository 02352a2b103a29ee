"""Web: the pages as a door: read a form, ask the desk, draw the answer."""
