"""Calculations of pushrods, lifter preload and the contact between lifter and lobe."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.model import Source
from tappetry.calculations.sources import CHAIN, LEVER, practice, textbook
from tappetry.engineering import contact, pushrod

CHAPTER = "Pushrod and lifter"
MEASURE = "A prediction: the length that is ordered is measured, in the maker's convention."
COLUMN = textbook("Shigley's Mechanical Engineering Design, chapter 4")

CALCULATIONS = (
    calculation(
        pushrod.pushrod_length,
        title="Pushrod length after changes",
        chapter=CHAPTER,
        formula="reference + base circle/2 + gasket - skim + pedestal (1 + 1/i) - tip/i - cup + preload",
        sources=(CHAIN, LEVER),
        cautions=(MEASURE,),
    ),
    calculation(
        pushrod.preload,
        title="Preload of a pushrod",
        chapter=CHAPTER,
        formula="wanted preload + rod length - required length",
        sources=(CHAIN,),
        cautions=("The lifter maker's window wins. An alloy block takes preload away as it warms.",),
    ),
    calculation(
        pushrod.preload_from_turns,
        title="Preload from turns to torque",
        chapter=CHAPTER,
        outputs=("preload",),
        formula="turns x pitch x (1 + 1/ratio)",
        sources=(LEVER,),
        cautions=(
            "Turns are not thou: the cup goes down by more than the thread alone advances.",
            "Zero lash is when the rod stops moving up and down, not when it spins hard.",
        ),
    ),
    calculation(
        pushrod.pushrod_buckling_load,
        title="Buckling load of a slender pushrod",
        chapter=CHAPTER,
        outputs=("buckling_load",),
        formula="pi^2 E I / l^2",
        sources=(COLUMN, practice("2.5 times the load at least")),
        cautions=("A stocky rod yields first.",),
    ),
    calculation(
        pushrod.pushrod_column_load,
        title="Buckling or yield load of a pushrod",
        chapter=CHAPTER,
        outputs=("buckling_load",),
        formula="Euler where l/k >= sqrt(2 pi^2 E / Sy), Johnson's parabola below",
        sources=(COLUMN,),
    ),
    calculation(
        pushrod.pushrod_load,
        title="Load of a pushrod",
        chapter=CHAPTER,
        formula="ratio x (force at the valve + cylinder pressure x valve head area)",
        sources=(LEVER,),
    ),
    calculation(
        pushrod.pushrod_compression,
        title="Shortening of a pushrod",
        chapter=CHAPTER,
        formula="load x length / (area x E)",
        sources=(Source("Hooke's law", "textbook"),),
    ),
    calculation(
        contact.contact_modulus,
        title="Contact modulus",
        chapter=CHAPTER,
        formula="E / (2 (1 - nu^2))",
        sources=(textbook("Johnson, Contact Mechanics, chapter 4"),),
    ),
    calculation(
        contact.line_contact,
        title="Pressure of a lifter on its lobe",
        chapter=CHAPTER,
        formula="sqrt(F/w x E* / (pi R)), 1/R = 1/nose radius + 1/follower radius",
        sources=(
            textbook("Shigley's Mechanical Engineering Design, eqs. 3-73 and 3-74"),
            practice("1,400 MPa hardened cast iron, 1,700 MPa hardened steel"),
        ),
        cautions=("The radius of curvature at the nose, never the envelope.",),
    ),
)
