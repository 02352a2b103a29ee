"""What a control strip says, in sentences."""

from __future__ import annotations

from stillroom.quantity import NINE_IN_TEN, range_text
from stillroom.reading import BathShift
from stillroom.services.bath import LEAVE_IT_STOPS, StripRun
from stillroom.services.reasons import size

NOT_CHECKED = "Bath not checked today, ±¼."
REFERENCE = "The reference: later runs are held against it."
_PLANNED_WITH = "or leave it, for the next sheet is planned with it"
_UNREAD = {
    "no_common_step": (
        "It shares no step with the reference, so it says nothing: call the steps alike, or mark "
        "it as the reference where a new lot begins."
    ),
    "too_flat": (
        "Its steps lie too near black or bare paper to tell: read one in the middle tones too."
    ),
    "dark_only": (
        "Only dark steps were read, and they cannot tell a weak bath from thin blacks: read one "
        "in the middle tones too."
    ),
}


def run_sentence(run: StripRun | None) -> str:
    """What the last control strip says of the bath; None: none was run today.

    Parameters
    ----------
    run : StripRun or None
        From `run_of_day`.

    Returns
    -------
    str
        A sentence or two.

    Examples
    --------
    >>> run_sentence(None)
    'Bath not checked today, ±¼.'
    """
    if run is None:
        return NOT_CHECKED
    return REFERENCE if run.is_reference else shift_sentence(run.shift)


def shift_sentence(shift: BathShift) -> str:
    """What the bath did since the reference, and what to do about it.

    Parameters
    ----------
    shift : BathShift
        One run against its reference.

    Returns
    -------
    str
        A sentence or two; thin blacks are named apart, for they are no speed.

    Examples
    --------
    >>> shift_sentence(BathShift(0.04, 0.08, ("1", "2")))
    'The bath stands where it stood.'
    >>> shift_sentence(BathShift(-0.34, 0.09, ("1", "2"))).partition(": ")[0]
    'The bath is ⅓ weaker than at the reference'
    >>> shift_sentence(BathShift(0.02, 0.2, ("1", "2"))).startswith("No difference shows, but")
    True
    """
    if shift.value_stops is None:
        return _UNREAD[shift.unread] if shift.unread else _UNREAD["too_flat"]
    said = (_speed(shift.value_stops, NINE_IN_TEN * shift.sd_stops), black_sentence(shift))
    return " ".join(sentence for sentence in said if sentence)


def black_sentence(shift: BathShift) -> str:
    """What the dark steps say that is not speed; empty where they agree with the middle ones.

    Parameters
    ----------
    shift : BathShift
        One run against its reference.

    Returns
    -------
    str
        One or two sentences, or none.

    Examples
    --------
    >>> black_sentence(BathShift(0.0, 0.1, ("1",), black_loss=0.25)).partition(":")[0]
    'The blacks are 0.25 thinner than the middle tones explain'
    """
    if shift.black_loss > 0:
        return (
            f"The blacks are {shift.black_loss:.2f} thinner than the middle tones explain: second "
            "development or re-exposure too short. That is not speed and was left out of it."
        )
    if shift.black_loss < 0:
        return (
            f"The blacks were {-shift.black_loss:.2f} thinner at the reference: its second "
            "development or re-exposure was too short. That was left out of the speed."
        )
    return ""


def _speed(value: float, half: float) -> str:
    if abs(value) <= LEAVE_IT_STOPS:
        if half <= LEAVE_IT_STOPS:
            return "The bath stands where it stood."
        return (
            f"No difference shows, but these steps tell it only to {range_text(half)}: a reading "
            "nearer the middle tones, or by densitometer, says more."
        )
    way = "weaker" if value < 0 else "stronger"
    if abs(value) <= half:
        return (
            f"The bath looks {size(value)} {way} than at the reference but may stand where it "
            f"stood, {range_text(half)}: run another before anything is changed."
        )
    act = "fresh developer" if value < 0 else "look at its warmth and its mix"
    return f"The bath is {size(value)} {way} than at the reference: {act}, {_PLANNED_WITH}."
