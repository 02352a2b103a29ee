"""How a sitter is held still and focused on, how the light fires, how the picture is looked at."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from stillroom.documents.base import Line, SizeM, Strict

Support = Literal["standing", "leaning", "seated", "seated_arms_on_table", "head_rest"]
FocusOn = Literal["eye", "target_in_chair", "head_rest"]
Fires = Literal["sync_shutter", "cap_in_dark", "cap_in_light", "remote", "second_person"]
Viewing = Literal["in_the_hand", "on_the_wall"]

USUAL_VIEWING: Viewing = "in_the_hand"
"""Where nobody said how the picture is looked at."""


class Holding(Strict):
    """Left out is: not said yet, and the usual is taken."""

    support: Support | None = None
    focus_on: FocusOn | None = None
    rest_to_eye_mm: Annotated[float, Field(ge=0, le=400)] | None = None
    """From the head rest at the back of the head to the eye, by the tape."""
    rest_to_eye_sd_mm: Annotated[float, Field(ge=0, le=100)] | None = None
    fires: Fires | None = None
    is_self_portrait: bool = False
    """The sitter is the photographer: walks in, sits, fires, rises, walks out."""
    viewing: Viewing | None = None
    viewing_distance_m: SizeM | None = None
    room: Line = ""
    """The room of the kit, where circuits and walls count."""
