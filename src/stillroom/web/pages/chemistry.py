"""Chemistry: mixing lists, baths that stand, labels to print."""

from __future__ import annotations

from datetime import timedelta

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from stillroom.documents.recipes import Recipe
from stillroom.errors import BadValue, StillroomError, in_range
from stillroom.services.cautions import BATH_CAUTION
from stillroom.services.mixing import Asked, mixing_list
from stillroom.services.mixing_asked import asked_for, parse_volume_ml
from stillroom.services.recipes import recipe_called
from stillroom.telling.mixing_told import label_told, mix_told
from stillroom.telling.names import unslug
from stillroom.web.forms import Form, FormPost, Posted, number
from stillroom.web.page import desk_of, render, to
from stillroom.web.posted import once
from stillroom.web.views.chemistry_view import (
    ROOT,
    address_of,
    chemistry_view,
    field_of,
    fields_of,
    given_in,
    steps_of,
)

router = APIRouter(prefix=ROOT)


@router.get("")
def chemistry(request: Request) -> Response:
    """Draw the baths that stand, and what can be mixed."""
    desk = desk_of(request)
    view = chemistry_view(desk.baths(), desk.mixes(), desk.now())
    return render(
        request,
        "chemistry.html",
        safelight_ok=True,
        v=view,
        caution=BATH_CAUTION,
        heading="Chemistry",
    )


@router.get("/mix/{segment}")
def mix_page(request: Request, segment: str) -> Response:
    """Draw a recipe for a volume, as far as it was asked."""
    recipe = recipe_called(unslug(segment))
    query = request.query_params
    said = {name: tuple(query.getlist(name)) for name in query}
    answers = {**Form.filled(fields_of(recipe)).typed, **said}
    return _draw(request, recipe, Posted(form_id="", answers=answers))


@router.post("/mix/{segment}")
def mixed(request: Request, segment: str, post: FormPost) -> Response:
    """Write a bath down as mixed just now."""
    recipe = recipe_called(unslug(segment))

    def write() -> Response:
        form, volume, asked = _read(recipe, post)
        if asked is None:
            return _draw(request, recipe, post)
        desk = desk_of(request)
        steps = tuple(step for step in post.one("stands").split(",") if step)
        try:
            ago = in_range("Minutes ago", number("Minutes ago", post.one("ago", "0")), 0, 525_600)
            name = desk.mix_written(
                recipe.id,
                volume,
                post.form_id,
                asked=asked,
                steps=steps,
                when=desk.now() - timedelta(minutes=ago),
            )
        except StillroomError as error:
            _blame(form, error)
            return _draw(request, recipe, post, form)
        return to(ROOT, said=f"Bath {name} is written down. Print its label before you use it.")

    return once(request, post, write)


@router.post("/change")
def change(request: Request, post: FormPost) -> Response:
    """Time a bath, or take it out of the line."""
    bath = post.one("bath")

    def write() -> Response:
        desk = desk_of(request)
        if post.one("do") == "took":
            seconds = number("Seconds", post.one("seconds"))
            desk.mix_timed(bath, seconds, post.form_id)
            return to(ROOT, said="Written down.")
        if post.one("do") == "back":
            desk.mix_put_back(bath, post.form_id)
            return to(ROOT, said=f"Bath {bath} stands in the line again.")
        if post.one("do") == "out":
            desk.mix_thrown_out(bath, post.form_id)
            return to(
                ROOT, said=f"Bath {bath} is out of the line. Collect it; do not pour it away."
            )
        raise BadValue("What to do", post.one("do"), "tap one of the buttons")

    return once(request, post, write)


@router.get("/label/{segment}")
def label(request: Request, segment: str) -> Response:
    """Draw a label to be printed."""
    desk = desk_of(request)
    view = label_told(desk.label(unslug(segment)), desk.now())
    return render(request, "chemistry_label.html", v=view, root=ROOT, heading="Label")


def _read(recipe: Recipe, post: Posted) -> tuple[Form, float, Asked | None]:
    """The form as it was typed, the volume, and what is asked; None where something is wrong."""
    form, answers = Form.read(fields_of(recipe), post)
    if not form.ok:
        return form, 0.0, None
    try:
        volume = parse_volume_ml(str(answers["volume"]))
        asked = asked_for(recipe.id, **given_in(recipe, form, answers))
        mixing_list(recipe, volume, asked)
    except StillroomError as error:
        _blame(form, error)
        return form, 0.0, None
    return form, volume, asked


def _blame(form: Form, error: StillroomError) -> None:
    """Lay what was refused at the field it was typed into."""
    sentence = f"{str(error)[:1].upper()}{str(error)[1:]}"
    where = field_of(form, error.name) if isinstance(error, BadValue) else ""
    if where:
        form.faults[where] = sentence
    else:
        form.general = sentence


def _draw(request: Request, recipe: Recipe, post: Posted, blamed: Form | None = None) -> Response:
    form, volume, asked = _read(recipe, post)
    form = blamed or form
    made = None if asked is None or not form.ok else mix_told(mixing_list(recipe, volume, asked))
    return render(
        request,
        "chemistry_mix.html",
        status=200 if form.ok else 422,
        recipe=recipe,
        form=form,
        made=made,
        kept=[(name, one) for name, several in form.typed.items() for one in several],
        stands=steps_of(recipe),
        address=address_of(recipe),
        root=ROOT,
        heading=recipe.name,
    )
