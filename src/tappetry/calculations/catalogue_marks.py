"""Calculations of printed numbers, money and units: they take words, as read from a label or a bill."""

from __future__ import annotations

from tappetry.calculations import texts
from tappetry.calculations.building import calculation, number_output, text_output
from tappetry.calculations.model import Source
from tappetry.calculations.sources import DEFINITION, standard
from tappetry.quantities import marks

CHAPTER = "Printed numbers, money and units"
VIN = standard("49 CFR 565.15")
ROUND_ONCE = Source("decimal arithmetic, rounded once", "textbook")
SAY_WHICH = "Which rounding holds is a matter of law and contract; never round twice."

CALCULATIONS = (
    calculation(
        marks.vin_check_digit,
        title="Check digit of a VIN",
        chapter=CHAPTER,
        texts={"vin": "17 characters; the one at position 9 does not count"},
        outputs=(text_output("check_digit", "a digit, or X for 10"),),
        formula="sum of value x weight, modulo 11",
        sources=(VIN,),
        cautions=("Compulsory in North America only.",),
        example={"vin": "11111111111111111"},
    ),
    calculation(
        marks.model_year,
        title="Model year of a passenger car or light truck",
        chapter=CHAPTER,
        texts={
            "year_code": "character at position 10 of the VIN",
            "seventh_character": "character at position 7 of the VIN: a digit until 2009, a letter after",
        },
        outputs=(number_output("model_year", "year by the 30-year cycle"),),
        formula="table",
        sources=(VIN,),
        cautions=("Position 7 settles the cycle of passenger cars and light trucks only.",),
        example={"year_code": "4", "seventh_character": "1"},
    ),
    calculation(
        marks.trade_check_digit,
        title="Check digit of a trade item number",
        chapter=CHAPTER,
        texts={"body": "digits before the check digit: 7, 11, 12 or 13 of a GTIN, 17 of a container code"},
        outputs=(text_output("check_digit", "the digit that follows"),),
        formula="from the right 3, 1, 3, 1 ...; what is missing to the next multiple of ten",
        sources=(standard("GS1 General Specifications"),),
        example={"body": "629104150021"},
    ),
    calculation(
        marks.code_128_checksum,
        title="Checksum of a Code 128 bar code",
        chapter=CHAPTER,
        texts={"text": "what the bar code says, in one code set"},
        choices={"code_set": tuple(marks.CODE_128_STARTS)},
        outputs=(number_output("checksum", "value of the check symbol"),),
        formula="start + sum of place x symbol, modulo 103",
        sources=(standard("ISO/IEC 15417"),),
        example={"text": "PJJ123C", "code_set": "A"},
    ),
    calculation(
        texts.round_money,
        title="Money rounded to cents",
        chapter=CHAPTER,
        texts={"amount": "decimal number as it is written"},
        choices={"rounding": texts.ROUNDINGS},
        outputs=(text_output("rounded", "whole cents"),),
        formula="halves away from zero, or to the even cent",
        sources=(ROUND_ONCE,),
        cautions=(SAY_WHICH,),
        example={"amount": "2.675"},
    ),
    calculation(
        texts.share_of_money,
        title="Share of an amount: tax, deposit, discount",
        chapter=CHAPTER,
        texts={"amount": "whole cents", "rate": "share as a decimal number: 7.25 % is 0.0725"},
        choices={"rounding": texts.ROUNDINGS},
        outputs=(text_output("share", "whole cents"),),
        formula="amount x rate, rounded once",
        sources=(ROUND_ONCE,),
        cautions=(SAY_WHICH,),
        example={"amount": "199.99", "rate": "0.0725"},
    ),
    calculation(
        texts.split_money,
        title="Amount parted to the cent",
        chapter=CHAPTER,
        texts={"amount": "whole cents", "weights": "weight of each part, with blanks between them"},
        outputs=(text_output("parts", "whole cents, in the order of the weights"),),
        formula="rounded down; the cents left go to the largest remainders",
        sources=(Source("largest remainders", "textbook"),),
        example={"amount": "100.00", "weights": "1 1 1"},
    ),
    calculation(
        texts.price_for_margin,
        title="Price for a margin",
        chapter=CHAPTER,
        texts={"cost": "whole cents", "margin": "share of the price: 40 % is 0.40"},
        outputs=(text_output("price", "whole cents"),),
        formula="cost / (1 - margin)",
        sources=(DEFINITION,),
        cautions=("A margin is a share of the price; a markup is a share of the cost.",),
        example={"cost": "60.00", "margin": "0.40"},
    ),
    calculation(
        texts.convert_units,
        title="Number in another unit",
        chapter=CHAPTER,
        texts={
            "number": "decimal number as it is written",
            "unit": "the unit it is in, as lbf.ft",
            "target_unit": "the unit wanted, of the same kind",
        },
        outputs=(number_output("converted", "the number in the unit wanted"),),
        formula="exact factors from the inch, the pound and standard gravity",
        sources=(standard("NIST SP 811"),),
        cautions=("A temperature is a point on its scale, not a difference.",),
        example={"number": "400", "unit": "lbf/in", "target_unit": "N/mm"},
    ),
)
