"""Views: pure functions from a book and an answer to what only a page shows; see `telling`."""
