"""What kit and paper are called in a ledger."""

from __future__ import annotations

from stillroom.documents import book as doc


def ledger_names(book: doc.Book, paper: doc.Paper) -> dict[str, str]:
    """``kind/id`` of everything a ledger may name to the name people know.

    Parameters
    ----------
    book : Book
        With the kit.
    paper : Paper
        The batch the sitting is on: its name tells the batch too.

    Examples
    --------
    >>> ledger_names(doc.Book(), doc.Paper(id="s/7", name="Sorrel", batch="7", ei=5))
    {'paper/s/7': 'Sorrel, batch 7'}
    """
    kit = book.kit
    named_kinds = (
        ("head", kit.heads),
        ("modifier", kit.modifiers),
        ("lens", kit.lenses),
        ("paper", book.papers),
        ("lamp", kit.lamps),
        ("seat", kit.seats),
        ("filter", kit.filters),
    )
    names = {f"{kind}/{t.id}": t.name or t.id for kind, things in named_kinds for t in things}
    batch = f", batch {paper.batch}" if paper.batch else ""
    names[f"paper/{paper.id}"] = f"{paper.name or paper.id}{batch}"
    return names
