"""A spectrum of one's own: every form that is understood, and one sentence for every other."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadDocument, StillroomError
from stillroom.quantity.spectra import Scale, spectrum_from_csv
from stillroom.quantity.spectra.own_csv import LARGEST_ROWS


def said_of(text: str, scale: Scale) -> str:
    """What is said of a text: why it is refused, or the name of a spectrum that can be used."""
    try:
        found = spectrum_from_csv(text, "x.csv", scale)
    except StillroomError as error:
        return str(error)
    assert len(found.wavelength_nm) >= 2
    assert (found.values >= 0).all()
    return found.name


@pytest.mark.parametrize(
    "text",
    [
        "400,0.5\n500,0.75\n",
        "nm,power\n400,0.5\n500,0.75",
        "400;0.5\n500;0.75",
        "400;0,5\n500;0,75",
        "Wellenlänge;Leistung\n400,0;0,5\n500,0;0,75\n",
        "400\t0,5\n500\t0.75\n",
        "500,0.75\n400,0.5\n",
        "# lamp in the hall\n\n400, 0.5\n\n 500 ,0.75 \n",
        '"400","0.5"\r\n"500","0.75"\r\n',
        "\ufeff400,0.5\n500,0.75\n",
        "4e2,5E-1\n500,.75,\n",
        "400,+0.5\n500.,0.75\n",
    ],
)
def test_forms_that_are_understood(text: str) -> None:
    found = spectrum_from_csv(text, "lamp.csv")
    assert found.wavelength_nm.tolist() == [400, 500]
    assert found.values.tolist() == [0.5, 0.75]
    assert found.name == "lamp.csv"


def test_percent_and_shares_are_told_apart_by_what_is_said_only() -> None:
    assert spectrum_from_csv("400,50\n500,100", "pane", "percent").values.tolist() == [0.5, 1.0]
    assert spectrum_from_csv("400,0.5\n500,1", "pane", "share").values.tolist() == [0.5, 1.0]
    assert spectrum_from_csv("400,50\n500,100", "lamp").values.tolist() == [50, 100]


@pytest.mark.parametrize(
    ("text", "scale", "said"),
    [
        ("", "power", "x.csv holds no lines of figures: give at least two wavelengths."),
        ("nm,power\n", "power", "x.csv holds no lines"),
        ("400,1", "power", "x.csv holds one line of figures: give at least two wavelengths."),
        ("400,1\n500,none\n", "power", "value in line 2 of x.csv is 'none': give a number from 0"),
        ("400,1\n5oo,1\n", "power", "wavelength in line 2 of x.csv is '5oo': give a number from"),
        ("400,1\n500,-2\n", "power", "value in line 2 of x.csv is -2.0: give a number from 0 to"),
        ("400,1\n500,nan\n", "power", "value in line 2 of x.csv is 'nan'"),
        ("400,1\n500,inf\n", "power", "value in line 2 of x.csv is 'inf'"),
        ("400,1\n500,1e999\n", "power", "value in line 2 of x.csv is inf: give a number from 0"),
        ("0.4,1\n0.5,1\n", "power", "line 1 of x.csv is 0.4: give a number from 200 to 2500 nm."),
        ("4000,1\n5000,1\n", "power", "from 200 to 2500 nm"),
        ("400,1\n500,1\n400,2\n", "power", "line 3 of x.csv is '400 nm': line 1 has it too"),
        ("400,0,5\n500,0,7\n", "power", "it has 3 columns; with decimal commas part them by"),
        ("400;1;2\n500;1;2\n", "power", "line 1 of x.csv is '400;1;2': give a wavelength in nm"),
        ("400 0.5\n500 0.7\n", "power", "give a wavelength in nm and a value, parted by a comma"),
        ("400,1.2.3\n500,1\n", "power", "value in line 1 of x.csv is '1.2.3'"),
        ("400;1.200,5\n500;1\n", "power", "value in line 1 of x.csv is '1.200,5'"),
        ("400,\n500,1\n", "power", "value in line 1 of x.csv is ''"),
        ("nm,T\n400,92\n500,93\n", "share", "from 0 to 1; for percent say so."),
        ("nm,T\n400,0.9\n500,1.01\n", "share", "line 3 of x.csv is 1.01: give a number from 0"),
        ("nm,T\n400,92\n500,101\n", "percent", "is 101.0: give a number from 0 to 100 percent."),
        ("400,0.92\n500,0.93\n", "percent", "is '0.93 percent': that looks like shares"),
        ("400,1\n500,1\n", "dB", "scale is 'dB': choose one of power, share, percent."),
    ],
)
def test_what_cannot_be_used_is_said_in_one_sentence(text: str, scale: Scale, said: str) -> None:
    with pytest.raises(StillroomError) as refused:
        spectrum_from_csv(text, "x.csv", scale)
    sentence = str(refused.value)
    assert said in sentence
    assert "\n" not in sentence
    assert sentence.endswith(".")


def test_a_file_that_is_far_too_long() -> None:
    text = "\n".join(f"{200 + i / 100},1" for i in range(LARGEST_ROWS + 1))
    with pytest.raises(BadDocument, match="at most 20000 can be read"):
        spectrum_from_csv(text, "x.csv")


@given(st.text(max_size=80), st.sampled_from(["power", "share", "percent"]))
def test_nothing_typed_ends_in_a_traceback(text: str, scale: Scale) -> None:
    assert len(said_of(text, scale).splitlines()) == 1


@given(st.lists(st.text(alphabet="0123456789.,;\t-+eE n", max_size=12), min_size=1, max_size=5))
def test_nothing_that_looks_like_figures_does_either(lines: list[str]) -> None:
    assert len(said_of("\n".join(lines), "power").splitlines()) == 1


@given(
    st.dictionaries(
        st.integers(200, 2500), st.floats(0, 1e6, allow_subnormal=False), min_size=2, max_size=30
    ),
    st.sampled_from([(",", "."), (";", ","), (";", "."), ("\t", ",")]),
)
def test_what_is_written_is_read_back(table: dict[int, float], way: tuple[str, str]) -> None:
    separator, point = way
    text = "\n".join(
        f"{nm}{separator}{value!r}".replace(".", point) for nm, value in table.items()
    )
    found = spectrum_from_csv(text, "x.csv")
    assert dict(zip(found.wavelength_nm, found.values, strict=True)) == table
