"""Vehicle identification numbers: form, check digit and model year, by 49 CFR 565 and ISO 3779."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tappetry.quantities.marks import FIRST_YEAR, VIN_LENGTH, VIN_VALUES, YEAR_CODES, vin_check_digit
from tappetry.records.problems import Complaint, Where

#: World regions whose makers must carry a check digit: the first character of North American numbers.
CHECK_DIGIT_REGIONS = "12345"
LOOKALIKES = {"I": "1", "O": "0", "Q": "0"}


@dataclass(frozen=True, slots=True)
class VinReading:
    """What a vehicle identification number says by itself.

    ``ok_form`` is true for 17 legal characters; nothing else is read from a number without it.
    ``model_years`` holds every year that the number may mean, empty when the code is none.
    ``wmi``, ``vds`` and ``vis`` are positions 1-3, 4-9 and 10-17 (ISO 3779).
    """

    vin: str
    ok_form: bool
    check_digit_expected: str
    check_digit_read: str
    model_years: tuple[int, ...]
    wmi: str
    vds: str
    vis: str
    complaints: tuple[Complaint, ...]

    @property
    def check_digit_fits(self) -> bool:
        """Whether the check digit is the one that the other characters ask for."""
        return self.ok_form and self.check_digit_expected == self.check_digit_read

    def at(self, position: int) -> str:
        """The character at a position counted from 1; empty when the number has no such position."""
        return self.vin[position - 1] if 1 <= position <= len(self.vin) else ""


def read_vin(text: str, light: bool | None = None) -> VinReading:
    """Read a vehicle identification number as typed; blanks, hyphens and small letters are forgiven.

    Nothing is refused: what is wrong stands in ``complaints``. A wrong check digit is a warning, since
    it is compulsory in North America only.

    Parameters
    ----------
    text : str
        The number as typed. One that has not 17 characters is an older serial and is kept as text.
    light : bool, optional
        Whether it belongs to a passenger car or light truck, where position 7 settles the 30-year cycle
        of position 10: a digit is 1980-2009, a letter 2010-2039. Left out, both years are offered.

    Examples
    --------
    >>> read_vin("11111111111111111").check_digit_expected
    '1'

    References
    ----------
    .. [1] 49 CFR 565.15, vehicle identification number content requirements
    .. [2] ISO 3779, road vehicles, vehicle identification number, content and structure
    """
    vin = "".join(text.split()).replace("-", "").upper()
    complaints = list(_form(vin))
    if complaints:
        return VinReading(vin, False, "", "", (), "", "", "", tuple(complaints))
    expected = vin_check_digit(vin)
    years = model_years(vin, light)
    complaints += _content(vin, expected, years)
    return VinReading(vin, True, expected, vin[8], years, vin[:3], vin[3:9], vin[9:], tuple(complaints))


def model_years(vin: str, light: bool | None = None) -> tuple[int, ...]:
    """The model years that position 10 may mean; see `read_vin` for ``light``."""
    place = YEAR_CODES.find(vin[9])
    if place < 0:
        return ()
    early, late = FIRST_YEAR + place, FIRST_YEAR + len(YEAR_CODES) + place
    if light:
        return (early,) if vin[6].isdigit() else (late,)
    return (early, late)


def _form(vin: str) -> Iterator[Complaint]:
    """What keeps the text from being a VIN at all."""
    if len(vin) != VIN_LENGTH:
        yield Complaint(
            Where(field="vin"),
            f"a VIN has {VIN_LENGTH} characters, this has {len(vin)}; serials of vehicles before model year "
            "1981 follow each maker's own pattern and are kept as text",
            vin,
            "17 characters, or identification by casting and things seen",
        )
        return
    for position, character in enumerate(vin, 1):
        if character not in VIN_VALUES:
            hint = LOOKALIKES.get(character)
            yield Complaint(
                Where(field=f"vin position {position}"),
                "the character is not used in a VIN",
                character,
                f"{hint}, which it is often mistaken for" if hint else "a digit, or a letter but I, O and Q",
            )


def _content(vin: str, expected: str, years: tuple[int, ...]) -> Iterator[Complaint]:
    """What is doubtful about a number of legal form."""
    if vin[8] != expected:
        likely = (
            "one character is likely mistyped: read it again"
            if vin[0] in CHECK_DIGIT_REGIONS
            else "mistyped, or from a region where the check digit is not compulsory"
        )
        yield Complaint(
            Where(field="vin position 9"), f"the check digit does not fit; {likely}", vin[8], expected
        )
    if not years:
        yield Complaint(
            Where(field="vin position 10"),
            "the character is no model year code",
            vin[9],
            f"one of {YEAR_CODES}",
        )
    if not vin[13:].isdigit():
        yield Complaint(
            Where(field="vin positions 14 to 17"), "the last four characters are digits", vin[13:], "digits"
        )
