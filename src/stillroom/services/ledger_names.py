"""What kit and paper are called in a ledger."""

from __future__ import annotations

from stillroom.documents import book as doc
from stillroom.documents.filters import Filter


def filter_name(found: Filter) -> str:
    """A filter as it is spoken of in a line.

    Examples
    --------
    >>> filter_name(Filter(id="00", grade=0)), filter_name(Filter(id="y", name="yellow", grade=1))
    ('filter 00', 'yellow')
    """
    called = found.name or found.id
    return f"filter {called}" if len(called) <= 2 else called


def paper_name(paper: doc.Paper) -> str:
    """A paper with its batch, as it is spoken of in a line.

    Examples
    --------
    >>> paper_name(doc.Paper(id="s/7", name="Sorrel", batch="7", ei=5))
    'Sorrel, batch 7'
    """
    batch = f", batch {paper.batch}" if paper.batch else ""
    return f"{paper.name or paper.id}{batch}"


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
    )
    names = {f"{kind}/{t.id}": t.name or t.id for kind, things in named_kinds for t in things}
    names |= {f"filter/{x.id}": filter_name(x) for x in kit.filters}
    names[f"paper/{paper.id}"] = paper_name(paper)
    return names
