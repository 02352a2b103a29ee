"""The verbs: plan, advise, record, read, export; they own the unit of work and the clock."""
