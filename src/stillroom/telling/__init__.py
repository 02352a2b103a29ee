"""What is told at either door: figures, names, odds, the set list, the sitting, the ledger.

View models from documents to plain text and numbers. No markup and no terminal in them; the
doors print them.
"""
