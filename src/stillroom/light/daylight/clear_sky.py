"""The light of a cloudless sky, as the eye and as a paper weigh it, by the sun's elevation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from stillroom.errors import UnknownName, in_range
from stillroom.quantity import FloatArray
from stillroom.quantity.spectra import (
    PaperResponse,
    Spectrum,
    actinic_lux,
    d_illuminant,
    photopic_lux,
    weights_on,
)

OZONE_ATM_CM = 0.33  # 0.25 to 0.45 changes nothing above 0.004 stop
WATER_CM = 1.4  # absorbs beyond what a paper or the eye sees
SNOW_ALBEDO = 0.8
GROUND_ALBEDO = 0.1  # as blue light sees it; 0.2 for the whole spectrum overstates the bounce
GROUNDS = {"ordinary": GROUND_ALBEDO, "grass": 0.04, "sand": 0.2, "snow": SNOW_ALBEDO}
"""Ground by a word: its reflectance in blue light [1]; grass and sand from memory."""
HAZE = {"very clear": 0.05, "clear": 0.10, "hazy": 0.20, "very hazy": 0.40}
"""Optical depth of the aerosol at 500 nm, by a word for how the distance looks [1]."""
HAZE_SD_DOUBLINGS = 0.5
"""How far off such a word may be, one sigma: half way to the next one (invented)."""
STEP_DEG = 0.25
_HAZE_STEPS = 4  # what haze changes is smooth: every whole degree is enough
_LAST_DEG = 90.0
_SPRING = 80  # any day will do: its distance from the sun is divided out


@dataclass(frozen=True, slots=True)
class Atmosphere:
    """The air above a place and the ground around it.

    Parameters
    ----------
    aerosol : float
        Optical depth of the aerosol at 500 nm [1], 0.01 to 1; see `HAZE`.
    altitude_m : float
        Of the place above the sea [m], -500 to 5000.
    ground_albedo : float
        Share of light that the country around throws back at the sky [1], 0 to 0.95; `SNOW_ALBEDO`
        under snow.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.

    References
    ----------
    Optical depths: common practice, no source. Albedo of snow: common practice, no source.

    Examples
    --------
    >>> Atmosphere.called("hazy").aerosol
    0.2
    """

    aerosol: float = HAZE["clear"]
    altitude_m: float = 0.0
    ground_albedo: float = GROUND_ALBEDO

    def __post_init__(self) -> None:
        in_range("optical depth of the aerosol", self.aerosol, 0.01, 1.0)
        in_range("altitude", self.altitude_m, -500.0, 5000.0, "m")
        in_range("albedo of the ground", self.ground_albedo, 0.0, 0.95)

    @staticmethod
    def called(haze: str, altitude_m: float = 0.0, *, snow: bool = False) -> Atmosphere:
        """Return the air by a word for it.

        Parameters
        ----------
        haze : str
            ``very clear``, ``clear``, ``hazy`` or ``very hazy``.
        altitude_m : float
            Of the place above the sea [m], -500 to 5000.
        snow : bool
            Whether snow lies all around.

        Returns
        -------
        Atmosphere
            With the optical depth of that word.

        Raises
        ------
        UnknownName
            If the word is none of these.
        OutOfRange
            If the altitude lies outside its range.
        """
        if haze not in HAZE:
            raise UnknownName("haze", haze, HAZE)
        return Atmosphere(HAZE[haze], altitude_m, SNOW_ALBEDO if snow else GROUND_ALBEDO)

    @property
    def is_hazy(self) -> bool:
        """Whether the sky round the sun is so bright that its spread is known less well."""
        return self.aerosol >= HAZE["hazy"]


@dataclass(frozen=True, slots=True, eq=False)
class SkyTable:
    """Beam and sky of a cloudless day at the mean distance of the sun, every quarter of a degree.

    Each array but the last two has two columns: actinic lux, and lux at the meter.

    Parameters
    ----------
    atmosphere : Atmosphere
        The air it was made for.
    elevation_deg : FloatArray
        Of the sun, refraction in it: 0 to 90 [deg].
    beam_lx : FloatArray
        From the sun on a plane square to it [lx].
    sky_lx : FloatArray
        From the sky on level open ground [lx].
    overcast_shift_stops : float
        What the paper gets more than the meter says under a closed cover of cloud [stops].
    beam_haze_stops, sky_haze_stops : FloatArray
        What one sigma more haze does to beam and sky as the paper sees them [stops].
    """

    atmosphere: Atmosphere
    elevation_deg: FloatArray
    beam_lx: FloatArray
    sky_lx: FloatArray
    overcast_shift_stops: float
    beam_haze_stops: FloatArray
    sky_haze_stops: FloatArray

    @property
    def level_lx(self) -> FloatArray:
        """On level open ground from both, actinic and photopic [lx]."""
        up = np.sin(np.radians(self.elevation_deg))[:, None]
        return np.asarray(self.beam_lx * up + self.sky_lx)


def sky_table(
    response: PaperResponse,
    through: Sequence[Spectrum] = (),
    behind: Sequence[Spectrum] = (),
    atmosphere: Atmosphere | None = None,
) -> SkyTable:
    """Return the light of a cloudless day by the sun's elevation.

    Parameters
    ----------
    response : PaperResponse
        What the paper sees.
    through : sequence of Spectrum
        What stands between the meter and the paper: the lens, a filter on it.
    behind : sequence of Spectrum
        What stands before the meter and the sitter: window glass.
    atmosphere : Atmosphere, optional
        The air; clear, at sea level and without snow when left out.

    Returns
    -------
    SkyTable
        To be used for any number of times, places, planes and skies.

    Notes
    -----
    Against the reference spectrum of ASTM G173 the weighted beam is off by 0.02 stop and all that
    a plane tilted to the sun gets by 0.05; against discrete ordinates the sky alone by up to
    0.3. Below 3 deg of elevation the model is weak, below the horizon it has nothing: twilight is
    not modelled.

    References
    ----------
    R. Bird and C. Riordan, Simple solar spectral model for direct and diffuse irradiance on
    horizontal and tilted planes at the earth's surface for cloudless atmospheres,
    SERI/TR-215-2436 (1984), through pvlib; airmass: F. Kasten and A. Young (1989).

    Examples
    --------
    >>> from stillroom.quantity.spectra import GRADED, old330
    >>> table = sky_table(GRADED, through=[old330()])
    >>> (table.sky_lx[80] / 1000).round(1).tolist()  # actinic klx and klx at 20 degrees
    [19.2, 9.4]
    """
    air = atmosphere or Atmosphere()
    elevation = np.linspace(0.0, _LAST_DEG, round(_LAST_DEG / STEP_DEG) + 1)
    wavelength, beam, sky = spectra(elevation, air)
    whole = (*behind, *through)
    weights = np.stack(
        [weights_on(wavelength, response, whole), weights_on(wavelength, None, behind)]
    )
    # Few wavelengths matter to either: the others need not be summed.
    used = np.flatnonzero(weights.any(axis=0))
    beam_lx, sky_lx = ((weights[:, used] @ part[used]).T for part in (beam, sky))
    hazier = replace(air, aerosol=min(air.aerosol * 2**HAZE_SD_DOUBLINGS, 1.0))
    few = elevation[::_HAZE_STEPS]
    hazes = (
        np.interp(elevation, few, np.log2(weights[0, used] @ part[used] / clear[::_HAZE_STEPS, 0]))
        for part, clear in zip(spectra(few, hazier)[1:], (beam_lx, sky_lx), strict=True)
    )
    d65 = d_illuminant("D65").on_grid()
    overcast = actinic_lux(d65, response, whole) / photopic_lux(d65, behind)
    return SkyTable(air, elevation, beam_lx, sky_lx, float(np.log2(overcast)), *hazes)


def spectra(
    elevation_deg: FloatArray, atmosphere: Atmosphere
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the spectra of a cloudless day at the mean distance of the sun.

    Parameters
    ----------
    elevation_deg : FloatArray
        Of the sun, refraction in it [deg], 0 to 90.
    atmosphere : Atmosphere
        The air.

    Returns
    -------
    wavelength_nm : FloatArray
        122 wavelengths from 300 nm on [nm].
    beam, sky : FloatArray
        From the sun on a plane square to it, and from the sky on level ground, one column for each
        elevation [W/(m2 nm)].

    References
    ----------
    As `sky_table`.

    Examples
    --------
    >>> wavelength, beam, sky = spectra(np.array([20.0, 60.0]), Atmosphere())
    >>> beam.shape, bool(sky[10, 0] > beam[10, 0])  # 350 nm: more from the sky than from the sun
    ((122, 2), True)
    """
    from pvlib import atmosphere as air  # noqa: PLC0415 - half a second
    from pvlib import irradiance, spectrum  # noqa: PLC0415 - the same

    zenith = 90.0 - elevation_deg
    made = spectrum.spectrl2(
        apparent_zenith=zenith,
        aoi=zenith,
        surface_tilt=0,
        ground_albedo=atmosphere.ground_albedo,
        surface_pressure=air.alt2pres(atmosphere.altitude_m),
        relative_airmass=air.get_relative_airmass(zenith, "kastenyoung1989"),
        precipitable_water=WATER_CM,
        ozone=OZONE_ATM_CM,
        aerosol_turbidity_500nm=atmosphere.aerosol,
        dayofyear=_SPRING,
    )
    nearness = irradiance.get_extra_radiation(_SPRING, method="spencer", solar_constant=1)
    # Never its sky on a tilted plane: that takes most sky light to come from the sun's disc.
    return made["wavelength"], made["dni"] / nearness, made["dhi"] / nearness
