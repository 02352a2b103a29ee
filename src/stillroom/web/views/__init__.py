"""Views: pure functions from a book and an answer to what a page shows."""
