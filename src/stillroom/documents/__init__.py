"""Documents: pydantic models of what is exchanged, read strictly and checked as a whole."""
