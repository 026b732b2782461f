"""Calculations of doubt: uncertainties, means, intervals, the chance that a margin fails."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.model import Source
from tappetry.calculations.sources import DEFINITION, standard
from tappetry.engineering import intervals, tolerance_chain, uncertainty

CHAPTER = "Uncertainty"
GUIDE = standard("JCGM 100:2008")
INTERVALS = standard("IEEE 1788-2015")
APART = "For contributions that share nothing: two sizes read with the same gauge do share its error."
FIRST_ORDER = "First order: true while the spread is small beside the value."
SURE = "An interval does not know where it came from: the same size twice counts as two."

CALCULATIONS = (
    calculation(
        uncertainty.limits_uncertainty,
        title="Standard uncertainty of limits",
        chapter=CHAPTER,
        choices={"distribution": uncertainty.DISTRIBUTIONS},
        formula="even: a / sqrt 3, triangular: a / sqrt 6, arcsine: a / sqrt 2",
        sources=(GUIDE,),
        example={"distribution": "even"},
    ),
    calculation(
        uncertainty.sample_mean,
        title="Mean of readings with its uncertainty",
        chapter=CHAPTER,
        outputs=("sample_mean", "sample_deviation", "mean_uncertainty"),
        formula="s = sqrt(sum (x - mean)^2 / (n - 1)), u = s / sqrt n",
        sources=(GUIDE,),
        cautions=("It does not see what is wrong with every reading alike.",),
    ),
    calculation(
        uncertainty.weighted_mean,
        title="Mean of readings that are not equally sure",
        chapter=CHAPTER,
        formula="mean by weights 1/u^2; misfit by scatter over uncertainty",
        sources=(Source("least squares with known variances", "textbook"),),
        cautions=(APART,),
    ),
    calculation(
        tolerance_chain.tolerance_stack,
        title="Tolerance of a chain of sizes: at worst and by the root of squares",
        chapter=CHAPTER,
        formula="sum of t; sqrt(sum of t^2)",
        sources=(DEFINITION,),
        cautions=(APART, "A clearance that must not be missed is judged at worst."),
    ),
    calculation(
        uncertainty.combined_uncertainty,
        title="Combined standard uncertainty",
        chapter=CHAPTER,
        formula="sqrt(sum of squares)",
        sources=(GUIDE,),
        cautions=(APART,),
    ),
    calculation(
        uncertainty.sum_uncertainty,
        title="Uncertainty of a sum and a difference",
        chapter=CHAPTER,
        outputs=("sum_uncertainty", "difference_uncertainty"),
        formula="sqrt(u1^2 + u2^2 +- 2 r u1 u2)",
        sources=(GUIDE,),
    ),
    calculation(
        uncertainty.product_uncertainty,
        title="Uncertainty of a product of powers",
        chapter=CHAPTER,
        outputs=("product_value", "product_uncertainty"),
        formula="u / y = sqrt(sum (p u / x)^2)",
        sources=(GUIDE,),
        cautions=(APART, FIRST_ORDER),
    ),
    calculation(
        uncertainty.freedom,
        title="Effective degrees of freedom",
        chapter=CHAPTER,
        formula="uc^4 / sum (u^4 / freedom)",
        sources=(GUIDE,),
        cautions=("Rounded down before a coverage factor is looked up.",),
    ),
    calculation(
        uncertainty.coverage_factor,
        title="Coverage factor",
        chapter=CHAPTER,
        formula="t at (1 + confidence) / 2",
        sources=(GUIDE,),
    ),
    calculation(
        uncertainty.expanded_uncertainty,
        title="Expanded uncertainty",
        chapter=CHAPTER,
        formula="coverage factor x combined uncertainty",
        sources=(GUIDE,),
    ),
    calculation(
        uncertainty.failing_chance,
        title="Chance that a margin fails",
        chapter=CHAPTER,
        formula="normal distribution at -margin / uncertainty",
        sources=(Source("normal distribution", "textbook"),),
        cautions=("As good as the stated spreads; a mistake is not in them.",),
    ),
    calculation(
        uncertainty.compression_ratio_with_doubt,
        title="Static compression ratio with its uncertainty",
        chapter=CHAPTER,
        formula="1 + Vd/Vc; u = (ratio - 1) sqrt((2 uB/B)^2 + (us/s)^2 + (uV/Vc)^2 + (uo/Vc)^2)",
        sources=(DEFINITION, GUIDE),
        cautions=(APART,),
    ),
    calculation(
        intervals.interval_sum,
        title="Sum of intervals",
        chapter=CHAPTER,
        formula="[a + c, b + d]",
        sources=(INTERVALS,),
    ),
    calculation(
        intervals.interval_difference,
        title="Difference of intervals",
        chapter=CHAPTER,
        formula="[a - d, b - c]",
        sources=(INTERVALS,),
        cautions=(SURE,),
    ),
    calculation(
        intervals.interval_product,
        title="Product of intervals",
        chapter=CHAPTER,
        formula="least and largest of ac, ad, bc, bd",
        sources=(INTERVALS,),
        cautions=(SURE,),
    ),
    calculation(
        intervals.interval_quotient,
        title="Quotient of intervals",
        chapter=CHAPTER,
        formula="least and largest of a/c, a/d, b/c, b/d; 0 not in the divisor",
        sources=(INTERVALS,),
        cautions=(SURE,),
    ),
    calculation(
        intervals.interval_root,
        title="Square root of an interval",
        chapter=CHAPTER,
        formula="[sqrt a, sqrt b]",
        sources=(INTERVALS,),
    ),
    calculation(
        intervals.interval_square,
        title="Square of an interval",
        chapter=CHAPTER,
        formula="from 0 where 0 lies inside, else the squares of the ends",
        sources=(INTERVALS,),
    ),
)
