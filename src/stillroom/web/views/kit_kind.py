"""How one kind of thing is asked about, and what its answers mean in the book."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from stillroom.documents.book import Book
from stillroom.documents.thing import Thing
from stillroom.services.cautions import Caution
from stillroom.web.forms import Field

Data = dict[str, Any]
Answers = Mapping[str, Any]

NAME = Field("name", "Name", hint="as you call it")
NOTE = Field("note", "Note", "note")


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of thing.

    Parameters
    ----------
    key : str
        Name in the book and in addresses.
    title, one : str
        What the section is called; what one of them is called.
    model : type
        Its document.
    tapped, typed : tuple of Field
        Quick and exact questions.
    to_data : callable
        Answers to what the document takes.
    to_answers : callable
        A thing to what stands in its form.
    usual_name : callable
        What to call one that nobody named.
    cautions : tuple of (label, text)
        Hazards of this kind.
    follows : mapping
        Questions whose answers follow another's: when that one is changed and they were left
        as they were, they start anew.
    lasting : tuple of str
        Tapped questions that are asked again about a thing that is there.
    gone : str
        Why one may be put away.
    offered : callable, optional
        What a book offers for some of the questions, by their names: choices.
    """

    key: str
    title: str
    one: str
    model: type[Thing]
    tapped: tuple[Field, ...]
    typed: tuple[Field, ...]
    to_data: Callable[[Answers], Data]
    to_answers: Callable[[Any], Data]
    usual_name: Callable[[Any], str]
    cautions: tuple[Caution, ...] = ()
    follows: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    lasting: tuple[str, ...] = ("kind", "dial")
    gone: str = "Sold, broken or lent"
    offered: Callable[[Book], Mapping[str, tuple[tuple[str, str], ...]]] | None = None

    @property
    def questions(self) -> tuple[Field, ...]:
        """Everything that is asked when one is added."""
        return (*self.tapped, *self.typed)

    @property
    def questions_later(self) -> tuple[Field, ...]:
        """What is asked about one that is there: guesses by tap give way to figures."""
        return (*(f for f in self.tapped if f.name in self.lasting), *self.typed)

    def for_book(self, book: Book) -> Kind:
        """The same kind with the choices that a book has for it; a single one is taken."""
        if self.offered is None:
            return self
        found = self.offered(book)

        def asked(question: Field) -> Field:
            if question.name not in found:
                return question
            choices = found[question.name]
            start = choices[0][0] if len(choices) == 1 else ""
            return replace(question, choices=choices, start=start)

        return replace(
            self,
            tapped=tuple(asked(f) for f in self.tapped),
            typed=tuple(asked(f) for f in self.typed),
        )


def plain(names: tuple[str, ...]) -> Callable[[Answers], Data]:
    """Answers that go into the document under their own names."""
    return lambda answers: {name: answers[name] for name in names if name in answers}


def dumped(thing: Thing) -> Data:
    """A thing as answers under their own names."""
    return thing.model_dump(exclude_none=True)
